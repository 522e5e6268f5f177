"""What a forecast has to know about the shop as it stands.

The database layer fills a `ShopState`; nothing else is read. Moments carry a time zone; a job's `done` steps
are those behind it, and whatever its route still holds lies ahead.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import IntEnum

from jobs.domain.stages import HoldKind
from jobs.domain.worked import WorkedSpan
from jobs.leadtime.clock import Closure, WorkingHours
from jobs.leadtime.history import StageVisit, WaitVisit
from jobs.leadtime.routes import BenchStep, Person, Route, WorkCentre


class Priority(IntEnum):
    """Which jobs a bench takes first; work that has begun is never interrupted."""

    URGENT = 0
    ORDINARY = 1


@dataclass(frozen=True, slots=True)
class AddedWork:
    """The working days of extra work that were agreed on at one moment."""

    work_days: float
    agreed_at: datetime


@dataclass(frozen=True, slots=True)
class LiveJob:
    """One job in the shop or on its way to it.

    `started_at` is when the step at hand was begun (`at_step` names it where the route leaves a choice);
    `waiting_since` is when the job joined the queue it stands in, else its arrival counts; with no moment
    given it stands in its queue now. `skips` and `needs` are skippable steps already decided. `hold` is what
    stops the work, if anything does: the job is not worked until it ends, about `hold_expected_at` where the
    shop has entered that. `put_down` is work at steps that are still ahead.
    """

    job_number: str
    family: str
    done: tuple[BenchStep, ...] = ()
    priority: Priority = Priority.ORDINARY
    arrived_at: datetime | None = None
    expected_at: datetime | None = None
    waiting_since: datetime | None = None
    started_at: datetime | None = None
    at_step: BenchStep | None = None
    hold: HoldKind | None = None
    held_since: datetime | None = None
    hold_expected_at: datetime | None = None
    skips: tuple[BenchStep, ...] = ()
    needs: tuple[BenchStep, ...] = ()
    added_work: tuple[AddedWork, ...] = ()
    put_down: tuple[WorkedSpan, ...] = ()
    failed_tests: int = 0


@dataclass(frozen=True, slots=True)
class ArrivalRate:
    """How many units of a family arrived in a week, on average of the recent weeks.

    `urgent_share` of them were let in front of the others.
    """

    family: str
    per_week: float
    urgent_share: float = 0.0

    def __post_init__(self) -> None:
        if not 0.0 <= self.urgent_share <= 1.0:
            raise ValueError("urgent_share has to be between 0 and 1.")
        if not 0.0 <= self.per_week <= 1000.0:
            raise ValueError("per_week has to be between 0 and 1000.")


@dataclass(frozen=True, slots=True)
class StepNeed:
    """Of how many units of a family a skippable step was needed."""

    family: str
    step: BenchStep
    needed: int
    seen: int


@dataclass(frozen=True, slots=True)
class WaitNeed:
    """Of how many units of a family a kind of wait was needed."""

    family: str
    kind: HoldKind
    needed: int
    seen: int


@dataclass(frozen=True, slots=True)
class FailedTests:
    """Of how many first tests of a family the unit had to be assembled again."""

    family: str
    failed: int
    seen: int


@dataclass(frozen=True, slots=True)
class ShopState:
    """The shop at one moment: hours, centres, people, routes, jobs, recent arrivals and history.

    No unit is taken in during `intake_pauses`, and no more than `intake_most_per_week` in a calendar week,
    but for those that are announced: they may still come, and count in their week as those here do.
    """

    working_hours: WorkingHours
    centres: tuple[WorkCentre, ...]
    people: tuple[Person, ...]
    routes: tuple[Route, ...]
    jobs: tuple[LiveJob, ...] = ()
    arrivals: tuple[ArrivalRate, ...] = ()
    visits: tuple[StageVisit, ...] = ()
    waits: tuple[WaitVisit, ...] = ()
    needs: tuple[StepNeed, ...] = ()
    wait_needs: tuple[WaitNeed, ...] = ()
    failed_tests: tuple[FailedTests, ...] = ()
    intake_pauses: tuple[Closure, ...] = ()
    intake_most_per_week: int | None = None
