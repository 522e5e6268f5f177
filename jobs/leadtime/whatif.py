"""What a change would do to every job and to every family, and who gains and who loses by it.

The shop is worked twice, as it is and changed, with the same luck for every job; the difference is the
change's doing. Dates, not hours, are compared, because a closure changes what an hour is.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from functools import partial

import numpy as np

from jobs.leadtime.arrivals import take_turns
from jobs.leadtime.calibrate import told_chance
from jobs.leadtime.changes import Change, apply_changes, describe_change
from jobs.leadtime.clock import hours_per_day
from jobs.leadtime.engines import run_fastest
from jobs.leadtime.errors import QueueTooLong
from jobs.leadtime.floor import Array, Engine, Kept
from jobs.leadtime.forecast import before_first_queue
from jobs.leadtime.groundwork import Groundwork, lay_groundwork
from jobs.leadtime.loads import Simulated
from jobs.leadtime.outlook import PromiseMove, kept_share
from jobs.leadtime.ranges import DEFAULT_LEVELS, NO_FAMILY_LEVELS, QuotedLevels, ReasonKind, Refusal
from jobs.leadtime.reasons import Part, account
from jobs.leadtime.scene import Fits
from jobs.leadtime.state import ShopState
from jobs.leadtime.words import working_days_in_words

REPLICATIONS = 200
MOVED_DAYS = 0.5  # calendar days by which the likely or the 8-in-10 date has to move to count
LEAST_REASON_DAYS = 0.2
DAY_S = 86400.0
SPENT_WORDS = {
    ReasonKind.QUEUE: "in the queue at the {centre}",
    ReasonKind.BATCH: "until a run of the {centre} starts",
    ReasonKind.WORK: "of work at the bench",
    ReasonKind.AWAY: "until whoever began it is back",
    ReasonKind.ANSWER: "until the customer answers",
    ReasonKind.PARTS: "until parts come",
    ReasonKind.OUTSIDE: "with the outside trade",
    ReasonKind.PAYMENT: "until it is paid",
    ReasonKind.ARRIVAL: "until it arrives",
}


class Effect(StrEnum):
    """What a change does to somebody's dates."""

    EARLIER = "earlier"
    LATER = "later"
    SAME = "same"


@dataclass(frozen=True, slots=True)
class Comparison:
    """The dates of one job, or of a newcomer of a family without number, before and after a change.

    `moved_days` is the mean over the likely and the 8-in-10 date in calendar days, negative for earlier.
    `reason` says where most of the time is gained or lost; `promise` how the chance of the promised day
    changes, where one was promised.
    """

    job_number: str
    family: str
    likely_before: date
    likely_after: date
    high_before: date
    high_after: date
    moved_days: float
    effect: Effect
    reason: str = ""
    promise: PromiseMove | None = None


@dataclass(frozen=True, slots=True)
class WhatIf:
    """A change in words, what it does to each job and family, and a sentence on who gains and who loses."""

    changes: tuple[str, ...]
    jobs: tuple[Comparison, ...]
    newcomers: tuple[Comparison, ...]
    gaining: tuple[str, ...]
    losing: tuple[str, ...]
    sentence: str
    refusals: tuple[Refusal, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Side:
    """One of the two shops worked: finish hours and where the time goes, by job number and family."""

    ground: Groundwork
    finishes: dict[tuple[str, str], Array]
    parts: dict[tuple[str, str], dict[Part, float]]


def compare_change(
    state: ShopState,
    *,
    changes: Sequence[Change],
    now: datetime,
    promises: Mapping[str, date] | None = None,
    replications: int = REPLICATIONS,
    seed: int = 1,
    levels: QuotedLevels = DEFAULT_LEVELS,
    family_levels: Mapping[str, QuotedLevels] = NO_FAMILY_LEVELS,
    engine: Engine = run_fastest,
    fits: Fits | None = None,
    on_progress: Callable[[float], None] | None = None,
) -> WhatIf:
    """Return the dates of all jobs and newcomers before and after the changes, and what becomes of promises.

    Dates and chances are told by the levels at which each family is quoted.
    `on_progress` is called with the share done, and may raise to cancel.
    Raises: ChangeRefused, NoOpeningHours, MomentWithoutZone, NotEnoughRuns.
    """
    changed_state = apply_changes(state, changes=changes)
    before = lay_groundwork(state, now=now, replications=replications, seed=seed, fits=fits)
    after = lay_groundwork(
        changed_state,
        now=now,
        replications=replications,
        seed=seed,
        fits=before.fits,
        horizon_weeks=before.horizon_weeks,
    )
    _tell(on_progress, 0.1)
    sides: list[_Side] = []
    for at, ground in enumerate((before, after)):
        progress = 0.1 + 0.45 * at
        sides.append(_work(ground, engine=engine, half_way=partial(_tell, on_progress, progress + 0.2)))
        _tell(on_progress, progress + 0.45)
    names = [(job.job_number, job.family) for job in before.jobs if job.family in after.routes]
    names += [("", family) for family in before.routes if family in after.routes]
    rows: list[Comparison] = []
    refusals = list(after.refusals)
    for name in names:
        number, family = name
        try:
            quoted = family_levels.get(family, levels)
            rows.append(_compare(name, sides[0], sides[1], quoted, promises or {}))
        except QueueTooLong as refusal:
            refusals.append(Refusal(family, str(refusal), number))
    jobs = tuple(row for row in rows if row.job_number)
    gaining, losing = _sort_out(jobs)
    return WhatIf(
        tuple(describe_change(change, state=state) for change in changes),
        jobs,
        tuple(row for row in rows if not row.job_number),
        gaining,
        losing,
        _sum_up(rows, gaining=gaining, losing=losing),
        tuple(refusals),
    )


def _tell(on_progress: Callable[[float], None] | None, share: float) -> None:
    if on_progress is not None:
        on_progress(share)


def _work(ground: Groundwork, *, engine: Engine, half_way: Callable[[], None]) -> _Side:
    """Work every job, and a newcomer of each family in a run with newcomers."""
    background = ground.background()
    side = _Side(ground, {}, {})
    if ground.live:
        # Without the newcomers, who would fill a run of the tank before its time.
        run = ground.simulate(ground.live, background, engine=engine, kept=Kept.WATCHED)
        names = [(job.job_number, job.family) for job in ground.jobs]
        _read(side, run, names=names, before=[before_first_queue(job) for job in ground.jobs])
        for name, job in zip(names, ground.jobs, strict=True):
            side.finishes[name] = side.finishes[name] + ground.added_hours(job)
    half_way()
    families = list(ground.routes)
    riding = [
        take_turns(ground.newcomer(family), at=at, of=len(families), replications=ground.luck.replications)
        for at, family in enumerate(families)
    ]
    if riding:
        run = ground.simulate(riding, [*ground.live, *background], engine=engine, kept=Kept.WATCHED)
        names = [("", family) for family in families]
        _read(side, run, names=names, before=[ReasonKind.ARRIVAL] * len(families))
    return side


def _read(
    side: _Side, run: Simulated, *, names: Sequence[tuple[str, str]], before: Sequence[ReasonKind]
) -> None:
    for at, (name, kind) in enumerate(zip(names, before, strict=True)):
        visits, centres = run.groups[at].visits, side.ground.state.centres
        side.finishes[name] = run.passage.finish_hours[:, at]
        side.parts[name] = account(
            visits,
            passage=run.passage,
            service_hours=run.draws.service_hours,
            job=at,
            before=kind,
            centres=centres,
        )


def _compare(
    name: tuple[str, str],
    before: _Side,
    after: _Side,
    levels: QuotedLevels,
    promises: Mapping[str, date],
) -> Comparison:
    moments: list[datetime] = []
    dates: list[date] = []
    for side in (before, after):
        finish, clock = side.finishes[name], side.ground.clock
        quantiles = np.quantile(finish[np.isfinite(finish)], (levels.likely, levels.high))
        if not clock.reaches(float(quantiles[1])):
            raise QueueTooLong(name[1])
        for hours in quantiles:
            moments.append(clock.moment_at(float(hours)))
            dates.append(clock.date_at(float(hours)))
    likely_a, high_a, likely_b, high_b = moments
    moved_s = 0.5 * ((likely_b - likely_a).total_seconds() + (high_b - high_a).total_seconds())
    moved = moved_s / DAY_S
    effect = Effect.SAME
    if abs(moved) >= MOVED_DAYS:
        effect = Effect.EARLIER if moved < 0.0 else Effect.LATER
    number, family = name
    return Comparison(
        number,
        family,
        dates[0],
        dates[2],
        dates[1],
        dates[3],
        round(moved, 2),
        effect,
        "" if effect is Effect.SAME else _find_reason(before, after, name=name, effect=effect),
        _promise_move(before, after, name=name, promised_on=promises.get(number), levels=levels),
    )


def _promise_move(
    before: _Side,
    after: _Side,
    *,
    name: tuple[str, str],
    promised_on: date | None,
    levels: QuotedLevels,
) -> PromiseMove | None:
    if promised_on is None:
        return None
    shares = [
        kept_share(side.finishes[name], promised_on=promised_on, clock=side.ground.clock)
        for side in (before, after)
    ]
    return PromiseMove(name[0], *(told_chance(share, levels=levels) for share in shares))


def _find_reason(before: _Side, after: _Side, *, name: tuple[str, str], effect: Effect) -> str:
    """Return what moves the dates this way: other open days, and where the time spent changes most."""
    day_h = hours_per_day(before.ground.state.working_hours)
    a, b = before.parts[name], after.parts[name]
    sign = 1.0 if effect is Effect.LATER else -1.0
    changed = {part: sign * (b.get(part, 0.0) - a.get(part, 0.0)) / day_h for part in {*a, *b}}
    said = []
    if before.ground.state.working_hours != after.ground.state.working_hours:
        said.append("other open days")
    part = max(changed, key=lambda part: (changed[part], part), default=None)
    if part is not None and changed[part] >= LEAST_REASON_DAYS:
        kind, slug = part
        centre = next((each.name for each in before.ground.state.centres if each.slug == slug), slug)
        where = SPENT_WORDS[kind].format(centre=f"{centre[:1].lower()}{centre[1:]}")
        less = "more" if effect is Effect.LATER else "less"
        said.append(f"{working_days_in_words(changed[part])} {less} {where}")
    return ", and ".join(said)


def _sort_out(jobs: Sequence[Comparison]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the numbers of the jobs that gain and of those that lose, the most moved first."""
    ordered = sorted(jobs, key=lambda row: row.moved_days)
    gaining = tuple(row.job_number for row in ordered if row.effect is Effect.EARLIER)
    losing = tuple(row.job_number for row in reversed(ordered) if row.effect is Effect.LATER)
    return gaining, losing


def _sum_up(rows: Sequence[Comparison], *, gaining: Sequence[str], losing: Sequence[str]) -> str:
    if not rows:
        return "No dates can be compared."
    families = [row for row in rows if not row.job_number]
    parts = [
        f"{_count(numbers)} {effect.value}"
        for numbers, effect in ((gaining, Effect.EARLIER), (losing, Effect.LATER))
        if numbers
    ]
    for effect in (Effect.EARLIER, Effect.LATER):
        names = [row.family.replace("_", " ") for row in families if row.effect is effect]
        if names:
            parts.append(f"newcomers {effect.value}: {', '.join(names)}")
    return f"{'; '.join(parts)}." if parts else "Nobody's dates move by more than half a day."


def _count(numbers: Sequence[str]) -> str:
    return f"{len(numbers)} job{'' if len(numbers) == 1 else 's'}"
