"""What each queue and each wait costs every job, found by working the shop once more without it.

The account in `reasons` says where a job's time goes. This says what would be gained if one thing were not
there: no queue before the strip bench, parts at once, an answer the same hour. Every run meets the same luck,
so the difference is the effect. Gains do not add up: without one queue, jobs meet in the next.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from jobs.domain.stages import HoldKind
from jobs.leadtime.clock import hours_per_day
from jobs.leadtime.engines import run_fastest
from jobs.leadtime.floor import Array, Draws, Engine, Floor, Passage
from jobs.leadtime.groundwork import Groundwork, lay_groundwork
from jobs.leadtime.ranges import ReasonKind
from jobs.leadtime.reasons import KIND_OF_HOLD
from jobs.leadtime.scene import Fits
from jobs.leadtime.state import ShopState
from jobs.leadtime.words import working_days_in_words

REPLICATIONS = 100
UNLIMITED = 1_000_000
LEAST_SHOWN_DAYS = 0.25
SENTENCES = {
    ReasonKind.QUEUE: "Without the queue at the {centre} it would be done {days} earlier.",
    ReasonKind.BATCH: "If the {centre} ran for every unit at once it would be done {days} earlier.",
    ReasonKind.ANSWER: "With your answer at once it would be done {days} earlier.",
    ReasonKind.PARTS: "With all parts on the shelf it would be done {days} earlier.",
    ReasonKind.OUTSIDE: "Without the outside trade it would be done {days} earlier.",
    ReasonKind.PAYMENT: "Paid at once it would go back {days} earlier.",
}


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one thing costs: the mean gain in working days if it were not there."""

    kind: ReasonKind
    working_days: float
    sentence: str
    work_centre: str = ""


@dataclass(frozen=True, slots=True)
class JobContributions:
    """The largest contributions to one job, or to a newcomer of the family if it has no number."""

    job_number: str
    family: str
    contributions: tuple[Contribution, ...]


def weigh_contributions(
    state: ShopState,
    *,
    now: datetime,
    newcomers: Sequence[str] = (),
    most: int = 3,
    replications: int = REPLICATIONS,
    seed: int = 1,
    engine: Engine = run_fastest,
    fits: Fits | None = None,
) -> tuple[JobContributions, ...]:
    """Return the `most` largest contributions to every live job and to a newcomer of the given families.

    One run with everything, one without each centre's queue, and one without each kind of wait that occurs.
    Raises: NoRoute, RouteUnusable, NoOpeningHours, MomentWithoutZone, NotEnoughRuns.
    """
    ground = lay_groundwork(state, now=now, replications=replications, seed=seed, fits=fits)
    base = _mean_finishes(ground, newcomers=newcomers, engine=engine)
    names = [(job.job_number, job.family) for job in ground.jobs] + [("", family) for family in newcomers]
    found: list[list[Contribution]] = [[] for _ in names]
    day_h = hours_per_day(state.working_hours)

    def note(kind: ReasonKind, means: Array, *, centre: str = "", name: str = "") -> None:
        for at, gained_h in enumerate(base - means):
            days = float(gained_h) / day_h
            if days >= LEAST_SHOWN_DAYS:
                words = SENTENCES[kind].format(
                    centre=name[:1].lower() + name[1:], days=working_days_in_words(days)
                )
                found[at].append(Contribution(kind, round(days, 3), words, centre))

    for place, centre in enumerate(state.centres):
        without = _Unlimited(engine, station=place)
        means = _mean_finishes(ground, newcomers=newcomers, engine=without)
        kind = ReasonKind.QUEUE if centre.batch is None else ReasonKind.BATCH
        note(kind, means, centre=centre.slug, name=centre.name)
    for hold in _kinds_that_occur(ground):
        shorter = lay_groundwork(
            state,
            now=now,
            replications=replications,
            seed=seed,
            fits=ground.fits,
            horizon_weeks=ground.horizon_weeks,
            without=frozenset({hold}),
        )
        note(KIND_OF_HOLD[hold], _mean_finishes(shorter, newcomers=newcomers, engine=engine))
    return tuple(
        JobContributions(number, family, tuple(sorted(own, key=lambda c: -c.working_days)[:most]))
        for (number, family), own in zip(names, found, strict=True)
    )


@dataclass(frozen=True, slots=True)
class _Unlimited:
    """An engine that works a floor as if one station had room and hands for all."""

    engine: Engine
    station: int

    def __call__(self, floor: Floor, draws: Draws) -> Passage:
        stations = list(floor.stations)
        stations[self.station] = replace(stations[self.station], benches=UNLIMITED, people_mask=0, batch=None)
        return self.engine(replace(floor, stations=tuple(stations)), draws)


def _mean_finishes(ground: Groundwork, *, newcomers: Sequence[str], engine: Engine) -> Array:
    groups = [*ground.live, *(ground.newcomer(family) for family in newcomers)]
    if not groups:
        return np.zeros(0)
    run = ground.simulate(groups, ground.background(), engine=engine)
    means = np.nanmean(run.passage.finish_hours[:, : len(groups)], axis=0)
    return np.asarray(means, dtype=np.float64)


def _kinds_that_occur(ground: Groundwork) -> list[HoldKind]:
    planned = {wait.kind for group in ground.live for visit in group.visits for wait, _ in visit.waits}
    routes = {wait.kind for route in ground.routes.values() for step in route.steps for wait in step.waits}
    held = {job.hold for job in ground.jobs if job.hold is not None}
    return [kind for kind in HoldKind if kind in planned | routes | held]
