"""When each unit will be back, and when one that arrives today would be.

One run simulates the live queue with the arrivals of the coming weeks. A newcomer of every family rides
along, and they delay each other a little: six of them by two working hours on average and four and a half at
most, against runs of their own (medians and 8-in-10 points, 1200 replications, 10 and 60 jobs in the shop).
The one family that matters, the one being booked, gets a run of its own through `forecast_newcomer`.
"""

from collections.abc import Sequence
from datetime import datetime

import numpy as np

from jobs.leadtime.arrivals import (
    LAST_IN_LINE_HOURS,
    arriving,
    draw_background,
    draw_newcomer,
    judge_weeks,
    take_turns,
)
from jobs.leadtime.clock import ShopClock, hours_per_day, start_clock
from jobs.leadtime.draws import Group, Luck, draw_live, stack_groups
from jobs.leadtime.errors import NoRoute, NotEnoughRuns, RouteUnusable
from jobs.leadtime.event_loop import run_event_loop
from jobs.leadtime.floor import Engine
from jobs.leadtime.loads import Simulated, look_ahead, measure_centres
from jobs.leadtime.ranges import (
    LEVELS,
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
from jobs.leadtime.routes import Route, find_route_problems, route_for
from jobs.leadtime.scene import PlannedVisit, build_floor, fit_state
from jobs.leadtime.state import LiveJob, ShopState

LEAST_REPLICATIONS = 20
REPLICATIONS = 300
DEFAULT_LEVELS = QuotedLevels()


def forecast_shop(
    state: ShopState,
    *,
    now: datetime,
    replications: int = REPLICATIONS,
    seed: int = 1,
    levels: QuotedLevels = DEFAULT_LEVELS,
    engine: Engine = run_event_loop,
) -> ShopForecast:
    """Return ranges for all live jobs and for a newcomer of every family, with loads and quiet weeks.

    The same state, now and seed give the same dates. Jobs and families whose route cannot be worked are
    named in `refusals`; the others are forecast as if those were not there.
    Raises: NoOpeningHours, MomentWithoutZone, NotEnoughRuns.
    """
    _refuse_few(replications)
    clock = start_clock(state.working_hours, now=now)
    routes, refusals = _sort_routes(state)
    fits = fit_state(state, routes=tuple(set(routes.values())), clock=clock)
    luck = Luck(seed, replications, {})
    jobs = [job for job in state.jobs if job.family in routes]
    live = [
        draw_live(job, route=routes[job.family], state=state, fits=fits, luck=luck, clock=clock)
        for job in jobs
    ]
    newcomers = {
        family: draw_newcomer(family, route=route, state=state, fits=fits, luck=luck)
        for family, route in routes.items()
    }
    riding = [
        take_turns(group, at=at, of=len(newcomers), replications=replications)
        for at, group in enumerate(newcomers.values())
    ]
    weeks_ahead = judge_weeks(live, state=state)
    background = draw_background(
        routes, weeks_ahead=weeks_ahead, state=state, fits=fits, luck=luck, clock=clock
    )
    run = _simulate(
        live,
        riding,
        background,
        replications=replications,
        state=state,
        clock=clock,
        engine=engine,
        follow_hours=clock.hours_after_days(0.0, days=7.0 * weeks_ahead),
    )
    day_h = hours_per_day(state.working_hours)
    job_forecasts = tuple(
        JobForecast(
            job.job_number,
            job.family,
            *_read(run, at=at, before=_before(job), state=state, clock=clock, levels=levels),
        )
        for at, job in enumerate(jobs)
    )
    newcomer_forecasts = tuple(
        NewcomerForecast(
            family,
            *_read(
                run,
                at=len(jobs) + at,
                before=ReasonKind.ARRIVAL,
                state=state,
                clock=clock,
                levels=levels,
            ),
        )
        for at, family in enumerate(newcomers)
    )
    centres, bottleneck, people_share = measure_centres(run, newcomers=newcomers, state=state)
    weeks, quiet_week = look_ahead(run, clock=clock, day_hours=day_h)
    return ShopForecast(
        computed_at=now,
        replications=replications,
        jobs=job_forecasts,
        newcomers=newcomer_forecasts,
        centres=centres,
        bottleneck=bottleneck,
        people_load_share=people_share,
        weeks=weeks,
        quiet_week=quiet_week,
        refusals=refusals,
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
    engine: Engine = run_event_loop,
) -> NewcomerForecast:
    """Return the range of one unit of the family that arrives at `arrives_at`, or now.

    Raises: NoRoute, RouteUnusable, NoOpeningHours, MomentWithoutZone, NotEnoughRuns.
    """
    _refuse_few(replications)
    clock = start_clock(state.working_hours, now=now)
    routes, _ = _sort_routes(state)
    if family not in routes:
        route = route_for(state.routes, family=family)
        raise RouteUnusable(find_route_problems(route, centres=state.centres, people=state.people))
    fits = fit_state(state, routes=tuple(set(routes.values())), clock=clock)
    luck = Luck(seed, replications, {})
    live = [
        draw_live(job, route=routes[job.family], state=state, fits=fits, luck=luck, clock=clock)
        for job in state.jobs
        if job.family in routes
    ]
    arrives_h = (
        max(clock.hours_at(arrives_at), LAST_IN_LINE_HOURS) if arrives_at is not None else LAST_IN_LINE_HOURS
    )
    newcomer = draw_newcomer(family, route=routes[family], state=state, fits=fits, luck=luck)
    newcomer = arriving(newcomer, ready=np.full((replications, 1), arrives_h))
    weeks_ahead = judge_weeks(live, state=state)
    background = draw_background(
        routes, weeks_ahead=weeks_ahead, state=state, fits=fits, luck=luck, clock=clock
    )
    # The newcomer comes first, so that a run may stop as soon as it is done.
    run = _simulate(
        [newcomer],
        [],
        [*live, *background],
        replications=replications,
        state=state,
        clock=clock,
        engine=engine,
    )
    return NewcomerForecast(
        family, *_read(run, at=0, before=ReasonKind.ARRIVAL, state=state, clock=clock, levels=levels)
    )


def _refuse_few(replications: int) -> None:
    if replications < LEAST_REPLICATIONS:
        raise NotEnoughRuns(replications, least=LEAST_REPLICATIONS)


def _sort_routes(state: ShopState) -> tuple[dict[str, Route], tuple[Refusal, ...]]:
    """Return the usable route of every family, and a refusal for each other family and its jobs."""
    usable: dict[str, Route] = {}
    refusals: list[Refusal] = []
    sentences: dict[str, str] = {}
    for route in state.routes:
        problems = find_route_problems(route, centres=state.centres, people=state.people)
        for family in route.families:
            if problems:
                sentences.setdefault(family, str(RouteUnusable(problems)))
                refusals.append(Refusal(family, str(RouteUnusable(problems))))
            else:
                usable.setdefault(family, route)
    for job in state.jobs:
        if job.family not in usable:
            why = sentences.get(job.family) or str(NoRoute(job.family))
            refusals.append(Refusal(job.family, why, job.job_number))
    return usable, tuple(refusals)


def _simulate(
    live: Sequence[Group],
    newcomers: Sequence[Group],
    others: Sequence[Group],
    *,
    replications: int,
    state: ShopState,
    clock: ShopClock,
    engine: Engine,
    follow_hours: float = 0.0,
) -> Simulated:
    groups = [*live, *newcomers, *others]
    watched = len(live) + len(newcomers)
    draws = stack_groups(groups, watched=watched, replications=replications, follow_hours=follow_hours)
    passage = engine(build_floor(state, clock=clock), draws)
    return Simulated(groups, len(live), draws, passage)


def _before(job: LiveJob) -> ReasonKind:
    return KIND_OF_HOLD[job.hold] if job.hold is not None else ReasonKind.ARRIVAL


def _read(
    run: Simulated,
    *,
    at: int,
    before: ReasonKind,
    state: ShopState,
    clock: ShopClock,
    levels: QuotedLevels,
) -> tuple[DateRange, tuple[float, ...]]:
    """Return the range of a watched job and its quantiles in working hours."""
    group = run.groups[at]
    finish = run.passage.finish_hours[:, at]
    finish = finish[np.isfinite(finish)]
    low, likely, high, latest = (
        clock.date_at(float(np.quantile(finish, level)))
        for level in (levels.low, levels.likely, levels.high, levels.latest)
    )
    parts = account(group.visits, passage=run.passage, job=at, before=before, centres=state.centres)
    reasons = rank_reasons(parts, centres=state.centres, day_hours=hours_per_day(state.working_hours))
    quantiles = tuple(round(float(hours), 3) for hours in np.quantile(finish, LEVELS))
    span = DateRange(low, likely, high, latest, clock.now, reasons, _judge_basis(group.visits))
    return span, quantiles


def _judge_basis(visits: Sequence[PlannedVisit]) -> BasedOn:
    own = [visit.fit.is_own for visit in visits]
    if own and all(own):
        return BasedOn.OWN_HISTORY
    return BasedOn.PARTLY_OWN if any(own) else BasedOn.SEED
