"""Which question needs no answer any more, and which answer has nobody acted on yet?

An answer ends a hold, whatever it says.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from jobs.domain.facts import ExtraWorkRef, load_facts
from jobs.domain.lifecycle import TRANSITIONS
from jobs.domain.questions import SETTLES_QUESTION
from jobs.domain.replay import LogEntry, standing_events
from jobs.domain.stages import ENDED, EventKind, Role

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
DECISIONS = frozenset({E.EXTRA_WORK_APPROVED, E.EXTRA_WORK_DECLINED})


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


def is_settled(asked: LogEntry, *, later: Iterable[LogEntry]) -> bool:
    """Return whether what an event asked needs no answer any more, from the standing events after it.

    A question is settled by an answer, and by the yes or no to the booking that hung on it; extra work by its
    own yes or no. Nobody is asked about an ended job. An event that asks nothing is never settled.
    """
    return any(_settles(entry, asked=asked) for entry in later)


def _settles(entry: LogEntry, *, asked: LogEntry) -> bool:
    if asked.kind not in {E.QUESTION_ASKED, E.EXTRA_WORK_ASKED}:
        return False
    if asked.kind is E.QUESTION_ASKED:
        return entry.kind in SETTLES_QUESTION
    if TRANSITIONS[entry.kind].target in ENDED:
        return True
    return entry.kind in DECISIONS and _extra_work(entry) == _extra_work(asked)


def _extra_work(entry: LogEntry) -> int:
    facts: ExtraWorkRef = load_facts(entry.kind, stored=entry.facts)
    return facts.extra_work
