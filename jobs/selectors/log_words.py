"""What does one event of a job's log say to a person? A sentence from its kind and its facts."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from jobs.domain import facts as told
from jobs.domain.condition import ArrivalGrade, CartonState, PackingFound, Severity
from jobs.domain.facts import load_facts
from jobs.domain.job_number import show
from jobs.domain.replay import LogEntry, standing_events
from jobs.domain.staff_words import hold_for_staff
from jobs.domain.stages import EVENT_LABELS, HOLD_LABELS, TURN_LABELS, EventKind, Role
from jobs.leadtime.words import span_in_words
from jobs.selectors import shop

FAILED_SMELL_LABELS = {
    EventKind.SMELL_CHECKED: "Smell test failed",
    EventKind.BENCH_FLUID_CHECKED: "Bench fluid check failed",
}


@dataclass(frozen=True, slots=True)
class LogLine:
    """One line of the log; `counts` is false once the step was taken back, `warns` true of a smell found."""

    number: int
    kind: EventKind
    label: str
    words: str
    by_name: str
    by_role: Role
    happened_at: datetime
    counts: bool
    warns: bool


def log_lines(entries: Sequence[LogEntry]) -> tuple[LogLine, ...]:
    """Return the log in words, the oldest first."""
    standing = {entry.number for entry in standing_events(entries)}
    benches = {centre.slug: centre.name for centre in shop.work_centres()}
    return tuple(
        LogLine(
            number=entry.number,
            kind=entry.kind,
            label=_label(entry),
            words=facts_in_words(entry, benches=benches),
            by_name=entry.actor_name,
            by_role=entry.actor_role,
            happened_at=entry.happened_at,
            counts=entry.number in standing or entry.kind is EventKind.CORRECTED,
            warns=_smelled(entry),
        )
        for entry in entries
    )


def _label(entry: LogEntry) -> str:
    if entry.kind is EventKind.TURN_CHANGED:
        return TURN_LABELS[load_facts(entry.kind, stored=entry.facts).turn]
    return FAILED_SMELL_LABELS[entry.kind] if _smelled(entry) else EVENT_LABELS[entry.kind]


def _smelled(entry: LogEntry) -> bool:
    return entry.kind in FAILED_SMELL_LABELS and bool(load_facts(entry.kind, stored=entry.facts).smells)


def facts_in_words(entry: LogEntry, *, benches: Mapping[str, str]) -> str:
    """Return what the event's facts say beyond its kind; `benches` are the names of the work centres."""
    facts = load_facts(entry.kind, stored=entry.facts)
    if isinstance(facts, told.BenchWork):
        return _work(facts, benches=benches)
    speak = _WORDS.get(type(facts))
    return speak(facts) if speak else ""


def label_of(words: type[Any], value: str) -> str:
    """Return the words of an arrival state, or the value itself where an older row has another one."""
    return str(words(value).label) if value in {each.value for each in words} else value.replace("_", " ")


def _arrived(facts: told.Arrived) -> str:
    parts = [
        f"Carton: {label_of(CartonState, facts.carton_state).lower()}",
        f"packing: {label_of(PackingFound, facts.packing_found).lower()}",
    ]
    if facts.smells_of_fuel:
        parts.append("smells of fuel, kept outdoors")
    if not facts.name_inside:
        parts.append("no name inside")
    return _sentence(*parts, note=facts.note)


def _box(facts: told.BoxRecorded) -> str:
    parts = [f"On the box: {facts.sender_on_box}" if facts.sender_on_box else "No sender on the box"]
    if facts.parcel_number:
        parts.append(f"parcel {facts.parcel_number}")
    if facts.smells_of_fuel:
        parts.append("smells of fuel, kept outdoors")
    return _sentence(*parts, note=facts.note)


def _inspected(facts: told.Inspected) -> str:
    parts = [label_of(ArrivalGrade, facts.grade)]
    if facts.number_read:
        parts.append(f"number read “{facts.number_read}”")
    if not facts.same_as_booked:
        parts.append("another unit than booked")
    if facts.contents_missing:
        parts.append(f"missing: {', '.join(facts.contents_missing)}")
    if facts.worst_severity:
        parts.append(f"worst damage: {Severity(facts.worst_severity).label.split(':')[0].lower()}")
    return _sentence(*parts, note=facts.note)


def _work(facts: told.BenchWork, *, benches: Mapping[str, str]) -> str:
    # A bench that was withdrawn since has no name any more.
    where = benches.get(facts.work_centre, facts.work_centre.replace("_", " "))
    step = facts.step.replace("_", " ").capitalize()
    return _sentence(f"{step} ({where})" if where else step, note=facts.note)


def _sent(facts: told.Sent) -> str:
    words = " ".join(part for part in (facts.carrier, facts.tracking_number) if part)
    return _sentence(words, note="") if words else ""


def _unrepaired(facts: told.ReturnedUnrepaired) -> str:
    return " ".join(part for part in (_sent(facts).strip(), facts.reason) if part)


def _finding(facts: told.Finding) -> str:
    where = f"{facts.zone}: " if facts.zone else ""
    severity = f" ({Severity(facts.severity).label.split(':')[0].lower()})" if facts.severity else ""
    return f"{where}{facts.text}{severity}"


def _extra(facts: told.ExtraWorkRef) -> str:
    unit = "day" if facts.added_work_days == 1 else "days"
    days = f", {facts.added_work_days} working {unit} more" if facts.added_work_days else ""
    return _sentence(f"Request {facts.extra_work}{days}", note=facts.note)


def _readings(facts: told.ReadingsRecorded) -> str:
    return "All within the limits." if facts.passed else f"Outside the limits: {', '.join(facts.outside)}."


def _promise(facts: told.Promise) -> str:
    words = span_in_words(facts.earliest_on, facts.latest_on, today=facts.earliest_on)
    return words[:1].upper() + words[1:] + "."


def _held(facts: told.Held) -> str:
    return f"{HOLD_LABELS[facts.hold]}: {hold_for_staff(facts.reason, hold=facts.hold)}"


def _signed(facts: told.SignedOff) -> str:
    return _sentence(
        f"Tested by {facts.tested_by or 'nobody named'}, signed by {facts.signed_by}", note=facts.note
    )


def _matched(facts: told.Matched) -> str:
    return f"Box {show(facts.box_job_number)}, booking {show(facts.booking_job_number)}."


def _settings(facts: told.SettingsRecorded) -> str:
    names = dict.fromkeys((*facts.as_found, *facts.as_left))
    found, left = facts.as_found, facts.as_left
    return "; ".join(
        f"{name}: {found.get(name) or 'not noted'} found, {left.get(name) or 'not noted'} left"
        for name in names
    )


def _links(facts: told.LinksRenewed) -> str:
    where = "another address, now on file" if facts.is_address_changed else "the address on file"
    sent = f"a new one goes to {where}" if facts.is_mailed else "no mail address is on file"
    return f"{facts.reason.rstrip('.')}. Links closed: {facts.closed}; {sent}."


def _photo(facts: told.PhotoWithdrawn) -> str:
    whose = "sent by the customer" if facts.is_customers else "taken here"
    return f"{facts.shows}, {whose}. {facts.reason}"


def _sentence(*parts: str, note: str) -> str:
    said = ", ".join(part for part in parts if part)
    return f"{said}. {note}".strip() if said else note


_WORDS: dict[type[Any], Any] = {
    told.NoFacts: lambda facts: facts.note,
    told.Words: lambda facts: facts.text,
    told.Arrived: _arrived,
    told.BoxRecorded: _box,
    told.Inspected: _inspected,
    told.Sent: _sent,
    told.ReturnedUnrepaired: _unrepaired,
    told.Finding: _finding,
    told.ExtraWorkRef: _extra,
    told.ReadingsRecorded: _readings,
    told.Promise: _promise,
    told.Held: _held,
    told.TurnChanged: lambda facts: facts.reason,
    told.SignedOff: _signed,
    told.LinksRenewed: _links,
    told.PhotoWithdrawn: _photo,
    told.Matched: _matched,
    told.SettingsRecorded: _settings,
    told.PartUsed: lambda facts: _sentence(f"{facts.count} × {facts.part}", note=facts.note),
    told.SmellChecked: lambda facts: "It smells." if facts.smells else "No smell.",
    told.Corrected: lambda facts: f"Step {facts.corrects} does not count: {facts.reason}",
}
