"""Which random numbers one forecast runs on.

Every number of chance is drawn here, before an engine runs. Every job has its own random stream, seeded by
its number, so one more job on the shelf leaves the luck of the others as it was and dates do not flicker.
"""

import math
import zlib
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from jobs.domain.stages import HoldKind
from jobs.leadtime.at_hand import is_announced, is_begun, worked_hours
from jobs.leadtime.clock import ShopClock
from jobs.leadtime.clock_arrays import table_clock
from jobs.leadtime.floor import Array, Draws, Kept
from jobs.leadtime.history import SEED_WEIGHT, DurationFit
from jobs.leadtime.routes import Route
from jobs.leadtime.scene import Fits, PlannedVisit, plan_visits
from jobs.leadtime.state import LiveJob, Priority, ShopState

LEAST_HORIZON_WEEKS = 4.0
MOST_HORIZON_WEEKS = 16.0
MOST_BACKGROUND_JOBS = 2000
GRID_PER_WEEK = 56  # every three hours
HOLD_EXPECTED_SPREAD = 1.4  # estimate: how well an entered end of a hold is kept
STANDARD = NormalDist()
RESIDUAL_POINTS = 4096
LEAST_RESIDUALS_ABOVE = 10
SHORTEST_REST = 1e-6
Without = frozenset[HoldKind]  # kinds of wait that are left out, to see what they cost
NOTHING: Without = frozenset()


def seed_stream(seed: int, *, name: str) -> np.random.Generator:
    """Return the random stream of one name, the same on every machine."""
    return np.random.default_rng([seed, zlib.crc32(name.encode())])


@dataclass(frozen=True, slots=True)
class Luck:
    """How far the true median of each fit may lie from the fitted one, one draw per replication."""

    seed: int
    replications: int
    shifts: dict[str, Array]

    def shift_of(self, fit: DurationFit, *, name: str) -> Array:
        """Return the log shift of the fit of this name: normal with sd log_sd / sqrt(own visits + 6)."""
        if name not in self.shifts:
            stream = seed_stream(self.seed, name=f"fit {name}")
            self.shifts[name] = stream.standard_normal(self.replications)
        return self.shifts[name] * (fit.log_sd / math.sqrt(fit.own_weight + SEED_WEIGHT))


def draw_logs(fit: DurationFit, *, stream: np.random.Generator, shape: tuple[int, ...]) -> Array:
    """Return log durations: the median with pooled residuals once there are enough, else lognormal."""
    if fit.residuals:
        table = _tabulate_residuals(fit.residuals, fit.cumulative)
        logs = table[(stream.random(shape) * len(table)).astype(np.int64)]
    else:
        logs = stream.standard_normal(shape)
        logs *= fit.log_sd
    logs += math.log(fit.median)
    return np.asarray(logs, dtype=np.float64)


@lru_cache(maxsize=256)
def _tabulate_residuals(residuals: tuple[float, ...], cumulative: tuple[float, ...]) -> Array:
    """Return the residuals at evenly spaced shares, so that a draw is one look-up."""
    shares = (np.arange(RESIDUAL_POINTS) + 0.5) / RESIDUAL_POINTS
    at = np.minimum(np.searchsorted(np.array(cumulative), shares), len(residuals) - 1)
    return np.array([residuals[place] for place in at], dtype=np.float64)


def draw_remaining(
    fit: DurationFit, *, elapsed_units: float, stream: np.random.Generator, count: int
) -> Array:
    """Return how much longer something takes that has lasted `elapsed_units`, in the unit of the fit.

    Draws from the part of the distribution above it, never again from zero: of the pooled residuals
    while enough of them lie above, else of the fitted lognormal, survival u S(elapsed_units) with u uniform.
    """
    if elapsed_units <= 0.0:
        return np.exp(draw_logs(fit, stream=stream, shape=(count,)))
    uniform = stream.random(count)
    passed = math.log(elapsed_units) - math.log(fit.median)
    above = len(fit.residuals) - bisect_right(fit.residuals, passed)
    if above >= LEAST_RESIDUALS_ABOVE:
        before = fit.cumulative[-above - 1] if above < len(fit.residuals) else 0.0
        levels = before + uniform * (fit.cumulative[-1] - before)
        at = np.minimum(np.searchsorted(np.array(fit.cumulative), levels), len(fit.residuals) - 1)
        total = fit.median * np.exp(np.array(fit.residuals)[at])
        return np.asarray(np.maximum(total - elapsed_units, SHORTEST_REST), dtype=np.float64)
    centred = passed / fit.log_sd
    survival = max(0.5 * math.erfc(centred / math.sqrt(2.0)), 1e-300)
    remaining = np.clip(uniform, 1e-12, 1.0) * survival
    drawn = [-STANDARD.inv_cdf(float(level)) if level < 1.0 else centred for level in remaining]
    total = fit.median * np.exp(fit.log_sd * np.array(drawn))
    return np.maximum(total - elapsed_units, SHORTEST_REST)


def draw_visits(
    visits: Sequence[PlannedVisit],
    *,
    family: str,
    stream: np.random.Generator,
    luck: Luck,
    jobs: int,
    without: Without = NOTHING,
) -> tuple[Array, Array]:
    """Return hours (not-a-number where skipped) and following wait days, each (replication, job, visit).

    Waits of the kinds in `without` are drawn but not waited for, so all else stays as it was. In memory the
    replications of one visit lie together, which is how the engines read them.
    """
    shape = (jobs, luck.replications)
    hours = np.full((len(visits), *shape), np.nan)
    days = np.zeros((len(visits), *shape))
    failing = np.ones(shape, dtype=bool)
    for at, visit in enumerate(visits):
        logs = draw_logs(visit.fit, stream=stream, shape=shape)
        logs += luck.shift_of(visit.fit, name=f"{family} {visit.step}")
        if visit.effort != 1.0:
            logs += math.log(visit.effort)
        needed = stream.random(shape) < visit.needed_share
        if visit.round_again:
            failing &= needed
            needed = failing
        np.exp(logs, out=hours[at])
        hours[at][~needed] = np.nan
        for wait, fit in visit.waits:
            wait_logs = draw_logs(fit, stream=stream, shape=shape)
            wait_logs += luck.shift_of(fit, name=f"{family} {wait.kind}")
            waits = stream.random(shape) < wait.needed_share
            if wait.kind not in without:
                days[at] += np.where(waits, np.exp(wait_logs), 0.0)
    return hours.T, days.T


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Jobs drawn together: all have the same family and the same visits ahead.

    `announced` ones are known by name and not in the shop yet. `came_hours` is when those in the shop came,
    in working hours from now; the others come when they are ready.
    """

    name: str
    family: str
    visits: tuple[PlannedVisit, ...]
    hours: Array
    wait_days: Array
    ready_hours: Array
    priority: Priority = Priority.ORDINARY
    begun: bool = False
    announced: bool = False
    came_hours: float | None = None


def judge_horizon(live: Sequence[Group], *, hands: int, week_hours: float) -> float:
    """Return for how many weeks arrivals have to be drawn: four, and half as long again as the backlog.

    What comes later stands behind the whole queue and can no longer delay it noticeably; at most 16 weeks.
    """
    backlog_h = sum(float(np.nan_to_num(group.hours).sum(axis=(1, 2)).mean()) for group in live)
    weeks = LEAST_HORIZON_WEEKS + 1.5 * backlog_h / max(hands * week_hours, 1.0)
    return min(weeks, MOST_HORIZON_WEEKS)


def draw_arrivals(
    per_week: float, *, horizon_weeks: float, stream: np.random.Generator, replications: int, clock: ShopClock
) -> Array:
    """Return Poisson arrival moments in working hours, infinite beyond `horizon_weeks`: (replication, job).

    Parcels come on any day of the week; what comes while the shop is closed is there when it opens. A longer
    horizon adds arrivals and leaves the earlier ones as they are.
    """
    most = min(math.ceil(per_week * horizon_weeks * 1.2 + 8.0), MOST_BACKGROUND_JOBS)
    weeks = np.cumsum(stream.exponential(1.0 / per_week, size=(most, replications)), axis=0).T
    grid_weeks = np.arange(math.ceil(horizon_weeks * GRID_PER_WEEK) + 2) / GRID_PER_WEEK
    grid_hours = table_clock(clock).hours_after_days(np.zeros_like(grid_weeks), days=7.0 * grid_weeks)
    hours = np.interp(weeks, grid_weeks, grid_hours)
    # What came over a weekend opens in the order in which it came.
    return np.where(weeks <= horizon_weeks, hours + 1e-6 * weeks, np.inf)


def draw_ready(
    job: LiveJob,
    *,
    fits: Fits,
    stream: np.random.Generator,
    clock: ShopClock,
    count: int,
    without: Without = NOTHING,
) -> Array:
    """Return when a live job can join its next queue, in working hours from now, once per replication."""
    if job.hold is not None:
        ends = _draw_hold_end(job, job.hold, fits=fits, stream=stream, clock=clock, count=count)
        return np.zeros(count) if job.hold in without else ends
    since = job.waiting_since or job.arrived_at
    if since is None and job.expected_at is not None:
        return np.full(count, max(clock.hours_at(job.expected_at), 0.0))
    return np.full(count, min(clock.hours_at(since), 0.0) if since is not None else 0.0)


def _draw_hold_end(
    job: LiveJob, kind: HoldKind, *, fits: Fits, stream: np.random.Generator, clock: ShopClock, count: int
) -> Array:
    ahead_days = (job.hold_expected_at - clock.now).total_seconds() / 86400 if job.hold_expected_at else 0.0
    if ahead_days > 0.0:
        days = ahead_days * np.exp(math.log(HOLD_EXPECTED_SPREAD) * stream.standard_normal(count))
    else:
        elapsed = (clock.now - job.held_since).total_seconds() / 86400 if job.held_since else 0.0
        fit = fits.waits[job.family, kind]
        days = draw_remaining(fit, elapsed_units=elapsed, stream=stream, count=count)
    return table_clock(clock).hours_after_days(np.zeros(count), days=days)


def stack_groups(
    groups: Sequence[Group],
    *,
    watched: int,
    replications: int,
    follow_hours: float = 0.0,
    kept: Kept = Kept.ALL,
) -> Draws:
    """Return the draws of all groups side by side; the first `watched` jobs are the ones to be finished."""
    longest = max((len(group.visits) for group in groups), default=0)
    sizes = [group.hours.shape[1] for group in groups]
    jobs = sum(sizes)
    ready, came = np.empty((jobs, replications)), np.empty((jobs, replications))
    hours = np.full((longest, jobs, replications), np.nan)
    days = np.zeros((longest, jobs, replications))
    first = 0
    for group, size in zip(groups, sizes, strict=True):
        own = slice(first, first + size)
        ready[own] = group.ready_hours.T
        came[own] = group.ready_hours.T if group.came_hours is None else group.came_hours
        hours[: len(group.visits), own] = group.hours.T
        days[: len(group.visits), own] = group.wait_days.T
        first += size
    each = [group for group, size in zip(groups, sizes, strict=True) for _ in range(size)]
    return Draws(
        stations_of=tuple(tuple(visit.station for visit in group.visits) for group in each),
        priority=tuple(int(group.priority) for group in each),
        in_progress=tuple(group.begun for group in each),
        ready_hours=ready.T,
        service_hours=hours.T,
        wait_days=days.T,
        watched=watched,
        follow_hours=follow_hours,
        kept=kept,
        came_hours=came.T,
    )


def draw_live(
    job: LiveJob,
    *,
    route: Route,
    state: ShopState,
    fits: Fits,
    luck: Luck,
    clock: ShopClock,
    without: Without = NOTHING,
) -> Group:
    """Return the draws of one live job; work that has begun, or was put down, gets its remaining hours.

    Members of a run under way, begun at one moment at one centre, share the luck of its remaining hours.
    """
    visits = plan_visits(route, family=job.family, job=job, state=state, fits=fits)
    stream = seed_stream(luck.seed, name=f"job {job.job_number}")
    count = luck.replications
    ready = draw_ready(job, fits=fits, stream=stream, clock=clock, count=count, without=without)
    hours, days = draw_visits(visits, family=job.family, stream=stream, luck=luck, jobs=1, without=without)
    begun = is_begun(job) and bool(visits)
    for step in dict.fromkeys(span.step for span in job.put_down):
        at = next((at for at, visit in enumerate(visits) if visit.step == step), None)
        if at is not None:
            elapsed_h = worked_hours(job, step=step, clock=clock)
            hours[:, 0, at] = _draw_rest(visits[at], elapsed_h=elapsed_h, stream=stream, count=count)
    if begun and job.started_at is not None:
        at = next((at for at, visit in enumerate(visits) if visit.step is job.at_step), 0)
        hours[:, 0, :at] = np.nan
        elapsed_h = worked_hours(job, step=visits[at].step, clock=clock)
        centre = state.centres[visits[at].station]
        if centre.batch is not None:
            stream = seed_stream(luck.seed, name=f"run {centre.slug} {job.started_at.isoformat()}")
        hours[:, 0, at] = _draw_rest(visits[at], elapsed_h=elapsed_h, stream=stream, count=count)
    return Group(
        job.job_number,
        job.family,
        visits,
        hours,
        days,
        ready[:, None],
        priority=job.priority,
        begun=begun,
        announced=is_announced(job),
        came_hours=_came_hours(job, clock=clock),
    )


def _came_hours(job: LiveJob, *, clock: ShopClock) -> float | None:
    if is_announced(job):
        return None
    return min(clock.hours_at(job.arrived_at or job.waiting_since or clock.now), 0.0)


def _draw_rest(visit: PlannedVisit, *, elapsed_h: float, stream: np.random.Generator, count: int) -> Array:
    """Return the hours that are left of a visit; a second round takes its share of the ordinary hours."""
    ordinary_h = elapsed_h / visit.effort
    return visit.effort * draw_remaining(visit.fit, elapsed_units=ordinary_h, stream=stream, count=count)
