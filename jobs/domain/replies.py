"""Which answer of the customer has nobody acted on yet? An answer ends a hold, whatever it says."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from jobs.domain.facts import load_facts
from jobs.domain.replay import LogEntry, standing_events
from jobs.domain.stages import EventKind, Role

E = EventKind
NOT_ACTING = frozenset(
    {
        E.RELEASED,
        E.QUESTION_ANSWERED,
        E.PROMISE_MADE,
        E.PROMISE_CHANGED,
        E.TURN_CHANGED,
        E.LINKS_RENEWED,
        E.PHOTO_WITHDRAWN,
    }
)
"""Recorded along with an answer, by itself, or about something else: none shows that somebody read it."""


@dataclass(frozen=True, slots=True)
class Reply:
    """A question of the shop and what was answered to it, by whom and when."""

    question: str
    answer: str
    by_name: str
    answered_at: datetime


def reply_to_read(entries: Sequence[LogEntry]) -> Reply | None:
    """Return the newest answer after which the shop has recorded nothing, or None."""
    question, reply = "", None
    for entry in standing_events(entries):
        if entry.kind is E.QUESTION_ASKED:
            question = load_facts(entry.kind, stored=entry.facts).text
        if entry.kind is E.QUESTION_ANSWERED:
            answer = load_facts(entry.kind, stored=entry.facts).text
            reply = Reply(question, answer, entry.actor_name, entry.happened_at)
        elif entry.actor_role in {Role.WORKSHOP, Role.OWNER} and entry.kind not in NOT_ACTING:
            reply = None
    return reply
