"""Work that was put down before the step was finished."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class WorkedSpan:
    """Work at one step from when it was taken up to when it was put down."""

    step: str
    began_at: datetime
    ended_at: datetime


def leave_out(spans: Iterable[WorkedSpan], *, steps: frozenset[str]) -> tuple[WorkedSpan, ...]:
    """Return the spans of other steps: these are finished, or have to be done anew."""
    return tuple(span for span in spans if span.step not in steps)
