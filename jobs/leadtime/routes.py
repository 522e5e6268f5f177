"""Which bench steps a family passes, in which order, at which work centre, by whom.

All of this is the owner's data: work centres, people and routes are documents that `packing.plain` reads and
writes. A step belongs to one work centre; a step of the centre takes one of its benches and, where people
are named, one of those people.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from itertools import pairwise

from jobs.domain.stages import HoldKind, Stage
from jobs.leadtime.clock import Weekday
from jobs.leadtime.errors import NoRoute
from packing.errors import refuse_fields

Problem = tuple[str, str]
EVERY_DAY = frozenset(Weekday)


class BenchStep(StrEnum):
    """The steps at the benches; each leads to the stage of the job named in `STAGE_AFTER`."""

    STRIP = "strip"
    CLEAN = "clean"
    MACHINE = "machine"
    ASSEMBLE = "assemble"
    TEST = "test"
    SIGN_OFF = "sign_off"
    PACK = "pack"


STAGE_AFTER = {
    BenchStep.STRIP: Stage.STRIPPED,
    BenchStep.CLEAN: Stage.CLEANED,
    BenchStep.MACHINE: Stage.MACHINED,
    BenchStep.ASSEMBLE: Stage.ASSEMBLED,
    BenchStep.TEST: Stage.TESTED,
    BenchStep.SIGN_OFF: Stage.SIGNED_OFF,
    BenchStep.PACK: Stage.PACKED,
}
LONGEST_ABSENCE = timedelta(days=366)
REDONE_STEPS = (BenchStep.ASSEMBLE, BenchStep.TEST)


@dataclass(frozen=True, slots=True)
class Batch:
    """A centre that works several jobs in one run, such as a cleaning tank.

    A run starts when `least_jobs` wait, or when the oldest has waited `longest_wait_hours` working hours; it
    takes at most `most_jobs` and lasts as long as the longest of them.
    """

    least_jobs: int
    most_jobs: int
    longest_wait_hours: float

    def __post_init__(self) -> None:
        refuse_fields(
            (self.least_jobs < 1, "least_jobs", "a run needs at least one job; give 1 or more."),
            (
                self.most_jobs < max(self.least_jobs, 1),
                "most_jobs",
                "a run cannot take fewer jobs than it starts with; give at least as many.",
            ),
            (self.longest_wait_hours < 0, "longest_wait_hours", "give 0 hours or more."),
        )


@dataclass(frozen=True, slots=True)
class Absence:
    """Days, both counted, on which somebody is not at the benches; a year at the most."""

    first: date
    last: date
    note: str = ""

    def __post_init__(self) -> None:
        refuse_fields(
            (self.last < self.first, "last", "it ends before it begins; swap the two days."),
            (
                self.last - self.first > LONGEST_ABSENCE,
                "last",
                "that is over a year; take the person off the benches instead.",
            ),
        )


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody at the benches; `signs_off` lists the families whose work this person may sign off.

    `days_off` are weekdays on which a part-timer never works.
    """

    slug: str
    name: str
    signs_off: tuple[str, ...] = ()
    days_off: tuple[Weekday, ...] = ()
    absences: tuple[Absence, ...] = ()

    def __post_init__(self) -> None:
        refuse_fields(
            (
                len(set(self.days_off)) == len(Weekday),
                "days_off",
                "no day of the week is left to work; take the person off the benches instead.",
            )
        )


@dataclass(frozen=True, slots=True)
class WorkCentre:
    """Benches of one kind; with no `people` named the benches alone limit the work."""

    slug: str
    name: str
    benches: int
    people: tuple[str, ...] = ()
    batch: Batch | None = None


@dataclass(frozen=True, slots=True)
class RouteWait:
    """A wait in calendar days after a step; one job in `needed_share` has it.

    `spread_factor` is the geometric standard deviation: about two waits in three lie between the median
    divided by it and the median times it.
    """

    kind: HoldKind
    median_days: float
    spread_factor: float
    needed_share: float = 1.0

    def __post_init__(self) -> None:
        refuse_fields(
            (self.median_days <= 0, "median_days", "give more than 0 days."),
            *_wrong_shares(self.spread_factor, self.needed_share),
        )


@dataclass(frozen=True, slots=True)
class RouteStep:
    """One step of a route: where, how many hours of hands-on work, and which waits follow it."""

    step: BenchStep
    work_centre: str
    median_hours: float
    spread_factor: float = 1.5
    needed_share: float = 1.0
    waits: tuple[RouteWait, ...] = ()

    def __post_init__(self) -> None:
        refuse_fields(
            (self.median_hours <= 0, "median_hours", "give more than 0 hours."),
            *_wrong_shares(self.spread_factor, self.needed_share),
        )


def _wrong_shares(spread_factor: float, needed_share: float) -> tuple[tuple[bool, str, str], ...]:
    return (
        (not 1.0 <= spread_factor <= 10.0, "spread_factor", "give a value from 1 to 10."),
        (not 0.0 < needed_share <= 1.0, "needed_share", "give a share above 0 and up to 100 %."),
    )


@dataclass(frozen=True, slots=True)
class Route:
    """The steps of some families; `rework_share` of the units fail the test and are assembled again.

    Assembling and testing again takes `rework_effort` of the ordinary hours.
    """

    slug: str
    name: str
    families: tuple[str, ...]
    steps: tuple[RouteStep, ...]
    rework_share: float = 0.0
    rework_effort: float = 0.5

    def __post_init__(self) -> None:
        refuse_fields(
            (
                not 0.0 <= self.rework_share < 1.0,
                "rework_share",
                "give a share of 0 or more, and below 100 %.",
            ),
            (
                not 0.0 < self.rework_effort <= 1.0,
                "rework_effort",
                "give a share above 0 and up to 100 %.",
            ),
        )


def route_for(routes: Iterable[Route], *, family: str) -> Route:
    """Return the first route that serves the family.

    Raises: NoRoute.
    """
    for route in routes:
        if family in route.families:
            return route
    raise NoRoute(family)


def next_steps(route: Route, *, done: Collection[BenchStep]) -> tuple[BenchStep, ...]:
    """Return the steps that may come next: skippable ones, up to and with the first that is always needed.

    Empty when nothing is left. After a failed test leave the steps to be redone out of `done`.

    >>> bench = RouteStep(BenchStep.STRIP, "strip_bench", median_hours=1.0)
    >>> next_steps(Route("r", "R", ("sender",), (bench,)), done=())
    (<BenchStep.STRIP: 'strip'>,)
    """
    last_done = max((at for at, planned in enumerate(route.steps) if planned.step in done), default=-1)
    ahead: list[BenchStep] = []
    for at, planned in enumerate(route.steps):
        if planned.step in done or (at < last_done and planned.needed_share < 1.0):
            continue
        ahead.append(planned.step)
        if planned.needed_share >= 1.0:
            break
    return tuple(ahead)


def find_route_problems(
    route: Route,
    *,
    centres: Sequence[WorkCentre],
    people: Sequence[Person],
    open_on: Collection[Weekday] = EVERY_DAY,
) -> tuple[Problem, ...]:
    """Return (key, sentence) for everything that keeps this route from being worked; empty if it can be.

    `open_on` are the weekdays on which the shop works.
    """
    passed = {planned.work_centre for planned in route.steps}
    return (
        *_find_step_problems(route, centres=centres, people=people),
        *(
            problem
            for centre in centres
            if centre.slug in passed
            for problem in _find_centre_problems(centre, people=people, open_on=open_on)
        ),
    )


def _find_step_problems(
    route: Route, *, centres: Sequence[WorkCentre], people: Sequence[Person]
) -> tuple[Problem, ...]:
    known = {centre.slug: centre for centre in centres}
    named = {person.slug: person for person in people}
    problems: list[Problem] = []
    if not route.steps:
        problems.append((f"{route.slug}.steps", "the route has no steps; add at least one."))
    steps = [planned.step for planned in route.steps]
    if len(set(steps)) < len(steps):
        problems.append((f"{route.slug}.steps", "a step appears twice; keep it once."))
    if not all(before < after for before, after in pairwise(list(BenchStep).index(step) for step in steps)):
        problems.append((f"{route.slug}.steps", "put the steps in the order strip to pack."))
    for at, planned in enumerate(route.steps, 1):
        key = f"{route.slug}.steps[{at}].work_centre"
        centre = known.get(planned.work_centre)
        if centre is None:
            problems.append(
                (key, f"there is no work centre “{planned.work_centre}”; add it or pick another.")
            )
            continue
        if planned.step is BenchStep.SIGN_OFF and centre.people:
            problems.extend((key, sentence) for sentence in _missing_sign_off(route, centre, people=named))
    return tuple(problems)


def find_shop_problems(
    routes: Sequence[Route],
    *,
    centres: Sequence[WorkCentre],
    people: Sequence[Person],
    open_on: Collection[Weekday] = EVERY_DAY,
) -> tuple[Problem, ...]:
    """Return the problems of all routes and centres, and families served twice or entries named twice."""
    problems: list[Problem] = []
    for route in routes:
        problems.extend(_find_step_problems(route, centres=centres, people=people))
    for centre in centres:
        problems.extend(_find_centre_problems(centre, people=people, open_on=open_on))
    families = [family for route in routes for family in route.families]
    for family in sorted({family for family in families if families.count(family) > 1}):
        problems.append(
            ("routes", f"the family “{_words(family)}” is in more than one route; keep it in one.")
        )
    for kind, slugs in (
        ("work_centres", [centre.slug for centre in centres]),
        ("people", [person.slug for person in people]),
        ("routes", [route.slug for route in routes]),
    ):
        for slug in sorted({slug for slug in slugs if slugs.count(slug) > 1}):
            problems.append((kind, f"“{slug}” is used twice; give one of them another slug."))
    return tuple(problems)


def _find_centre_problems(
    centre: WorkCentre, *, people: Sequence[Person], open_on: Collection[Weekday]
) -> list[Problem]:
    known = {person.slug: person for person in people}
    key = f"{centre.slug}.people"
    problems = [
        (key, f"“{slug}” works there, who is not in the list of people; add or remove.")
        for slug in centre.people
        if slug not in known
    ]
    here = [known[slug] for slug in centre.people if slug in known]
    if here and open_on and all(set(person.days_off).issuperset(open_on) for person in here):
        sentence = (
            "nobody who works there is there on an open day; change a weekday off, or let somebody else work"
            " there too."
        )
        problems.append((key, sentence))
    if centre.benches < 1:
        problems.append((f"{centre.slug}.benches", "it has no bench; give it at least one."))
    return problems


def _missing_sign_off(route: Route, centre: WorkCentre, *, people: dict[str, Person]) -> list[str]:
    able = [people[slug] for slug in centre.people if slug in people]
    return [
        f"nobody at “{centre.name}” may sign off the family “{_words(family)}”; allow one of its people to."
        for family in route.families
        if not any(family in person.signs_off for person in able)
    ]


def _words(slug: str) -> str:
    return slug.replace("_", " ")
