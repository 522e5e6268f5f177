"""A job's log in memory: the one way in which an event is added, checked against the lifecycle.

Services wrap it with the database; the demo's bulk history uses it bare, so both give the same rows.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from jobs.domain.actors import Actor
from jobs.domain.errors import IllegalTransition
from jobs.domain.facts import FACTS, dump_facts
from jobs.domain.lifecycle import next_stage
from jobs.domain.replay import JobState, LogEntry, advance, replay
from jobs.domain.stages import EventKind
from jobs.domain.undoing import steps_undone

ONE_PRESS = timedelta(seconds=5)
"""Within this, a second sending of one form by one person is a double click, not another entry."""


class JobLog:
    """The entries of one job and the state they add up to."""

    def __init__(self, entries: Iterable[LogEntry] = ()) -> None:
        self.entries: list[LogEntry] = list(entries)
        self.state: JobState = replay(self.entries)

    def record(self, kind: EventKind, *, facts: Any, actor: Actor, happened_at: datetime) -> LogEntry:
        """Return the new last entry.

        Raises: IllegalTransition when the lifecycle does not allow it now;
        TypeError for facts of another kind.
        """
        if not isinstance(facts, FACTS[kind]):
            msg = f"{kind} takes {FACTS[kind].__name__}, not {type(facts).__name__}"
            raise TypeError(msg)
        next_stage(self.state.stage, kind=kind, role=actor.role, hold=self.state.hold)
        self._check_correction(kind, facts=facts)
        entry = LogEntry(
            number=len(self.entries) + 1,
            kind=kind,
            facts=dump_facts(facts),
            actor_role=actor.role,
            actor_name=actor.name,
            happened_at=happened_at,
            actor_user_id=actor.user_id,
        )
        self.entries.append(entry)
        if kind is EventKind.CORRECTED:
            self.state = replay(self.entries)
        else:
            self.state = advance(self.state, entry=entry)
        return entry

    def _check_correction(self, kind: EventKind, *, facts: Any) -> None:
        if kind is not EventKind.CORRECTED:
            return
        if facts.corrects not in {step.number for step in steps_undone(self.entries)[:1]}:
            raise IllegalTransition("Only the last step can be taken back.")
