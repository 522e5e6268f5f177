"""The facts each event carries: one frozen dataclass per shape, and the version written with it.

Facts are stored as JSON in `JobEvent.facts` through `packing.plain`; nobody reads that JSON by string keys
elsewhere. A new field gets a default, so that older rows still read; a change of meaning raises the version.
"""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from jobs.domain.stages import EventKind, HoldKind, Turn
from packing.plain import from_plain, to_plain

FACTS_VERSION = 1


@dataclass(frozen=True, slots=True)
class NoFacts:
    """The event says all by its kind and time."""

    note: str = ""


@dataclass(frozen=True, slots=True)
class BookingSent:
    """What was booked: the unit as the customer named it."""

    unit_model: str = ""
    number_as_read: str = ""


@dataclass(frozen=True, slots=True)
class BoxRecorded:
    """A box that nobody announced."""

    sender_on_box: str = ""
    parcel_number: str = ""
    carton_state: str = ""
    packing_found: str = ""
    smells_of_fuel: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True)
class Words:
    """A question, an answer, a reason or a note, in somebody's own words; shown to the customer."""

    text: str


@dataclass(frozen=True, slots=True)
class Drained:
    """When the customer, or the bench, drained the unit and set it out in the air."""

    drained_at: datetime


@dataclass(frozen=True, slots=True)
class SmellChecked:
    """The nose's answer."""

    smells: bool


@dataclass(frozen=True, slots=True)
class Sent:
    """A parcel handed to a carrier, either way."""

    on: date
    carrier: str = ""
    tracking_number: str = ""
    tracking_note: str = ""


@dataclass(frozen=True, slots=True)
class ReturnedUnrepaired(Sent):
    """The parcel of a unit that goes back as it came, and why; older rows give no reason."""

    reason: str = ""


@dataclass(frozen=True, slots=True)
class Arrived:
    """The box as it was received, before it was unpacked."""

    carton_state: str
    packing_found: str
    smells_of_fuel: bool = False
    parcel_number: str = ""
    bagged: bool = False
    name_inside: bool = True
    note: str = ""


@dataclass(frozen=True, slots=True)
class Matched:
    """An unannounced box and a booking turned out to be the same unit; `photos` went along."""

    box_job_number: str
    booking_job_number: str
    photos: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class UnitBefore:
    """What the job said about its unit until somebody looked: its family, its model, the number found."""

    family: str
    unit_model: str = ""
    number_found: str = ""


@dataclass(frozen=True, slots=True)
class Inspected:
    """The unit as it was found; the marks themselves are rows of their own.

    `before` is what taking the inspection back puts right; older rows do not have it.
    """

    grade: str
    number_read: str
    unit_model: str = ""
    same_as_booked: bool = True
    contents_found: tuple[str, ...] = ()
    contents_missing: tuple[str, ...] = ()
    worst_severity: int = 0
    note: str = ""
    before: UnitBefore | None = None


@dataclass(frozen=True, slots=True)
class BenchWork:
    """One bench step: which, where, by whom."""

    step: str
    work_centre: str = ""
    person: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """Something found on the bench."""

    text: str
    zone: str = ""
    severity: int = 0


@dataclass(frozen=True, slots=True)
class ExtraWorkRef:
    """Extra work asked for or decided; the lines are in the row of that number."""

    extra_work: int
    price_pence: int
    added_work_days: int
    decided_by: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class PartUsed:
    """A part that went into the unit."""

    part: str
    count: int = 1
    note: str = ""


@dataclass(frozen=True, slots=True)
class SettingsRecorded:
    """Settings, jets and levels as found and as left, by the model's own names."""

    as_found: dict[str, str]
    as_left: dict[str, str]


@dataclass(frozen=True, slots=True)
class ReadingsRecorded:
    """Readings of the bench test against the model's limits."""

    readings: dict[str, float]
    passed: bool
    outside: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Held:
    """A hold, its reason, and when it is expected to end."""

    hold: HoldKind
    reason: str
    expected_on: date | None = None


@dataclass(frozen=True, slots=True)
class TurnChanged:
    """The job's new place in the shop's queues, and why; the customer is not shown it."""

    turn: Turn
    reason: str


@dataclass(frozen=True, slots=True)
class SignedOff:
    """Who tested, and who signed; two people where severity asks for it."""

    tested_by: str
    signed_by: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Promise:
    """The promised range for the unit's way back, and why it moved."""

    earliest_on: date
    likely_on: date
    latest_on: date
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LinksRenewed:
    """Why the customer's links were closed, how many, and whether a new one went out, and where to."""

    reason: str
    closed: int
    is_mailed: bool
    is_address_changed: bool


@dataclass(frozen=True, slots=True)
class PhotoWithdrawn:
    """Which photo is shown no more, what it was of, whether the customer had sent it, and why."""

    photo: str
    shows: str
    reason: str
    is_customers: bool = False


@dataclass(frozen=True, slots=True)
class Corrected:
    """The number of the event that is taken back, and why."""

    corrects: int
    reason: str


FACTS: dict[EventKind, type[Any]] = {
    EventKind.BOOKING_SENT: BookingSent,
    EventKind.BOX_RECORDED: BoxRecorded,
    EventKind.QUESTION_ASKED: Words,
    EventKind.QUESTION_ANSWERED: Words,
    EventKind.CLEARED: NoFacts,
    EventKind.DECLINED: Words,
    EventKind.CANCELLED: Words,
    EventKind.DRAINED: Drained,
    EventKind.SMELL_CHECKED: SmellChecked,
    EventKind.POSTED: Sent,
    EventKind.TRACKING_ADDED: Sent,
    EventKind.ARRIVED: Arrived,
    EventKind.MATCHED: Matched,
    EventKind.MERGED: Matched,
    EventKind.INSPECTED: Inspected,
    EventKind.WORK_STARTED: BenchWork,
    EventKind.WORK_PAUSED: BenchWork,
    EventKind.STRIPPED: BenchWork,
    EventKind.CLEANED: BenchWork,
    EventKind.MACHINED: BenchWork,
    EventKind.ASSEMBLED: BenchWork,
    EventKind.TESTED: BenchWork,
    EventKind.TEST_FAILED: BenchWork,
    EventKind.SIGNED_OFF: SignedOff,
    EventKind.FINDING_RECORDED: Finding,
    EventKind.EXTRA_WORK_ASKED: ExtraWorkRef,
    EventKind.EXTRA_WORK_APPROVED: ExtraWorkRef,
    EventKind.EXTRA_WORK_DECLINED: ExtraWorkRef,
    EventKind.PART_USED: PartUsed,
    EventKind.SETTINGS_RECORDED: SettingsRecorded,
    EventKind.READINGS_RECORDED: ReadingsRecorded,
    EventKind.HELD: Held,
    EventKind.RELEASED: NoFacts,
    EventKind.TURN_CHANGED: TurnChanged,
    EventKind.BENCH_FLUID_CHECKED: SmellChecked,
    EventKind.PACKED: NoFacts,
    EventKind.SENT_BACK: Sent,
    EventKind.RETURNED_UNREPAIRED: ReturnedUnrepaired,
    EventKind.CLOSED: NoFacts,
    EventKind.PROMISE_MADE: Promise,
    EventKind.PROMISE_CHANGED: Promise,
    EventKind.DETAILS_CHANGED: Words,
    EventKind.LINKS_RENEWED: LinksRenewed,
    EventKind.PHOTO_WITHDRAWN: PhotoWithdrawn,
    EventKind.NOTE_ADDED: Words,
    EventKind.CORRECTED: Corrected,
}


def dump_facts(facts: object) -> dict[str, Any]:
    """Return `facts` as JSON-like values for the event row."""
    plain: dict[str, Any] = to_plain(facts)
    return plain


def load_facts(kind: EventKind, *, stored: dict[str, Any]) -> Any:
    """Return the facts dataclass of an event of `kind` from its stored JSON."""
    return from_plain(FACTS[kind], stored)
