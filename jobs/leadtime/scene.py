"""What lies ahead of each job, and with which capacities it is worked.

Turns a `ShopState` and its history into fits, a `Floor`, and the visits ahead of a job. A route is unrolled:
assembling and testing again after a failed test are further visits, skipped where the unit passes.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta

from jobs.domain.stages import HoldKind
from jobs.leadtime.at_hand import is_begun, worked_hours
from jobs.leadtime.clock import ShopClock, Weekday
from jobs.leadtime.drift import Drift, find_drifts, shorten_half_lives
from jobs.leadtime.floor import Away, Floor, Station
from jobs.leadtime.history import SEED_WEIGHT, DurationFit, Seed, StageVisit, fit_stages, fit_waits
from jobs.leadtime.routes import REDONE_STEPS, BenchStep, Person, Route, RouteWait
from jobs.leadtime.state import LiveJob, ShopState

MOST_REWORKS = 2
WEEKS_OF_DAYS_OFF = 60
HOLD_SEEDS = {
    # common practice, no published source: customer silent 2 days, tail of 3 weeks; parts 2-8 weeks when made
    # to order; an outside trade 1-3 weeks; unpaid 0-3 weeks.
    HoldKind.ANSWER: Seed(2.0, 3.0),
    HoldKind.PARTS: Seed(12.0, 2.2),
    HoldKind.OUTSIDE: Seed(14.0, 1.5),
    HoldKind.PAYMENT: Seed(4.0, 2.5),
}

StageFits = Mapping[tuple[str, BenchStep], DurationFit]
WaitFits = Mapping[tuple[str, HoldKind], DurationFit]


@dataclass(frozen=True, slots=True)
class PlannedVisit:
    """One visit that lies ahead: its step, station, the fit of its hours, and the waits that follow."""

    step: BenchStep
    station: int
    fit: DurationFit
    needed_share: float = 1.0
    effort: float = 1.0
    round_again: int = 0
    waits: tuple[tuple[RouteWait, DurationFit], ...] = ()


@dataclass(frozen=True, slots=True)
class Fits:
    """The fitted durations of steps and waits, the shares of skippable steps, and the steps that changed."""

    stages: StageFits
    waits: WaitFits
    needed_shares: Mapping[tuple[str, BenchStep], float]
    drifts: tuple[Drift, ...] = ()
    wait_shares: Mapping[tuple[str, HoldKind], float] = field(default_factory=dict)
    rework_shares: Mapping[str, float] = field(default_factory=dict)


def fit_state(state: ShopState, *, routes: Sequence[Route], clock: ShopClock) -> Fits:
    """Return what the shop's history says about every family of the routes."""
    stage_seeds: dict[tuple[str, BenchStep], Seed] = {}
    wait_seeds: dict[tuple[str, HoldKind], Seed] = {}
    shares: dict[tuple[str, BenchStep], float] = {}
    counted = {(need.family, need.step): need for need in state.needs}
    for route in routes:
        for family in route.families:
            wait_seeds.update({(family, kind): seed for kind, seed in HOLD_SEEDS.items()})
            for planned in route.steps:
                stage_seeds[family, planned.step] = Seed(planned.median_hours, planned.spread_factor)
                for wait in planned.waits:
                    wait_seeds[family, wait.kind] = Seed(wait.median_days, wait.spread_factor)
                need = counted.get((family, planned.step))
                share = planned.needed_share
                if need is not None and share < 1.0:
                    share = (need.needed + SEED_WEIGHT * share) / (need.seen + SEED_WEIGHT)
                shares[family, planned.step] = share
    today = clock.date_at(0.0)
    drifts = find_drifts(state.visits, seeds=stage_seeds, today=today)
    return Fits(
        fit_stages(
            (*state.visits, *_open_visits(state, clock=clock, today=today)),
            seeds=stage_seeds,
            today=today,
            half_lives_days=shorten_half_lives(drifts),
        ),
        fit_waits(state.waits, seeds=wait_seeds, today=today),
        shares,
        drifts,
        _fit_wait_shares(state, routes=routes),
        _fit_rework_shares(state, routes=routes),
    )


def _fit_wait_shares(state: ShopState, *, routes: Sequence[Route]) -> dict[tuple[str, HoldKind], float]:
    """Return how often a wait that stands once on a route was needed, mixed with the route's figure."""
    counted = {(need.family, need.kind): need for need in state.wait_needs}
    shares = {}
    for route in routes:
        waits = [wait for planned in route.steps for wait in planned.waits]
        kinds = [wait.kind for wait in waits]
        for wait in waits:
            for family in route.families:
                need = counted.get((family, wait.kind))
                if need is not None and kinds.count(wait.kind) == 1 and wait.needed_share < 1.0:
                    weight = need.needed + SEED_WEIGHT * wait.needed_share
                    shares[family, wait.kind] = weight / (need.seen + SEED_WEIGHT)
    return shares


def _fit_rework_shares(state: ShopState, *, routes: Sequence[Route]) -> dict[str, float]:
    """Return how often a unit failed its test, mixed with the route's figure."""
    counted = {tests.family: tests for tests in state.failed_tests}
    return {
        family: (counted[family].failed + SEED_WEIGHT * route.rework_share)
        / (counted[family].seen + SEED_WEIGHT)
        for route in routes
        for family in route.families
        if family in counted and route.rework_share > 0.0
    }


def _open_visits(state: ShopState, *, clock: ShopClock, today: date) -> list[StageVisit]:
    """Return the work at hand as visits that have lasted at least so long."""
    if any(visit.open for visit in state.visits):
        return []  # the history has them already
    return [
        StageVisit(job.family, step, worked_h, today, open=True)
        for job in state.jobs
        for step in _steps_at_hand(job)
        if not (job.failed_tests and step in REDONE_STEPS)  # a second round says nothing of the first
        if (worked_h := worked_hours(job, step=step, clock=clock)) > 0.0
    ]


def _steps_at_hand(job: LiveJob) -> set[BenchStep]:
    """Return the steps that were begun and are not finished."""
    put_down = {BenchStep(span.step) for span in job.put_down}
    return put_down | {job.at_step} if job.at_step is not None and is_begun(job) else put_down


def build_floor(state: ShopState, *, clock: ShopClock) -> Floor:
    """Return the shop's capacities; people who serve fewer centres are sent first."""
    served = {
        person.slug: sum(person.slug in centre.people for centre in state.centres) for person in state.people
    }
    order = sorted(served, key=lambda slug: (served[slug], slug))
    bit = {slug: 1 << at for at, slug in enumerate(order)}
    stations = tuple(
        Station(centre.benches, sum(bit[slug] for slug in set(centre.people) if slug in bit), centre.batch)
        for centre in state.centres
    )
    return Floor(stations, len(order), clock, _list_absences(state, order=order, served=served, clock=clock))


def _list_absences(
    state: ShopState, *, order: Sequence[str], served: Mapping[str, int], clock: ShopClock
) -> tuple[Away, ...]:
    """Return who is away when, in working hours from now; days off that touch each other are one absence."""
    found: list[Away] = []
    for person in state.people:
        if not served[person.slug]:
            continue
        bit, until_h = order.index(person.slug), 0.0
        for from_h, to_h in sorted(_spans_off(person, clock=clock)):
            if to_h <= max(from_h, until_h):
                continue
            if found and found[-1].person == bit and from_h <= until_h:
                from_h = found.pop().from_hours  # noqa: PLW2901 - one longer absence
            found.append(Away(bit, from_h, to_h))
            until_h = to_h
    return tuple(found)


def _spans_off(person: Person, *, clock: ShopClock) -> Iterator[tuple[float, float]]:
    """Yield each stretch of days off, from and to; the weekly ones as far ahead as anybody looks."""
    days = [(absence.first, absence.last) for absence in person.absences]
    today = clock.date_at(0.0)
    monday = today - timedelta(days=today.weekday())
    for week in range(WEEKS_OF_DAYS_OFF):
        for at, weekday in enumerate(Weekday):
            if weekday in person.days_off:
                day = monday + timedelta(weeks=week, days=at)
                days.append((day, day))
    for first, last in days:
        yield (
            clock.hours_at(datetime.combine(first, time(0), clock.zone)),
            clock.hours_at(datetime.combine(last + timedelta(days=1), time(0), clock.zone)),
        )


def plan_visits(
    route: Route, *, family: str, job: LiveJob | None, state: ShopState, fits: Fits
) -> tuple[PlannedVisit, ...]:
    """Return the visits that lie ahead of a job, or of a newcomer if `job` is None."""
    station_of = {centre.slug: at for at, centre in enumerate(state.centres)}
    done, skips, needs = ((), (), ()) if job is None else (job.done, job.skips, job.needs)
    over = job.hold if job is not None else None
    failed = job.failed_tests if job is not None else 0
    last_done = max((at for at, planned in enumerate(route.steps) if planned.step in done), default=-1)
    visits: list[PlannedVisit] = []
    for at, planned in enumerate(route.steps):
        passed = at < last_done and planned.needed_share < 1.0
        if planned.step in done or planned.step in skips or passed:
            continue
        share = 1.0 if planned.step in needs else fits.needed_shares[family, planned.step]
        at_hand = job is not None and job.at_step is planned.step
        again = bool(failed) and planned.step in REDONE_STEPS
        visits.append(
            PlannedVisit(
                planned.step,
                station_of[planned.work_centre],
                fits.stages[family, planned.step],
                needed_share=1.0 if at_hand else share,
                effort=route.rework_effort if again else 1.0,
                waits=tuple(
                    (_as_fitted(wait, family=family, fits=fits), fits.waits[family, wait.kind])
                    for wait in planned.waits
                    if wait.kind is not over and not again
                ),
            )
        )
        if planned.step is BenchStep.TEST and route.rework_share > 0.0:
            rework = _plan_rework(route, family=family, station_of=station_of, fits=fits)
            visits.extend(visit for visit in rework if visit.round_again > failed)
    return tuple(visits)


def _as_fitted(wait: RouteWait, *, family: str, fits: Fits) -> RouteWait:
    share = fits.wait_shares.get((family, wait.kind))
    return wait if share is None else replace(wait, needed_share=min(max(share, 1e-6), 1.0))


def _plan_rework(
    route: Route, *, family: str, station_of: Mapping[str, int], fits: Fits
) -> list[PlannedVisit]:
    redone = [planned for planned in route.steps if planned.step in REDONE_STEPS]
    return [
        PlannedVisit(
            planned.step,
            station_of[planned.work_centre],
            fits.stages[family, planned.step],
            needed_share=1.0 if at else fits.rework_shares.get(family, route.rework_share),
            effort=route.rework_effort,
            round_again=again,
        )
        for again in range(1, MOST_REWORKS + 1)
        for at, planned in enumerate(redone)
    ]
