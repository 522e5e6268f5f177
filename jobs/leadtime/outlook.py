"""How many units will be in the shop, how many go back in each of the coming weeks, and which promises hold.

Read from one run of the live queue with the arrivals of the weeks ahead. Every figure is a quantile over the
replications, so a shop that closes for a month shows no output in it and no less uncertainty behind it. The
chance of a promise is told by the levels at which dates are quoted: on the 8-in-10 date of today it is 0.8.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

import numpy as np

from jobs.leadtime.calibrate import level_at_hours, told_chance
from jobs.leadtime.clock import ShopClock
from jobs.leadtime.engines import run_fastest
from jobs.leadtime.floor import Array, Engine
from jobs.leadtime.groundwork import Groundwork, lay_groundwork
from jobs.leadtime.loads import Simulated
from jobs.leadtime.ranges import JobForecast, QuotedLevels
from jobs.leadtime.scene import Fits
from jobs.leadtime.state import ShopState

OUTLOOK_WEEKS = 12
REPLICATIONS = 200
QUOTED = (0.10, 0.50, 0.90)


@dataclass(frozen=True, slots=True)
class Fan:
    """A count ahead: in 1, 5 and 9 of 10 replications it is at most this."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True)
class WeekFan:
    """One week from its Monday: units in the shop at its end, and units ready to go back in it.

    `open_hours` are the working hours of the week that are still ahead; 0 means the shop is shut.
    """

    monday: date
    in_process: Fan
    output: Fan
    open_hours: float


@dataclass(frozen=True, slots=True)
class PromiseChance:
    """How likely the unit is ready by the end of the promised day, as past quotes have come true."""

    job_number: str
    promised_on: date
    kept_share: float


@dataclass(frozen=True, slots=True)
class PromiseMove:
    """How the chance of one promise changes."""

    job_number: str
    before_share: float
    after_share: float


@dataclass(frozen=True, slots=True)
class ShopOutlook:
    """The weeks ahead, the first of which is what is left of the running one."""

    computed_at: datetime
    replications: int
    in_process_now: int
    weeks: tuple[WeekFan, ...]


def look_out(
    state: ShopState,
    *,
    now: datetime,
    weeks: int = OUTLOOK_WEEKS,
    replications: int = REPLICATIONS,
    seed: int = 1,
    engine: Engine = run_fastest,
    fits: Fits | None = None,
) -> ShopOutlook:
    """Return the fan of the weeks ahead, as simulated; jobs whose route cannot be worked are not in it.

    Valid for weeks >= 1.
    Raises: NoOpeningHours, MomentWithoutZone, NotEnoughRuns.
    """
    ground = lay_groundwork(state, now=now, replications=replications, seed=seed, fits=fits)
    ground = ground.looking_ahead(max(ground.horizon_weeks, float(weeks)))
    follow_h = ground.clock.hours_after_days(0.0, days=7.0 * weeks)
    background = ground.background()
    if not ground.live and not background:
        empty = np.full((replications, 0), np.inf)
        fans = _read_weeks(empty, empty, clock=ground.clock, weeks=weeks)
        return ShopOutlook(now, replications, 0, fans)
    run = ground.simulate(ground.live, background, engine=engine, follow_hours=follow_h)
    finish = np.where(np.isnan(run.passage.finish_hours), np.inf, run.passage.finish_hours)
    return ShopOutlook(
        now,
        replications,
        sum(job.arrived_at is not None for job in ground.jobs),
        _read_weeks(_arrivals(run, ground=ground), finish, clock=ground.clock, weeks=weeks),
    )


def read_chances(
    finish: Array,
    *,
    ground: Groundwork,
    promises: Mapping[str, date],
    levels: QuotedLevels,
    family_levels: Mapping[str, QuotedLevels],
) -> tuple[PromiseChance, ...]:
    """Return the chance of each promise from the finish hours of the live jobs, (replication, job)."""
    found = []
    for at, job in enumerate(ground.jobs):
        promised_on = promises.get(job.job_number)
        if promised_on is not None:
            share = kept_share(finish[:, at], promised_on=promised_on, clock=ground.clock)
            chance = told_chance(share, levels=family_levels.get(job.family, levels))
            found.append(PromiseChance(job.job_number, promised_on, chance))
    return tuple(found)


def chances_of(
    jobs: Sequence[JobForecast],
    *,
    promises: Mapping[str, date],
    clock: ShopClock,
    levels: QuotedLevels,
    family_levels: Mapping[str, QuotedLevels],
) -> tuple[PromiseChance, ...]:
    """Return the chance of each promise by the very forecast that gives the dates of the job.

    So a promise on the 8-in-10 date has 8 in 10, and one before the likely date less than half.
    """
    found = []
    for job in jobs:
        promised_on = promises.get(job.job_number)
        if promised_on is None:
            continue
        until_h = _end_of(promised_on, clock=clock)
        share = level_at_hours(job.quantile_hours, hours=until_h) if until_h > 0.0 else 0.0
        chance = told_chance(share, levels=family_levels.get(job.family, levels))
        found.append(PromiseChance(job.job_number, promised_on, chance))
    return tuple(found)


def kept_share(finish: Array, *, promised_on: date, clock: ShopClock) -> float:
    """Return the share of the replications in which a unit is ready by the end of the promised day."""
    until_h = _end_of(promised_on, clock=clock)
    # With no working time left before the promised day is over, nothing can be ready by then.
    return round(float((finish <= until_h).mean()), 3) if until_h > 0.0 else 0.0


def _arrivals(run: Simulated, *, ground: Groundwork) -> Array:
    """Return when each unit is in the shop; a held job is there although no bench may take it yet."""
    arrived = run.draws.ready_hours.copy()
    for at, job in enumerate(ground.jobs):
        if job.arrived_at is not None:
            arrived[:, at] = 0.0
    return arrived


def _read_weeks(arrived: Array, finish: Array, *, clock: ShopClock, weeks: int) -> tuple[WeekFan, ...]:
    today = clock.now.astimezone(clock.zone).date()
    monday = today - timedelta(days=today.weekday())
    found = []
    if _is_over(monday, clock=clock):
        monday += timedelta(weeks=1)
    for week in range(weeks):
        start, end = monday + timedelta(weeks=week), monday + timedelta(weeks=week + 1)
        from_h, to_h = (max(clock.hours_at(_midnight(day, clock=clock)), 0.0) for day in (start, end))
        inside = ((arrived <= to_h) & (finish > to_h)).sum(axis=1)
        done = ((finish > from_h) & (finish <= to_h)).sum(axis=1)
        found.append(WeekFan(start, _fan(inside), _fan(done), round(to_h - from_h, 2)))
    return tuple(found)


def _is_over(monday: date, *, clock: ShopClock) -> bool:
    """Whether the shop worked in the week of this Monday and has no working time left in it."""
    from_h, to_h = (clock.hours_at(_midnight(monday + timedelta(days=at), clock=clock)) for at in (0, 7))
    return from_h < to_h <= 0.0


def _fan(counts: Array) -> Fan:
    low, likely, high = (float(count) for count in np.quantile(counts, QUOTED))
    return Fan(round(low, 1), round(likely, 1), round(high, 1))


def _end_of(day: date, *, clock: ShopClock) -> float:
    return clock.hours_at(_midnight(day + timedelta(days=1), clock=clock))


def _midnight(day: date, *, clock: ShopClock) -> datetime:
    return datetime.combine(day, time(0), clock.zone)
