"""How good the quotes would have been, had each been made on the day with what was known on the day.

The shop's own history is replayed: at every third intake the state of that moment is rebuilt, the durations
are fitted again every three weeks, the newcomer is simulated, and its quote is scored against what
happened. Beside the simulation stand the simulation recalibrated by its own earlier quotes, and the simple
rules of `baselines`. Where the log breaks off, only quotes whose own 95 % date has passed are scored, and of
them those still open count as late: scoring what is packed alone would favour the quick ones.
"""

import math
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from jobs.leadtime.baselines import Passed, Rule, SimpleRules, Unpacked
from jobs.leadtime.calibrate import (
    RIPE_LEVEL,
    PastQuote,
    as_known,
    hours_at_level,
    move_levels,
    place_in_quote,
    select_ripe,
)
from jobs.leadtime.clock import working_hours_between
from jobs.leadtime.engines import run_fastest
from jobs.leadtime.errors import BacktestRefused, QueueTooLong
from jobs.leadtime.floor import Engine
from jobs.leadtime.groundwork import sort_routes
from jobs.leadtime.past import PastJob
from jobs.leadtime.ranges import LEVELS
from jobs.leadtime.rewind import Rewind
from jobs.leadtime.scores import score_crps_quantiles, score_pinball
from jobs.leadtime.state import ShopState

SIMULATION, RECALIBRATED = "simulation", "simulation, recalibrated"
LEAST_JOBS = 60
SCORED = (0.5, 0.8, 0.9)


@dataclass(frozen=True, slots=True)
class ReplayPlan:
    """Which intakes are quoted, every `every`-th from the `first`-th job on, and by how many replications."""

    first: int = 300
    every: int = 3
    replications: int = 300
    seed: int = 1


@dataclass(frozen=True, slots=True)
class ReplayedQuote:
    """One quote as it would have been made, by method in working hours at `LEVELS`, and the true lead.

    Of a unit that is still open the lead is what has passed so far.
    """

    job_number: str
    family: str
    at: datetime
    lead_hours: float
    in_shop: int
    quantile_hours: dict[str, tuple[float, ...]]
    is_open: bool = False


@dataclass(frozen=True, slots=True)
class MethodScore:
    """How one method did; `pinball_days` scores the 8-in-10 date; all but the shares in working days."""

    method: str
    quotes: int
    covered_50_share: float
    covered_80_share: float
    covered_90_share: float
    pinball_days: float
    crps_days: float
    error_days: float


@dataclass(frozen=True, slots=True)
class BacktestResult:
    """The scores of all methods over the same quotes, and what the shop was like."""

    quotes: int
    mean_lead_days: float
    least_in_shop: int
    most_in_shop: int
    scores: tuple[MethodScore, ...]
    open_quotes: int = 0

    def score_of(self, method: str) -> MethodScore:
        """Return the score of one method."""
        return next(score for score in self.scores if score.method == method)

    def gain_over(self, rule: Rule, *, method: str = RECALIBRATED) -> float:
        """Return by which share the pinball score of `method` lies below that of a simple rule."""
        return 1.0 - self.score_of(method).pinball_days / self.score_of(rule.value).pinball_days


def replay_quotes(
    shop: ShopState,
    *,
    past: Sequence[PastJob],
    plan: ReplayPlan | None = None,
    until: datetime | None = None,
    engine: Engine = run_fastest,
    on_progress: Callable[[int, int], None] | None = None,
) -> tuple[ReplayedQuote, ...]:
    """Return the quotes that would have been made, in order of time.

    `shop` gives hours, centres, people and routes as they are now; `until` is when the log breaks off, None
    for a history told to its end. Jobs of families without a usable route, those that went back unrepaired,
    and those to which no date could have been told, are passed over. `on_progress` hears how many of how
    many intakes are done.
    Raises: BacktestRefused if the history holds fewer than 60 packed jobs, or none is left to quote.
    """
    plan = plan or ReplayPlan()
    ordered = sorted(past, key=lambda job: (job.arrived_at, job.job_number))
    packed = [job for job in ordered if job.packed_at is not None]
    if len(packed) < LEAST_JOBS:
        raise BacktestRefused(
            f"Only {len(packed)} jobs are packed so far: a backtest needs at least {LEAST_JOBS}."
        )
    usable, _ = sort_routes(shop)
    first = min(plan.first, len(ordered) // 2)
    wanted = [
        job
        for job in ordered[first :: plan.every]
        if job.family in usable and (job.packed_at or (until is not None and job.left_at is None))
    ]
    if not wanted:
        raise BacktestRefused("No packed job of a family with a usable route is left to quote: check routes.")
    told_until = until or max(job.packed_at for job in packed if job.packed_at)
    replay = _Replay(shop, ordered, plan, engine, told_until)
    quotes = []
    for done, job in enumerate(wanted, 1):
        with suppress(QueueTooLong):
            quote = replay.quote(job)
            if until is None or replay.is_ripe(quote):
                quotes.append(quote)
        if on_progress is not None:
            on_progress(done, len(wanted))
    return tuple(quotes)


class _Replay:
    """The replay on its way through time."""

    def __init__(
        self,
        shop: ShopState,
        ordered: Sequence[PastJob],
        plan: ReplayPlan,
        engine: Engine,
        until: datetime,
    ) -> None:
        self.ordered, self.until = ordered, until
        self.rewind = Rewind(
            shop, past=ordered, replications=plan.replications, seed=plan.seed, engine=engine
        )
        self.hours = shop.working_hours
        self.origin = ordered[0].arrived_at
        self.rules = SimpleRules(
            [
                Passed(job.family, self._hour(job.arrived_at), self._hour(job.packed_at))
                for job in ordered
                if job.packed_at is not None
            ],
            day_hours=self.rewind.day_h,
            unpacked=[
                Unpacked(
                    self._hour(job.arrived_at),
                    self._hour(job.left_at) if job.left_at is not None else math.inf,
                )
                for job in ordered
                if job.packed_at is None
            ],
        )
        self.made: list[PastQuote] = []

    def _hour(self, moment: datetime) -> float:
        return working_hours_between(self.hours, start=self.origin, end=moment)

    def quote(self, job: PastJob) -> ReplayedQuote:
        """Return the quote of one intake by every method."""
        at = job.arrived_at
        state = self.rewind.state(job)
        simulated = self.rewind.quote(job, state=state).quantile_hours
        known = [as_known(quote, at=at) for quote in self.made]
        ripe = select_ripe(known, hours=self.hours, now=at)
        places = [place_in_quote(quote, hours=self.hours) for quote in ripe]
        moved = move_levels(places, wanted_levels=LEVELS)
        quoted = {
            SIMULATION: simulated,
            RECALIBRATED: tuple(hours_at_level(simulated, level=level) for level in moved),
        }
        at_h = self._hour(at)
        for rule in Rule:
            quoted[rule.value] = self.rules.quote(rule, family=job.family, at_h=at_h)
        self.made.append(PastQuote(job.job_number, at, simulated, job.packed_at, job.family))
        lead_h = working_hours_between(self.hours, start=at, end=job.packed_at or self.until)
        in_shop, is_open = len(state.jobs), job.packed_at is None
        return ReplayedQuote(job.job_number, job.family, at, lead_h, in_shop, quoted, is_open)

    def is_ripe(self, quote: ReplayedQuote) -> bool:
        """Whether the 95 % date of the simulation had passed when the log broke off."""
        passed_h = working_hours_between(self.hours, start=quote.at, end=self.until)
        return passed_h >= quote.quantile_hours[SIMULATION][LEVELS.index(RIPE_LEVEL)]


def score_quotes(quotes: Sequence[ReplayedQuote], *, day_hours: float) -> BacktestResult:
    """Return the scores of every method over the quotes.

    Raises: BacktestRefused if there is no quote.
    """
    if not quotes:
        raise BacktestRefused("There is no quote to score: replay a history first.")
    actual = np.array([quote.lead_hours for quote in quotes])
    scores = []
    for method in quotes[0].quantile_hours:
        quantiles = np.array([quote.quantile_hours[method] for quote in quotes])
        covered = [float((actual <= quantiles[:, LEVELS.index(level)]).mean()) for level in SCORED]
        high = quantiles[:, LEVELS.index(0.8)]
        pinball = [
            score_pinball(float(q), level=0.8, actual=float(y)) for q, y in zip(high, actual, strict=True)
        ]
        crps = [
            score_crps_quantiles(row.tolist(), levels=LEVELS, actual=float(y))
            for row, y in zip(quantiles, actual, strict=True)
        ]
        error = float(np.abs(quantiles[:, LEVELS.index(0.5)] - actual).mean())
        scores.append(
            MethodScore(
                method,
                len(quotes),
                round(covered[0], 4),
                round(covered[1], 4),
                round(covered[2], 4),
                round(float(np.mean(pinball)) / day_hours, 3),
                round(float(np.mean(crps)) / day_hours, 3),
                round(error / day_hours, 3),
            )
        )
    inside = [quote.in_shop for quote in quotes]
    return BacktestResult(
        len(quotes),
        round(float(actual.mean()) / day_hours, 2),
        min(inside),
        max(inside),
        tuple(scores),
        sum(quote.is_open for quote in quotes),
    )


def write_table(result: BacktestResult) -> str:
    """Return the scores as a plain table, one line per method."""
    lines = [
        f"{result.quotes} quotes; mean lead time {result.mean_lead_days:.1f} working days;"
        f" {result.least_in_shop} to {result.most_in_shop} jobs in the shop;"
        f" {result.open_quotes} still open, counted as late",
        f"{'method':<26}{'back by P50':>12}{'P80':>7}{'P90':>7}{'pinball P80':>13}{'CRPS':>8}"
        f"{'error P50':>11}",
    ]
    for score in result.scores:
        lines.append(
            f"{score.method:<26}{100 * score.covered_50_share:>11.1f}%{100 * score.covered_80_share:>6.1f}%"
            f"{100 * score.covered_90_share:>6.1f}%{score.pinball_days:>12.2f}d{score.crps_days:>7.2f}d"
            f"{score.error_days:>10.2f}d"
        )
    return "\n".join(lines)
