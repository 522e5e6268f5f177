"""What a job's log says: fold the events to the job's state.

The log is the truth; `Job.stage`, `Job.hold`, `Job.priority` and `Job.event_count` are caches of this fold,
compared by `manage.py replay_jobs`. An event that a later correction names does not count.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from jobs.domain.facts import Promise, ReadingsRecorded, load_facts
from jobs.domain.holds import TOLD_OF_HOLDS, Hold, holds_after, stopping
from jobs.domain.lifecycle import TRANSITIONS
from jobs.domain.questions import SETTLES_QUESTION
from jobs.domain.stages import EventKind, HoldKind, Role, Stage, Turn
from jobs.domain.worked import WorkedSpan, leave_out

E = EventKind

STEP_OF_EVENT: dict[EventKind, str] = {
    E.STRIPPED: "strip",
    E.CLEANED: "clean",
    E.MACHINED: "machine",
    E.ASSEMBLED: "assemble",
    E.TESTED: "test",
    E.SIGNED_OFF: "sign_off",
    E.PACKED: "pack",
}
STEP_KINDS = frozenset({*STEP_OF_EVENT, E.TEST_FAILED, E.CORRECTED})  # nothing else moves `done_steps`
REDONE = frozenset({"assemble", "test"})  # what a failed test sends the unit back to
EVENT_OF_STEP: dict[str, EventKind] = {step: kind for kind, step in STEP_OF_EVENT.items()}


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One event as the domain sees it; older ones of the shop may keep a name alone."""

    number: int
    kind: EventKind
    facts: dict[str, Any]
    actor_role: Role
    actor_name: str
    happened_at: datetime
    actor_user_id: int | None = None


@dataclass(frozen=True, slots=True)
class JobState:
    """Everything the fold knows about a job."""

    stage: Stage | None = None
    holds: tuple[Hold, ...] = ()
    turn: Turn = Turn.IN_TURN
    turn_reason: str = ""
    event_count: int = 0
    stage_since: datetime | None = None
    queued_since: datetime | None = None
    entered_at: dict[str, datetime] = field(default_factory=dict)
    done_steps: tuple[str, ...] = ()
    working_step: str = ""
    working_since: datetime | None = None
    put_down: tuple[WorkedSpan, ...] = ()
    drained_at: datetime | None = None
    smell_checked_at: datetime | None = None
    smells: bool | None = None
    smelled_at: datetime | None = None
    bench_fluid_smells: bool | None = None
    bench_smelled_at: datetime | None = None
    worst_severity: int = 0
    readings: ReadingsRecorded | None = None
    test_failed_at: datetime | None = None
    failed_tests: int = 0
    tested_by: str = ""
    tested_by_user_id: int | None = None
    signed_by: str = ""
    question_open: str = ""
    promise: Promise | None = None
    tracking_in: str = ""
    tracking_out: str = ""
    parcel_seen: str = ""

    @property
    def held_by(self) -> Hold | None:
        """What the job waits for now; what was set aside for it stands before it in `holds`."""
        return self.holds[-1] if self.holds else None

    @property
    def hold(self) -> HoldKind | None:
        """The kind of what the job waits for now."""
        return self.holds[-1].kind if self.holds else None

    @property
    def stopped_by(self) -> Hold | None:
        """The hold that keeps the benches from the unit."""
        return stopping(self.holds)


_DONE_AGAIN = frozenset({Stage.ASSEMBLED.value, Stage.TESTED.value})


def standing_events(entries: Iterable[LogEntry]) -> tuple[LogEntry, ...]:
    """Return the entries that still count, in order, without corrected ones and their corrections."""
    listed = tuple(entries)
    taken_back = {
        load_facts(E.CORRECTED, stored=entry.facts).corrects for entry in listed if entry.kind is E.CORRECTED
    }
    return tuple(
        entry for entry in listed if entry.number not in taken_back and entry.kind is not E.CORRECTED
    )


def replay(entries: Iterable[LogEntry]) -> JobState:
    """Return the state that the log of one job adds up to."""
    listed = tuple(entries)
    state = JobState()
    for entry in standing_events(listed):
        state = _apply(state, entry)
    return replace(state, event_count=len(listed))


def advance(state: JobState, *, entry: LogEntry) -> JobState:
    """Return the state after one more event that is not a correction."""
    return replace(_apply(state, entry), event_count=state.event_count + 1)


def _apply(state: JobState, entry: LogEntry) -> JobState:
    target = TRANSITIONS[entry.kind].target
    if target is not None and target is not state.stage:
        entered = {**state.entered_at, target.value: entry.happened_at}
        if entry.kind is E.TEST_FAILED:
            # It was taken apart long ago; what is done again has not been done yet.
            entered = {name: at for name, at in state.entered_at.items() if name not in _DONE_AGAIN}
        at = entry.happened_at
        state = replace(state, stage=target, stage_since=at, queued_since=at, entered_at=entered)
    if entry.kind in TOLD_OF_HOLDS:
        state = _wait(state, entry)
    if entry.kind in SETTLES_QUESTION:
        state = replace(state, question_open="")
    change = _CHANGES.get(entry.kind)
    if change is None:
        return state
    return replace(state, **change(state, entry))


def _facts(entry: LogEntry) -> Any:
    return load_facts(entry.kind, stored=entry.facts)


def _finish(state: JobState, entry: LogEntry) -> dict[str, Any]:
    step = STEP_OF_EVENT[entry.kind]
    changes: dict[str, Any] = {
        "done_steps": (*(done for done in state.done_steps if done != step), step),
        "working_step": "",
        "working_since": None,
        "put_down": leave_out(state.put_down, steps=frozenset({step})),
    }
    if entry.kind is E.ASSEMBLED:
        # What was read before it was put together says nothing about the unit as it is now.
        changes["readings"] = None
    if entry.kind is E.TESTED:
        changes["tested_by"] = entry.actor_name
        changes["tested_by_user_id"] = entry.actor_user_id
        changes["test_failed_at"] = None
    if entry.kind is E.SIGNED_OFF:
        changes["signed_by"] = _facts(entry).signed_by
    return changes


def _fail_test(state: JobState, entry: LogEntry) -> dict[str, Any]:
    kept = tuple(step for step in state.done_steps if step not in REDONE)
    return {
        "done_steps": kept,
        "working_step": "",
        "working_since": None,
        "put_down": leave_out(state.put_down, steps=REDONE),
        "bench_fluid_smells": None,
        "readings": None,
        "test_failed_at": entry.happened_at,
        "failed_tests": state.failed_tests + 1,
    }


def _start(state: JobState, entry: LogEntry) -> dict[str, Any]:
    del state
    return {"working_step": _facts(entry).step, "working_since": entry.happened_at}


def _pause(state: JobState, entry: LogEntry) -> dict[str, Any]:
    put_down = state.put_down if state.stopped_by else _rest(state, entry)
    return {"working_step": "", "working_since": None, "put_down": put_down}


def _wait(state: JobState, entry: LogEntry) -> JobState:
    """Return the state with other holds; work put down for one that stops it goes on when none does."""
    at = entry.happened_at
    held = replace(state, holds=holds_after(state.holds, kind=entry.kind, facts=entry.facts, at=at))
    if held.stopped_by and not state.stopped_by:
        return replace(held, put_down=_rest(state, entry))
    if state.stopped_by and not held.stopped_by:
        return replace(held, working_since=at if state.working_step else None, queued_since=at)
    return held


def _rest(state: JobState, entry: LogEntry) -> tuple[WorkedSpan, ...]:
    """Return the work put down, with what was under way until this event."""
    if state.working_since is None:
        return state.put_down
    return (*state.put_down, WorkedSpan(state.working_step, state.working_since, entry.happened_at))


def _change_turn(state: JobState, entry: LogEntry) -> dict[str, Any]:
    del state
    facts = _facts(entry)
    return {"turn": facts.turn, "turn_reason": facts.reason}


def _drain(state: JobState, entry: LogEntry) -> dict[str, Any]:
    del state
    return {"drained_at": _facts(entry).drained_at, "smell_checked_at": None, "smells": None}


def _smell(state: JobState, entry: LogEntry) -> dict[str, Any]:
    smells = _facts(entry).smells
    # Draining again clears the answer, not the memory of a failed test: that one keeps the gate closed.
    smelled_at = entry.happened_at if smells else state.smelled_at
    return {"smell_checked_at": entry.happened_at, "smells": smells, "smelled_at": smelled_at}


def _bench_fluid(state: JobState, entry: LogEntry) -> dict[str, Any]:
    smells = _facts(entry).smells
    smelled_at = entry.happened_at if smells else state.bench_smelled_at
    return {"bench_fluid_smells": smells, "bench_smelled_at": smelled_at}


def _grade(state: JobState, entry: LogEntry) -> dict[str, Any]:
    facts = _facts(entry)
    severity = facts.worst_severity if entry.kind is E.INSPECTED else facts.severity
    return {"worst_severity": max(state.worst_severity, severity)}


def _tracking(state: JobState, entry: LogEntry) -> dict[str, Any]:
    del state
    number = _facts(entry).tracking_number
    goes_back = entry.kind in {E.SENT_BACK, E.RETURNED_UNREPAIRED}
    return {"tracking_out": number} if goes_back else {"tracking_in": number}


def _see_parcel(state: JobState, entry: LogEntry) -> dict[str, Any]:
    del state
    return {"parcel_seen": _facts(entry).parcel_number}


_CHANGES: dict[EventKind, Any] = {
    **dict.fromkeys(STEP_OF_EVENT, _finish),
    E.TEST_FAILED: _fail_test,
    E.WORK_STARTED: _start,
    E.WORK_PAUSED: _pause,
    E.TURN_CHANGED: _change_turn,
    E.DRAINED: _drain,
    E.SMELL_CHECKED: _smell,
    E.BENCH_FLUID_CHECKED: _bench_fluid,
    E.INSPECTED: _grade,
    E.FINDING_RECORDED: _grade,
    E.READINGS_RECORDED: lambda state, entry: {"readings": _facts(entry)},
    E.PROMISE_MADE: lambda state, entry: {"promise": _facts(entry)},
    E.PROMISE_CHANGED: lambda state, entry: {"promise": _facts(entry)},
    E.POSTED: _tracking,
    E.TRACKING_ADDED: _tracking,
    E.SENT_BACK: _tracking,
    E.RETURNED_UNREPAIRED: _tracking,
    E.ARRIVED: _see_parcel,
    E.BOX_RECORDED: _see_parcel,
    E.QUESTION_ASKED: lambda state, entry: {"question_open": _facts(entry).text},
}
