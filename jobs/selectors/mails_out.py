"""Which mails have told the customer of the step that is about to be taken back? No mail takes that back."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from jobs.domain.job_number import show
from jobs.domain.mail_words import fill_words
from jobs.domain.replay import LogEntry, standing_events
from jobs.domain.stages import EventKind
from jobs.domain.undoing import steps_undone
from jobs.models import Job, OutboxMessage
from jobs.selectors import shop


@dataclass(frozen=True, slots=True)
class MailOut:
    """A mail that has gone out: what it said at its head, and when."""

    subject: str
    sent_at: datetime


def mails_of_last_step(job: Job, *, entries: Sequence[LogEntry]) -> tuple[MailOut, ...]:
    """Return the mails that have gone out about what “take back the last step” corrects, the oldest first."""
    numbers = _numbers_undone(entries)
    sent = OutboxMessage.objects.filter(job=job, state="sent", sent_at__isnull=False).order_by(
        "sent_at", "pk"
    )
    return tuple(
        MailOut(_subject(job, kind=kind), sent_at)
        for key, kind, sent_at in sent.values_list("key", "kind", "sent_at")
        if key in {f"{job.number}.{number}.{kind}" for number in numbers} and sent_at is not None
    )


def _numbers_undone(entries: Sequence[LogEntry]) -> frozenset[int]:
    """Return the numbers of the events that would not count any more; a match goes down to the arrival."""
    steps = steps_undone(entries)
    if not steps or steps[-1].kind is not EventKind.MATCHED:
        return frozenset(step.number for step in steps)
    arrivals = (entry for entry in standing_events(entries) if entry.kind is EventKind.ARRIVED)
    first = max((entry.number for entry in arrivals), default=steps[-1].number)
    return frozenset(range(first, steps[-1].number + 1))


def _subject(job: Job, *, kind: str) -> str:
    words = {"number": show(job.number), "shop": shop.identity().name}
    return fill_words(shop.message_text(kind).subject, words=words)
