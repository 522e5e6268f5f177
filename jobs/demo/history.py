"""Eighteen months of the demo shop, worked through by the same simulation that forecasts it.

Arrivals are drawn, the event loop takes every unit over the benches, and each unit's passage is told as
events. What would happen after today is left out, so that the jobs in the shop today stand where the
simulation left them. Rows are written in bulk, but every event went through `JobLog`, as in the services.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random

import numpy as np

from jobs.leadtime.clock import ShopClock, start_clock
from jobs.leadtime.draws import Group, Luck, draw_visits, seed_stream, stack_groups
from jobs.leadtime.event_loop import run_event_loop
from jobs.leadtime.floor import Passage
from jobs.leadtime.routes import route_for
from jobs.leadtime.scene import PlannedVisit, build_floor, fit_state, plan_visits
from jobs.leadtime.state import ShopState
from packing.catalogue.schema import UnitModel

MONTHS_DAYS = 548
PER_WEEK = 16.5
FAMILY_SHARES = {
    "carburettor": 0.46,
    "magneto": 0.15,
    "distributor": 0.11,
    "lift_pump": 0.09,
    "injection_pump": 0.09,
    "sender": 0.05,
    "throttle_body": 0.03,
    "injector": 0.02,
}
SEASON = (0.8, 0.95, 1.2, 1.35, 1.3, 1.15, 1.0, 0.95, 0.95, 0.85, 0.75, 0.7)
"""Work by month, January first: common practice, a pile in spring and a quiet late autumn."""


@dataclass(frozen=True, slots=True)
class BenchVisit:
    """One visit to a bench as it was worked: step, start, end, and the wait that followed."""

    visit: PlannedVisit
    started_at: datetime
    ended_at: datetime
    wait_days: float


@dataclass(frozen=True, slots=True)
class WorkedUnit:
    """One unit that came to the shop: which, when it arrived, and its visits in order."""

    model: UnitModel
    arrived_at: datetime
    visits: tuple[BenchVisit, ...]


def work_history(
    state: ShopState, *, models: Sequence[UnitModel], now: datetime, seed: int
) -> tuple[WorkedUnit, ...]:
    """Return every unit that arrives from 18 months ago to a fortnight ahead, with its simulated visits."""
    start = now - timedelta(days=MONTHS_DAYS)
    clock = start_clock(state.working_hours, now=start)
    dice = Random(seed)  # noqa: S311 - a story, not a secret
    routed = {family for route in state.routes for family in route.families}
    by_family: dict[str, list[UnitModel]] = {}
    for model in models:
        if model.family in routed:
            by_family.setdefault(model.family, []).append(model)
    arrivals = list(_arrivals(dice, clock=clock, until=now + timedelta(days=14)))
    chosen = [_choose(dice, by_family=by_family) for _ in arrivals]
    groups = _groups(state, clock=clock, chosen=chosen, arrivals=arrivals, seed=seed)
    draws = stack_groups(groups, watched=len(groups), replications=1)
    passage = run_event_loop(build_floor(state, clock=clock), draws)
    return tuple(
        WorkedUnit(
            model=model,
            arrived_at=clock.moment_at(hours),
            visits=tuple(_visits(group, at=at, passage=passage, clock=clock)),
        )
        for at, (model, hours, group) in enumerate(zip(chosen, arrivals, groups, strict=True))
    )


def _arrivals(dice: Random, *, clock: ShopClock, until: datetime) -> Iterator[float]:
    """Yield arrival moments in working hours: Poisson by week, thinned by the season."""
    last = clock.hours_at(until)
    most = max(SEASON)
    week_hours = clock.hours_at(clock.now + timedelta(days=28)) / 4
    at = 0.0
    while True:
        at += dice.expovariate(PER_WEEK * most / week_hours)
        if at >= last:
            return
        if dice.random() < SEASON[clock.moment_at(at).month - 1] / most:
            yield at


def _choose(dice: Random, *, by_family: dict[str, list[UnitModel]]) -> UnitModel:
    families = [family for family in FAMILY_SHARES if family in by_family]
    family = dice.choices(families, weights=[FAMILY_SHARES[family] for family in families])[0]
    return dice.choice(by_family[family])


def _groups(
    state: ShopState,
    *,
    clock: ShopClock,
    chosen: Sequence[UnitModel],
    arrivals: Sequence[float],
    seed: int,
) -> list[Group]:
    fits = fit_state(state, routes=state.routes, clock=clock)
    luck = Luck(seed, 1, {})
    groups = []
    for at, (model, hours) in enumerate(zip(chosen, arrivals, strict=True)):
        route = route_for(state.routes, family=model.family)
        visits = plan_visits(route, family=model.family, job=None, state=state, fits=fits)
        stream = seed_stream(seed, name=f"unit {at}")
        service, days = draw_visits(visits, family=model.family, stream=stream, luck=luck, jobs=1)
        groups.append(Group(f"unit {at}", model.family, visits, service, days, np.array([[hours + 2.0]])))
    return groups


def _visits(group: Group, *, at: int, passage: Passage, clock: ShopClock) -> Iterator[BenchVisit]:
    for column, visit in enumerate(group.visits):
        begun, ended = passage.start_hours[0, at, column], passage.end_hours[0, at, column]
        if np.isfinite(begun) and np.isfinite(ended):
            yield BenchVisit(
                visit=visit,
                started_at=clock.moment_at(float(begun)),
                ended_at=clock.moment_at(float(ended)),
                wait_days=float(group.wait_days[0, 0, column]),
            )
