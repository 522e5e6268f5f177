"""Where a job stands on its way, as steps with their days, and how its promised range came to move."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from jobs.domain.facts import Promise, load_facts
from jobs.domain.replay import JobState, LogEntry, standing_events
from jobs.domain.stages import EventKind, Stage
from jobs.selectors import shop

S = Stage
BENCH = (S.STRIPPED, S.CLEANED, S.MACHINED, S.ASSEMBLED, S.TESTED)
# What a customer follows; each line is named by its first stage and is over when a later line begins.
LINES: tuple[tuple[Stage, ...], ...] = (
    (S.BOOKED,),
    (S.CLEARED,),
    (S.POSTED,),
    (S.ARRIVED,),
    (S.INSPECTED,),
    BENCH,
    (S.SIGNED_OFF, S.PACKED),
    (S.SENT_BACK,),
    (S.CLOSED,),
)
EXITS = (S.DECLINED, S.CANCELLED, S.RETURNED_UNREPAIRED)


@dataclass(frozen=True, slots=True)
class TimelineStep:
    """One line of the way: its first stage names it; `parts` are the bench steps finished so far.

    `failed_on` is the day of a failed bench test that was not passed since.
    """

    line: Stage
    state: str
    on: date | None
    parts: tuple[tuple[Stage, date], ...] = ()
    failed_on: date | None = None


@dataclass(frozen=True, slots=True)
class PromisedRange:
    """A promised range as it stood on one day, and the reasons given then."""

    said_on: date
    earliest_on: date
    likely_on: date
    latest_on: date
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Exchange:
    """One question or answer, in whose words and when."""

    kind: EventKind
    text: str
    by_name: str
    on: date


def timeline(state: JobState) -> tuple[TimelineStep, ...]:
    """Return the whole way: what is done, where the unit is now, what is still ahead."""
    zone = shop.zone()
    stage = state.stage
    if stage in EXITS:
        return _way_until_exit(state, zone=zone)
    here = next((at for at, line in enumerate(LINES) if stage in line), 0)
    return tuple(
        _step(line, state=_state(at, here=here), job=state, zone=zone) for at, line in enumerate(LINES)
    )


def promised_ranges(entries: Sequence[LogEntry]) -> tuple[PromisedRange, ...]:
    """Return every range that was promised, the newest first."""
    zone = shop.zone()
    said: list[PromisedRange] = []
    for entry in standing_events(entries):
        if entry.kind in {EventKind.PROMISE_MADE, EventKind.PROMISE_CHANGED}:
            facts: Promise = load_facts(entry.kind, stored=entry.facts)
            day = _day(entry.happened_at, zone=zone)
            said.append(
                PromisedRange(day, facts.earliest_on, facts.likely_on, facts.latest_on, facts.reasons)
            )
    return tuple(reversed(said))


def exchanges(entries: Sequence[LogEntry]) -> tuple[Exchange, ...]:
    """Return the questions and answers either way, the oldest first."""
    zone = shop.zone()
    kinds = {EventKind.QUESTION_ASKED, EventKind.QUESTION_ANSWERED, EventKind.DECLINED, EventKind.CANCELLED}
    return tuple(
        Exchange(
            kind=entry.kind,
            text=load_facts(entry.kind, stored=entry.facts).text,
            by_name=entry.actor_name,
            on=_day(entry.happened_at, zone=zone),
        )
        for entry in standing_events(entries)
        if entry.kind in kinds
    )


def _state(at: int, *, here: int) -> str:
    if at == here:
        # The last line is the end of the way: nothing is going on there any more.
        return "done" if at == len(LINES) - 1 else "current"
    return "done" if at < here else "ahead"


def _step(line: tuple[Stage, ...], *, state: str, job: JobState, zone: ZoneInfo) -> TimelineStep:
    entered = job.entered_at
    days = tuple((stage, _day(entered[stage.value], zone=zone)) for stage in line if stage.value in entered)
    return TimelineStep(
        line=line[0],
        state=state,
        on=days[0][1] if days and state != "ahead" else None,
        parts=days if line is BENCH and state != "ahead" else (),
        failed_on=_day(job.test_failed_at, zone=zone) if line is BENCH and job.test_failed_at else None,
    )


def _way_until_exit(state: JobState, *, zone: ZoneInfo) -> tuple[TimelineStep, ...]:
    if state.stage is None or state.stage_since is None:
        return ()
    passed = [line for line in LINES if any(stage.value in state.entered_at for stage in line)]
    steps = [_step(line, state="done", job=state, zone=zone) for line in passed]
    return (*steps, TimelineStep(state.stage, "current", _day(state.stage_since, zone=zone)))


def _day(moment: datetime, *, zone: ZoneInfo) -> date:
    return moment.astimezone(zone).date()
