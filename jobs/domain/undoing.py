"""Which events of a log would “take back the last step” correct?"""

from collections.abc import Iterable, Sequence

from jobs.domain.lifecycle import TRANSITIONS, UNDOABLE, UNDOABLE_TOGETHER
from jobs.domain.replay import JobState, LogEntry, replay, standing_events
from jobs.domain.stages import EventKind

E = EventKind


def last_undoable(entries: Iterable[LogEntry]) -> LogEntry | None:
    """Return the event that “take back the last step” would correct, if there is one.

    A match with a booking only counts while nothing was recorded since: what came later is about that unit.
    """
    standing = standing_events(entries)
    for entry in reversed(standing):
        if entry.kind is E.MATCHED and entry is not standing[-1]:
            return None
        if entry.kind in UNDOABLE | UNDOABLE_TOGETHER:
            return entry
        if TRANSITIONS[entry.kind].target is not None:
            return None
    return None


def steps_undone(entries: Iterable[LogEntry]) -> tuple[LogEntry, ...]:
    """Return the events that “take back the last step” corrects, in that order.

    A question that came out of an inspection goes with it, and one that a hold was put for goes with the
    hold, unless it was answered: then it was one.
    """
    listed = tuple(entries)
    last = last_undoable(listed)
    if last is None:
        return ()
    standing = standing_events(listed)
    later = tuple(entry for entry in standing if entry.number > last.number)
    if last.kind is E.HELD:
        return (*_asked_with(last, standing=standing), last)
    if last.kind is not E.INSPECTED or any(entry.kind is E.QUESTION_ANSWERED for entry in later):
        return (last,)
    asked = (entry for entry in later if entry.kind is E.QUESTION_ASKED and _is_of(entry, inspected=last))
    return (*asked, last)


def _asked_with(held: LogEntry, *, standing: Sequence[LogEntry]) -> tuple[LogEntry, ...]:
    """Return the question recorded in one with a hold for its answer, unless an inspection asked it."""
    before = [entry for entry in standing if entry.number < held.number]
    told = any(entry.kind is E.QUESTION_ANSWERED for entry in standing if entry.number > held.number)
    if not before or told or before[-1].kind is not E.QUESTION_ASKED:
        return ()
    asked = before[-1]
    if (asked.number, asked.happened_at) != (held.number - 1, held.happened_at):
        return ()
    inspected = any(entry.kind is E.INSPECTED and _is_of(asked, inspected=entry) for entry in before)
    return () if inspected else (asked,)


def _is_of(asked: LogEntry, *, inspected: LogEntry) -> bool:
    """Return whether a question was recorded in one with the inspection."""
    return (asked.number, asked.happened_at) == (inspected.number + 1, inspected.happened_at)


def state_without_last_step(entries: Iterable[LogEntry]) -> JobState:
    """Return where the job would stand once the last step was taken back."""
    listed = tuple(entries)
    undone = {step.number for step in steps_undone(listed)}
    return replay(entry for entry in standing_events(listed) if entry.number not in undone)
