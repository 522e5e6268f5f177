"""What every forecast of one shop state stands on: clock, usable routes, fits, draws of the live jobs.

All forecasts of a state, with or without a change to it, are built from this, so that the same job always
meets the same luck.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from jobs.leadtime.added_work import days_left
from jobs.leadtime.arrivals import draw_background, draw_newcomer, judge_weeks
from jobs.leadtime.at_hand import is_announced
from jobs.leadtime.clock import ShopClock, hours_per_day, refuse_without_zone, start_clock
from jobs.leadtime.closures import open_weekdays
from jobs.leadtime.draws import NOTHING, Group, Luck, Without, draw_live, stack_groups
from jobs.leadtime.engines import run_fastest
from jobs.leadtime.errors import NoRoute, NotEnoughRuns, RouteUnusable
from jobs.leadtime.floor import Engine, Kept
from jobs.leadtime.loads import Simulated
from jobs.leadtime.ranges import Refusal
from jobs.leadtime.routes import Problem, Route, find_route_problems, route_for
from jobs.leadtime.scene import Fits, build_floor, fit_state
from jobs.leadtime.state import LiveJob, ShopState

LEAST_REPLICATIONS = 20


@dataclass(frozen=True, slots=True, eq=False)
class Groundwork:
    """A shop state made ready to be simulated; `horizon_weeks` tells how far arrivals are drawn.

    The `jobs` stand in the order in which they joined their queues, `live` in the same.
    """

    state: ShopState
    clock: ShopClock
    routes: dict[str, Route]
    refusals: tuple[Refusal, ...]
    fits: Fits
    luck: Luck
    jobs: tuple[LiveJob, ...]
    live: tuple[Group, ...]
    horizon_weeks: float
    without: Without = NOTHING

    def looking_ahead(self, horizon_weeks: float) -> "Groundwork":
        """Return the same groundwork with arrivals drawn for so many weeks."""
        return replace(self, horizon_weeks=horizon_weeks)

    def added_hours(self, job: LiveJob) -> float:
        """Return the working hours of agreed extra work that still come on top of the job's route."""
        day_h = hours_per_day(self.state.working_hours)
        return days_left(job.added_work, clock=self.clock, day_hours=day_h) * day_h

    def newcomer(self, family: str) -> Group:
        """Return the draws of one unit of the family that stands in the shop now.

        Raises: NoRoute, RouteUnusable.
        """
        if family not in self.routes:
            route = route_for(self.state.routes, family=family)
            raise RouteUnusable(_find_problems(route, state=self.state))
        return draw_newcomer(
            family,
            route=self.routes[family],
            state=self.state,
            fits=self.fits,
            luck=self.luck,
            without=self.without,
        )

    def background(self) -> list[Group]:
        """Return the units that will have come in the weeks ahead."""
        return draw_background(
            self.routes,
            horizon_weeks=self.horizon_weeks,
            state=self.state,
            fits=self.fits,
            luck=self.luck,
            clock=self.clock,
            without=self.without,
        )

    def simulate(
        self,
        watched: Sequence[Group],
        others: Sequence[Group] = (),
        *,
        engine: Engine = run_fastest,
        follow_hours: float = 0.0,
        kept: Kept = Kept.ALL,
    ) -> Simulated:
        """Return the run of these groups, of which the `watched` come first and are finished.

        With `Kept.WATCHED` their visits alone are kept, in a good deal less time.
        """
        groups = [*watched, *others]
        draws = stack_groups(
            groups,
            watched=sum(group.hours.shape[1] for group in watched),
            replications=self.luck.replications,
            follow_hours=follow_hours,
            kept=kept,
        )
        passage = engine(build_floor(self.state, clock=self.clock), draws)
        return Simulated(groups, len(self.live), draws, passage)


def lay_groundwork(
    state: ShopState,
    *,
    now: datetime,
    replications: int,
    seed: int,
    fits: Fits | None = None,
    horizon_weeks: float | None = None,
    without: Without = NOTHING,
) -> Groundwork:
    """Return the groundwork of a state; `fits` and `horizon_weeks` are found if they are not given.

    Jobs and families whose route cannot be worked are left out and named in `refusals`.
    Raises: NoOpeningHours, MomentWithoutZone, NotEnoughRuns.
    """
    if replications < LEAST_REPLICATIONS:
        raise NotEnoughRuns(replications, least=LEAST_REPLICATIONS)
    clock = start_clock(state.working_hours, now=now)
    routes, refusals = sort_routes(state)
    if fits is None:
        fits = fit_state(state, routes=_in_order(routes), clock=clock)
    luck = Luck(seed, replications, {})
    known = [job for job in state.jobs if job.family in routes]
    # What came while the shop was shut has one working hour; the engines then go by the order of the jobs.
    jobs = tuple(sorted(known, key=lambda job: _joined_at(job, clock=clock)))
    live = tuple(
        draw_live(
            job,
            route=routes[job.family],
            state=state,
            fits=fits,
            luck=luck,
            clock=clock,
            without=without,
        )
        for job in jobs
    )
    if horizon_weeks is None:
        horizon_weeks = judge_weeks(live, state=state, clock=clock)
    return Groundwork(state, clock, routes, refusals, fits, luck, jobs, live, horizon_weeks, without)


def _joined_at(job: LiveJob, *, clock: ShopClock) -> datetime:
    """Return when the job joined its queue, or will; with no moment known it does so now.

    Raises: MomentWithoutZone.
    """
    moment = job.waiting_since or job.arrived_at or job.expected_at or clock.now
    refuse_without_zone(moment)
    return max(moment, clock.now) if is_announced(job) else moment


def _in_order(routes: dict[str, Route]) -> tuple[Route, ...]:
    return tuple(dict.fromkeys(routes.values()))


def _find_problems(route: Route, *, state: ShopState) -> tuple[Problem, ...]:
    open_on = open_weekdays(state.working_hours)
    return find_route_problems(route, centres=state.centres, people=state.people, open_on=open_on)


def sort_routes(state: ShopState) -> tuple[dict[str, Route], tuple[Refusal, ...]]:
    """Return the usable route of every family, and a refusal for each other family and its jobs."""
    usable: dict[str, Route] = {}
    refusals: list[Refusal] = []
    sentences: dict[str, str] = {}
    for route in state.routes:
        problems = _find_problems(route, state=state)
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
