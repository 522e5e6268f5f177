"""What was done at the benches to one job, and for how long, as its log tells it."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from jobs.domain.facts import BenchWork, load_facts
from jobs.domain.holds import Hold, holds_after, stopping
from jobs.domain.replay import STEP_OF_EVENT
from jobs.domain.stages import EventKind
from jobs.domain.worked import WorkedSpan
from jobs.leadtime.clock import WorkingHours, working_hours_between
from jobs.leadtime.routes import REDONE_STEPS, BenchStep

E = EventKind
ENDS_A_VISIT = frozenset({*STEP_OF_EVENT, E.TEST_FAILED})
MARKS_OF_WORK = ENDS_A_VISIT | {E.WORK_STARTED, E.WORK_PAUSED, E.HELD, E.RELEASED}


@dataclass(frozen=True, slots=True)
class PastVisit:
    """One visit to a bench; a test that was not passed sends the unit back to be assembled again.

    `started_at` is when the work was last taken up; what was put down before it is in `put_down`. Where
    nobody noted a start, only that the step was finished is known.
    """

    step: BenchStep
    started_at: datetime | None
    finished_at: datetime | None
    passed: bool = True
    again: bool = False
    put_down: tuple[WorkedSpan, ...] = ()

    def spans(self, *, until: datetime) -> tuple[tuple[datetime, datetime], ...]:
        """Return from when to when somebody was at work on it, as far as known at a moment."""
        spans = [(span.began_at, min(span.ended_at, until)) for span in self.put_down]
        if self.started_at is not None:
            over_at = self.finished_at if self.finished_at is not None else until
            spans.append((self.started_at, min(over_at, until)))
        return tuple(span for span in spans if span[0] <= until)

    def worked_hours(self, hours: WorkingHours, *, until: datetime) -> float:
        """Return the working hours that had gone into the visit at a moment, pauses and holds left out.

        Raises: NoOpeningHours, MomentWithoutZone.
        """
        spans = self.spans(until=until)
        return sum(max(working_hours_between(hours, start=began, end=ended), 0.0) for began, ended in spans)


def fold_visits(told: Iterable[tuple[EventKind, dict[str, Any], datetime]]) -> tuple[PastVisit, ...]:
    """Return the visits of one job in order of time, from (kind, facts, moment) of the events that stand.

    A hold that stops the work puts down what somebody is at, and its end takes it up again. Work that is
    not finished comes last.
    """
    teller = _Teller()
    for kind, facts, at in told:
        if kind in MARKS_OF_WORK:
            teller.hear(kind, facts, at)
    return (*teller.visits, *teller.unfinished())


class _Teller:
    """What the log has told so far."""

    __slots__ = ("failed", "holds", "put_down", "resting", "started", "visits")

    def __init__(self) -> None:
        self.visits: list[PastVisit] = []
        self.put_down: dict[BenchStep, tuple[WorkedSpan, ...]] = defaultdict(tuple)
        self.started: tuple[BenchStep, datetime] | None = None
        self.resting: BenchStep | None = None
        self.failed = False
        self.holds: tuple[Hold, ...] = ()

    def hear(self, kind: EventKind, facts: dict[str, Any], at: datetime) -> None:
        match kind:
            case E.WORK_STARTED:
                work: BenchWork = load_facts(kind, stored=facts)
                self.started, self.resting = (BenchStep(work.step), at), None
            case E.WORK_PAUSED:
                self._lay_down(at)
                self.resting = None
            case E.HELD | E.RELEASED:
                self.holds = holds_after(self.holds, kind=kind, facts=facts, at=at)
                if stopping(self.holds):
                    self.resting = self._lay_down(at) or self.resting
                elif self.resting is not None:
                    self.started, self.resting = (self.resting, at), None
            case _:
                self._finish(kind, at)

    def _lay_down(self, at: datetime) -> BenchStep | None:
        """Put down what is under way; return its step."""
        if self.started is None:
            return None
        step, since = self.started
        self.put_down[step] += (WorkedSpan(step, since, at),)
        self.started = None
        return step

    def _finish(self, kind: EventKind, at: datetime) -> None:
        step = BenchStep.TEST if kind is E.TEST_FAILED else BenchStep(STEP_OF_EVENT[kind])
        begun = self.started[1] if self.started is not None and self.started[0] is step else None
        self.visits.append(
            PastVisit(
                step,
                begun,
                at,
                passed=kind is not E.TEST_FAILED,
                again=self.failed and step in REDONE_STEPS,
                put_down=self.put_down.pop(step, ()),
            )
        )
        self.started = self.resting = None
        if kind is E.TEST_FAILED:
            self.failed = True
            for redone in REDONE_STEPS:
                self.put_down.pop(redone, None)

    def unfinished(self) -> list[PastVisit]:
        """Return the work that was begun and is not finished, the step at hand first."""
        steps = [self.started[0]] if self.started is not None else []
        steps += [step for step in self.put_down if step not in steps]
        return [
            PastVisit(
                step,
                self.started[1] if self.started is not None and self.started[0] is step else None,
                None,
                again=self.failed and step in REDONE_STEPS,
                put_down=self.put_down.get(step, ()),
            )
            for step in steps
        ]
