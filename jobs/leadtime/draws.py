"""Which random numbers one forecast runs on.

Every number of chance is drawn here, before an engine runs. Every job has its own random stream, seeded by
its number, so one more job on the shelf leaves the luck of the others as it was and dates do not flicker.
"""

import math
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from jobs.domain.stages import HoldKind
from jobs.leadtime.clock import ShopClock
from jobs.leadtime.floor import Array, Draws
from jobs.leadtime.history import SEED_WEIGHT, DurationFit
from jobs.leadtime.routes import Route
from jobs.leadtime.scene import Fits, PlannedVisit, plan_visits
from jobs.leadtime.state import LiveJob, Priority, ShopState

LEAST_HORIZON_WEEKS = 4.0
MOST_HORIZON_WEEKS = 16.0
MOST_BACKGROUND_JOBS = 600
HOLD_EXPECTED_SPREAD = 1.4  # estimate: how well an entered end of a hold is kept
STANDARD = NormalDist()


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
        return self.shifts[name] * (fit.log_sd / math.sqrt(fit.own_visits + SEED_WEIGHT))


def draw_logs(fit: DurationFit, *, stream: np.random.Generator, shape: tuple[int, ...]) -> Array:
    """Return log durations: the median with pooled residuals once there are enough, else lognormal."""
    if fit.residuals:
        uniform = stream.random(shape)
        at = np.searchsorted(np.array(fit.cumulative), uniform)
        residuals = np.array(fit.residuals)[np.minimum(at, len(fit.residuals) - 1)]
    else:
        residuals = fit.log_sd * stream.standard_normal(shape)
    return math.log(fit.median) + residuals


def draw_remaining(fit: DurationFit, *, elapsed: float, stream: np.random.Generator, count: int) -> Array:
    """Return how much longer something takes that has lasted `elapsed`, lognormal as fitted.

    Draws from the part of the distribution above `elapsed`: survival u S(elapsed), u uniform.
    """
    if elapsed <= 0.0:
        return np.exp(draw_logs(fit, stream=stream, shape=(count,)))
    centred = (math.log(elapsed) - math.log(fit.median)) / fit.log_sd
    survival = max(0.5 * math.erfc(centred / math.sqrt(2.0)), 1e-300)
    levels = np.clip(stream.random(count), 1e-12, 1.0) * survival
    drawn = [-STANDARD.inv_cdf(float(level)) if level < 1.0 else centred for level in levels]
    total = fit.median * np.exp(fit.log_sd * np.array(drawn))
    return np.maximum(total - elapsed, 1e-6)


def draw_visits(
    visits: Sequence[PlannedVisit], *, family: str, stream: np.random.Generator, luck: Luck, jobs: int
) -> tuple[Array, Array]:
    """Return hours (not-a-number where skipped) and following wait days, each (replication, job, visit)."""
    shape = (luck.replications, jobs)
    hours = np.full((*shape, len(visits)), np.nan)
    days = np.zeros((*shape, len(visits)))
    failing = np.ones(shape, dtype=bool)
    for at, visit in enumerate(visits):
        logs = draw_logs(visit.fit, stream=stream, shape=shape)
        logs += luck.shift_of(visit.fit, name=f"{family} {visit.step}")[:, None]
        needed = stream.random(shape) < visit.needed_share
        if visit.round_again:
            failing &= needed
            needed = failing
        hours[:, :, at] = np.where(needed, visit.effort * np.exp(logs), np.nan)
        for wait, fit in visit.waits:
            wait_logs = draw_logs(fit, stream=stream, shape=shape)
            wait_logs += luck.shift_of(fit, name=f"{family} {wait.kind}")[:, None]
            waits = stream.random(shape) < wait.needed_share
            days[:, :, at] += np.where(waits, np.exp(wait_logs), 0.0)
    return hours, days


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Jobs drawn together: all have the same family and the same visits ahead."""

    name: str
    family: str
    visits: tuple[PlannedVisit, ...]
    hours: Array
    wait_days: Array
    ready_hours: Array
    priority: Priority = Priority.ORDINARY
    begun: bool = False


def judge_horizon(live: Sequence[Group], *, hands: int, week_hours: float) -> float:
    """Return for how many weeks arrivals have to be drawn: four, and half as long again as the backlog.

    What comes later stands behind the whole queue and can no longer delay it noticeably; at most 16 weeks.
    """
    backlog_h = sum(float(np.nan_to_num(group.hours).sum(axis=(1, 2)).mean()) for group in live)
    weeks = LEAST_HORIZON_WEEKS + 1.5 * backlog_h / max(hands * week_hours, 1.0)
    return min(weeks, MOST_HORIZON_WEEKS)


def draw_arrivals(
    per_week: float, *, weeks_ahead: float, stream: np.random.Generator, replications: int, clock: ShopClock
) -> Array:
    """Return Poisson arrival moments in working hours, infinite beyond `weeks_ahead`: (replication, job).

    Parcels come on any day of the week; what comes while the shop is closed is there when it opens.
    """
    most = min(math.ceil(per_week * weeks_ahead * 1.2 + 8.0), MOST_BACKGROUND_JOBS)
    weeks = np.cumsum(stream.exponential(1.0 / per_week, size=(replications, most)), axis=1)
    grid_weeks = np.linspace(0.0, weeks_ahead, math.ceil(weeks_ahead * 7 * 8) + 1)
    grid_hours = np.array([clock.hours_after_days(0.0, days=float(7.0 * week)) for week in grid_weeks])
    hours = np.interp(weeks, grid_weeks, grid_hours)
    # What came over a weekend opens in the order in which it came.
    return np.where(weeks <= weeks_ahead, hours + 1e-6 * weeks, np.inf)


def draw_ready(
    job: LiveJob, *, fits: Fits, stream: np.random.Generator, clock: ShopClock, count: int
) -> Array:
    """Return when a live job can join its next queue, in working hours from now, once per replication."""
    if job.hold is not None:
        return _draw_hold_end(job, job.hold, fits=fits, stream=stream, clock=clock, count=count)
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
        days = draw_remaining(fit, elapsed=elapsed, stream=stream, count=count)
    return np.array([clock.hours_after_days(0.0, days=float(day)) for day in days])


def is_begun(job: LiveJob) -> bool:
    """Whether the job holds a bench now; work on a held job has stopped."""
    return job.started_at is not None and job.hold is None


def stack_groups(
    groups: Sequence[Group], *, watched: int, replications: int, follow_hours: float = 0.0
) -> Draws:
    """Return the draws of all groups side by side; the first `watched` jobs are the ones to be finished."""
    longest = max((len(group.visits) for group in groups), default=0)

    def widen(values: Array, fill: float) -> Array:
        short = longest - values.shape[2]
        return np.pad(values, ((0, 0), (0, 0), (0, short)), constant_values=fill) if short else values

    empty = np.zeros((replications, 0, longest))
    sizes = [group.hours.shape[1] for group in groups]
    return Draws(
        stations_of=tuple(
            tuple(visit.station for visit in group.visits)
            for group, size in zip(groups, sizes, strict=True)
            for _ in range(size)
        ),
        priority=tuple(
            int(group.priority) for group, size in zip(groups, sizes, strict=True) for _ in range(size)
        ),
        in_progress=tuple(
            group.begun for group, size in zip(groups, sizes, strict=True) for _ in range(size)
        ),
        ready_hours=np.concatenate(
            [empty[:, :, 0] if longest else np.zeros((replications, 0))]
            + [group.ready_hours for group in groups],
            axis=1,
        ),
        service_hours=np.concatenate([empty] + [widen(group.hours, np.nan) for group in groups], axis=1),
        wait_days=np.concatenate([empty] + [widen(group.wait_days, 0.0) for group in groups], axis=1),
        watched=watched,
        follow_hours=follow_hours,
    )


def draw_live(
    job: LiveJob, *, route: Route, state: ShopState, fits: Fits, luck: Luck, clock: ShopClock
) -> Group:
    """Return the draws of one live job; work that has begun gets its remaining hours."""
    visits = plan_visits(route, family=job.family, job=job, state=state, fits=fits)
    stream = seed_stream(luck.seed, name=f"job {job.job_number}")
    ready = draw_ready(job, fits=fits, stream=stream, clock=clock, count=luck.replications)
    hours, days = draw_visits(visits, family=job.family, stream=stream, luck=luck, jobs=1)
    begun = is_begun(job) and bool(visits)
    if begun and job.started_at is not None:
        at = next((at for at, visit in enumerate(visits) if visit.step is job.at_step), 0)
        hours[:, 0, :at] = np.nan
        elapsed = -min(clock.hours_at(job.started_at), 0.0)
        fit = visits[at].fit
        hours[:, 0, at] = draw_remaining(fit, elapsed=elapsed, stream=stream, count=luck.replications)
    return Group(
        job.job_number, job.family, visits, hours, days, ready[:, None], priority=job.priority, begun=begun
    )
