"""Which photos of a job did the shop withdraw, by whom, when and why?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from jobs.domain.facts import PhotoWithdrawn, load_facts
from jobs.domain.replay import LogEntry, standing_events
from jobs.domain.stages import EventKind


@dataclass(frozen=True, slots=True)
class WithdrawnPhoto:
    """A photo that is shown no more: what it was of, and what was said about it."""

    shows: str
    is_customers: bool
    reason: str
    by_name: str
    withdrawn_at: datetime


def withdrawn_photos(entries: Sequence[LogEntry]) -> tuple[WithdrawnPhoto, ...]:
    """Return the photos that the shop withdrew from this job, in that order."""
    return tuple(
        _seen(entry) for entry in standing_events(entries) if entry.kind is EventKind.PHOTO_WITHDRAWN
    )


def _seen(entry: LogEntry) -> WithdrawnPhoto:
    facts: PhotoWithdrawn = load_facts(entry.kind, stored=entry.facts)
    return WithdrawnPhoto(facts.shows, facts.is_customers, facts.reason, entry.actor_name, entry.happened_at)
