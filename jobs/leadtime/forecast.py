"""When each unit will be back, and when one that arrives today would be.

One run simulates the live queue with the arrivals of the coming weeks, and gives the dates of its jobs. In
a second one a newcomer of every family rides along: so many more units at once would put the dates of the
jobs days too late (by five, the middle one of a loaded shop's). They delay each other a little: six of them
by two working hours on average and four and a half at most, against runs of their own (medians and 8-in-10
points, 1200 replications, 10 and 60 jobs in the shop).
The one family that matters, the one being booked, gets a run of its own through `forecast_newcomer`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

import numpy as np

from jobs.leadtime.added_work import add_work
from jobs.leadtime.arrivals import LAST_IN_LINE_HOURS, arriving, take_turns
from jobs.leadtime.clock import A_MOMENT_H, ShopClock, hours_per_day
from jobs.leadtime.engines import run_fastest
from jobs.leadtime.errors import QueueTooLong
from jobs.leadtime.floor import Engine, Kept
from jobs.leadtime.groundwork import LEAST_REPLICATIONS, lay_groundwork
from jobs.leadtime.loads import Simulated, look_ahead, measure_centres
from jobs.leadtime.ranges import (
    DEFAULT_LEVELS,
    LEVELS,
    NO_FAMILY_LEVELS,
    BasedOn,
    DateRange,
    JobForecast,
    NewcomerForecast,
    QuotedLevels,
    ReasonKind,
    Refusal,
    ShopForecast,
)
from jobs.leadtime.reasons import KIND_OF_HOLD, account, rank_reasons
from jobs.leadtime.scene import Fits, PlannedVisit
from jobs.leadtime.state import LiveJob, Priority, ShopState

__all__ = ["LEAST_REPLICATIONS", "REPLICATIONS", "forecast_newcomer", "forecast_shop"]
REPLICATIONS = 300


def forecast_shop(
    state: ShopState,
    *,
    now: datetime,
    replications: int = REPLICATIONS,
    seed: int = 1,
    levels: QuotedLevels = DEFAULT_LEVELS,
    family_levels: Mapping[str, QuotedLevels] = NO_FAMILY_LEVELS,
    engine: Engine = run_fastest,
) -> ShopForecast:
    """Return ranges for all live jobs and for a newcomer of every family, with loads and quiet weeks.

    A family that `family_levels` does not name is quoted at `levels`. The same state, now and seed give the
    same dates. Jobs and families whose route cannot be worked are named in `refusals`; the others are
    forecast as if those were not there. Those whose dates lie beyond four years are named there too.
    Raises: NoOpeningHours, MomentWithoutZone, NotEnoughRuns.
    """
    ground = lay_groundwork(state, now=now, replications=replications, seed=seed)
    clock, jobs, day_h = ground.clock, ground.jobs, hours_per_day(state.working_hours)
    newcomers = {family: ground.newcomer(family) for family in ground.routes}
    riding = [
        take_turns(group, at=at, of=len(newcomers), replications=replications)
        for at, group in enumerate(newcomers.values())
    ]
    background = ground.background()
    run = ground.simulate(
        [*ground.live, *riding],
        background,
        engine=engine,
        follow_hours=clock.hours_after_days(0.0, days=7.0 * ground.horizon_weeks),
    )
    alone = run
    if ground.live:
        alone = ground.simulate(ground.live, background, engine=engine, kept=Kept.WATCHED)
    refusals = list(ground.refusals)
    job_forecasts: list[JobForecast] = []
    for at, job in enumerate(jobs):
        quoted, before = family_levels.get(job.family, levels), before_first_queue(job)
        try:
            told = read_range(alone, at=at, before=before, state=state, clock=clock, levels=quoted)
            found = JobForecast(job.job_number, job.family, *told)
            work_days = ground.added_hours(job) / day_h
            job_forecasts.append(add_work(found, work_days=work_days, clock=clock, day_hours=day_h))
        except QueueTooLong as refusal:
            refusals.append(Refusal(job.family, str(refusal), job.job_number))
    newcomer_forecasts: list[NewcomerForecast] = []
    for at, family in enumerate(newcomers, len(jobs)):
        quoted, before = family_levels.get(family, levels), ReasonKind.ARRIVAL
        try:
            told = read_range(run, at=at, before=before, state=state, clock=clock, levels=quoted)
            newcomer_forecasts.append(NewcomerForecast(family, *told))
        except QueueTooLong as refusal:
            refusals.append(Refusal(family, str(refusal)))
    centres, limit, people_share = measure_centres(run, newcomers=newcomers, state=state)
    weeks, quiet_week = look_ahead(run, clock=clock, day_hours=day_h)
    return ShopForecast(
        computed_at=now,
        replications=replications,
        jobs=tuple(job_forecasts),
        newcomers=tuple(newcomer_forecasts),
        centres=centres,
        limit=limit,
        people_load_share=people_share,
        weeks=weeks,
        quiet_week=quiet_week,
        refusals=tuple(refusals),
        drifts=ground.fits.drifts,
    )


def forecast_newcomer(
    state: ShopState,
    *,
    family: str,
    now: datetime,
    arrives_at: datetime | None = None,
    replications: int = REPLICATIONS,
    seed: int = 1,
    levels: QuotedLevels = DEFAULT_LEVELS,
    engine: Engine = run_fastest,
    fits: Fits | None = None,
    horizon_weeks: float | None = None,
    priority: Priority = Priority.ORDINARY,
) -> NewcomerForecast:
    """Return the range of one unit of the family that arrives at `arrives_at`, or now.

    `fits` and `horizon_weeks` may be given where many quotes are made of one history.
    Raises: NoRoute, RouteUnusable, NoOpeningHours, MomentWithoutZone, NotEnoughRuns, QueueTooLong.
    """
    ground = lay_groundwork(
        state, now=now, replications=replications, seed=seed, fits=fits, horizon_weeks=horizon_weeks
    )
    clock = ground.clock
    newcomer = ground.newcomer(family)
    arrives_h = LAST_IN_LINE_HOURS
    if arrives_at is not None:
        arrives_h = max(clock.hours_at(arrives_at), LAST_IN_LINE_HOURS)
    newcomer = replace(arriving(newcomer, ready=np.full((replications, 1), arrives_h)), priority=priority)
    # The newcomer comes first, so that a run may stop as soon as it is done.
    others = [*ground.live, *ground.background()]
    run = ground.simulate([newcomer], others, engine=engine, kept=Kept.WATCHED)
    return NewcomerForecast(
        family, *read_range(run, at=0, before=ReasonKind.ARRIVAL, state=state, clock=clock, levels=levels)
    )


def before_first_queue(job: LiveJob) -> ReasonKind:
    """Return on what the time is spent until the job joins its first queue."""
    return KIND_OF_HOLD[job.hold] if job.hold is not None else ReasonKind.ARRIVAL


def read_range(
    run: Simulated,
    *,
    at: int,
    before: ReasonKind,
    state: ShopState,
    clock: ShopClock,
    levels: QuotedLevels,
) -> tuple[DateRange, tuple[float, ...]]:
    """Return the range of a watched job and its quantiles in working hours.

    Raises: QueueTooLong.
    """
    group = run.groups[at]
    finish = run.passage.finish_hours[:, at]
    finish = finish[np.isfinite(finish)]
    if not clock.reaches(float(np.quantile(finish, levels.latest))):
        raise QueueTooLong(group.family)
    low, likely, high, latest = (
        # A moment at the least: a unit that is finished on a closed day leaves on the next open one.
        clock.date_at(max(float(np.quantile(finish, level)), A_MOMENT_H))
        for level in (levels.low, levels.likely, levels.high, levels.latest)
    )
    parts = account(
        group.visits,
        passage=run.passage,
        service_hours=run.draws.service_hours,
        job=at,
        before=before,
        centres=state.centres,
    )
    reasons = rank_reasons(parts, centres=state.centres, day_hours=hours_per_day(state.working_hours))
    quantiles = tuple(round(float(hours), 3) for hours in np.quantile(finish, LEVELS))
    span = DateRange(low, likely, high, latest, clock.now, reasons, _judge_basis(group.visits))
    return span, quantiles


def _judge_basis(visits: Sequence[PlannedVisit]) -> BasedOn:
    own = [visit.fit.is_own for visit in visits]
    if own and all(own):
        return BasedOn.OWN_HISTORY
    return BasedOn.PARTLY_OWN if any(own) else BasedOn.SEED
