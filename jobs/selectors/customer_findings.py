"""What was found on the unit, how it was set, and how it travels back, as its customer reads it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from jobs.domain.facts import (
    Finding,
    Inspected,
    ReadingsRecorded,
    ReturnedUnrepaired,
    Sent,
    SettingsRecorded,
    load_facts,
)
from jobs.domain.replay import LogEntry, standing_events
from jobs.domain.stages import EventKind
from jobs.models import Job, Mark
from jobs.selectors import shop
from jobs.selectors.counter import POST_DAYS_UNKNOWN
from packing import selectors as catalogue
from packing.catalogue.schema import Carrier, EntryKind, UnitModel

E = EventKind


@dataclass(frozen=True, slots=True)
class MarkSeen:
    """One piece of damage: where, what, how bad from 0 to 5, its cause, and its place on a photo if any.

    `lost_photo` where the photo it lay on was withdrawn.
    """

    zone: str
    damage_kind: str
    severity: int
    origin: str
    note: str
    photo_id: int | None
    x_share: float | None
    y_share: float | None
    lost_photo: bool = False


@dataclass(frozen=True, slots=True)
class FindingSeen:
    """Something found on the bench."""

    text: str
    zone: str
    on: date


@dataclass(frozen=True, slots=True)
class ConditionSeen:
    """The receiving inspection and everything found since."""

    inspected_on: date
    number_read: str
    same_as_booked: bool
    contents_found: tuple[str, ...]
    contents_missing: tuple[str, ...]
    note: str
    marks: tuple[MarkSeen, ...]
    findings: tuple[FindingSeen, ...]


@dataclass(frozen=True, slots=True)
class SettingSeen:
    """One setting by the model's own name, as found and as left."""

    name: str
    as_found: str
    as_left: str


@dataclass(frozen=True, slots=True)
class ReadingSeen:
    """One reading of the bench test beside its limits; None where there is no limit."""

    label: str
    value: float
    unit: str
    least: float | None
    most: float | None
    is_outside: bool


@dataclass(frozen=True, slots=True)
class ParcelSeen:
    """A parcel on its way, as the carrier's page finds it; `days_most` is the longest its carrier takes."""

    on: date
    carrier: str
    tracking_number: str
    tracking_note: str
    tracking_url: str
    days_most: int


def condition(job: Job, *, entries: Sequence[LogEntry]) -> ConditionSeen | None:
    """Return the condition record, or None until the unit was inspected."""
    standing = standing_events(entries)
    inspected = _last(standing, kinds={E.INSPECTED})
    if inspected is None:
        return None
    facts: Inspected = load_facts(inspected.kind, stored=inspected.facts)
    return ConditionSeen(
        inspected_on=_day(inspected),
        number_read=facts.number_read,
        same_as_booked=facts.same_as_booked,
        contents_found=facts.contents_found,
        contents_missing=facts.contents_missing,
        note=facts.note,
        marks=tuple(
            MarkSeen(
                zone=row.zone,
                damage_kind=row.damage_kind,
                severity=row.severity,
                origin=row.origin,
                note=row.note,
                photo_id=row.photo_id,
                x_share=row.x_share,
                y_share=row.y_share,
                lost_photo=row.photo is not None and row.photo.withdrawn_at is not None,
            )
            for row in Mark.objects.filter(job=job, withdrawn_at__isnull=True).select_related("photo")
        ),
        findings=tuple(_finding(entry) for entry in standing if entry.kind is E.FINDING_RECORDED),
    )


def settings_sheet(entries: Sequence[LogEntry]) -> tuple[SettingSeen, ...]:
    """Return the settings as found and as left; the last record counts."""
    entry = _last(standing_events(entries), kinds={E.SETTINGS_RECORDED})
    if entry is None:
        return ()
    facts: SettingsRecorded = load_facts(entry.kind, stored=entry.facts)
    names = dict.fromkeys((*facts.as_found, *facts.as_left))
    return tuple(
        SettingSeen(name, facts.as_found.get(name, ""), facts.as_left.get(name, "")) for name in names
    )


def readings(job: Job, *, entries: Sequence[LogEntry]) -> tuple[ReadingSeen, ...]:
    """Return the readings of the last bench test against the limits of the model as it was then."""
    entry = _last(standing_events(entries), kinds={E.READINGS_RECORDED})
    if entry is None:
        return ()
    facts: ReadingsRecorded = load_facts(entry.kind, stored=entry.facts)
    model = _model(job)
    lines = {line.slug: line for line in model.test_lines} if model else {}
    seen = []
    for slug, value in facts.readings.items():
        line = lines.get(slug)
        label = line.label if line else slug.replace("_", " ")
        seen.append(
            ReadingSeen(
                label=label,
                value=value,
                unit=line.unit if line else "",
                least=line.least if line else None,
                most=line.most if line else None,
                is_outside=label in facts.outside,
            )
        )
    return tuple(seen)


def parcel_in(entries: Sequence[LogEntry]) -> ParcelSeen | None:
    """Return the parcel to the shop, with the newest tracking number."""
    standing = standing_events(entries)
    posted = _last(standing, kinds={E.POSTED})
    if posted is None:
        return None
    newest = _last(standing, kinds={E.POSTED, E.TRACKING_ADDED}) or posted
    facts: Sent = load_facts(newest.kind, stored=newest.facts)
    sent: Sent = load_facts(posted.kind, stored=posted.facts)
    return _parcel(facts, on=sent.on)


def parcel_back(entries: Sequence[LogEntry]) -> ParcelSeen | None:
    """Return the parcel back to the customer."""
    entry = _last(standing_events(entries), kinds={E.SENT_BACK, E.RETURNED_UNREPAIRED})
    if entry is None:
        return None
    facts: Sent = load_facts(entry.kind, stored=entry.facts)
    return _parcel(facts, on=facts.on)


def why_unrepaired(entries: Sequence[LogEntry]) -> str:
    """Return why the unit goes back without the repair; nothing where it does not, or no reason was kept."""
    entry = _last(standing_events(entries), kinds={E.RETURNED_UNREPAIRED})
    if entry is None:
        return ""
    facts: ReturnedUnrepaired = load_facts(entry.kind, stored=entry.facts)
    return facts.reason


def _parcel(facts: Sent, *, on: date) -> ParcelSeen:
    published = catalogue.catalogue().carriers
    named = [each for each in published.values() if _is_named(each, words=facts.carrier)]
    carrier = named[0] if named else None
    url = ""
    if carrier is not None and facts.tracking_number and "{number}" in carrier.tracking_url:
        url = carrier.tracking_url.replace("{number}", facts.tracking_number)
    return ParcelSeen(on, facts.carrier, facts.tracking_number, facts.tracking_note, url, _days_most(named))


def _days_most(named: Sequence[Carrier]) -> int:
    """Return the longest time of the carrier's services, since which was used is not known."""
    return max((carrier.days_most for carrier in named), default=POST_DAYS_UNKNOWN)


def _is_named(carrier: Carrier, *, words: str) -> bool:
    return words.strip().casefold() in {carrier.slug.casefold(), carrier.name.casefold()}


def _finding(entry: LogEntry) -> FindingSeen:
    facts: Finding = load_facts(entry.kind, stored=entry.facts)
    return FindingSeen(text=facts.text, zone=facts.zone, on=_day(entry))


def _last(entries: Sequence[LogEntry], *, kinds: set[EventKind]) -> LogEntry | None:
    return next((entry for entry in reversed(entries) if entry.kind in kinds), None)


def _model(job: Job) -> UnitModel | None:
    if not job.unit_model or job.unit_model_revision is None:
        return None
    entry = catalogue.entry_at(EntryKind.UNIT_MODEL, job.unit_model, revision=job.unit_model_revision)
    return entry if isinstance(entry, UnitModel) else None


def _day(entry: LogEntry) -> date:
    return entry.happened_at.astimezone(shop.zone()).date()
