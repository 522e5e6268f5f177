"""How the state of a carton, of its packing and of a unit is named on arrival.

The words are our own, neutral and few; museum condition recording (EN 16095) and vehicle transport records
share the shape (zone, kind, severity; always who and when). Zones are data of the family.
"""

from enum import IntEnum, StrEnum


class CartonState(StrEnum):
    """The outer carton as received, the worst of what is seen."""

    SOUND = "sound"
    SCUFFED = "scuffed"
    CORNER_CRUSHED = "corner_crushed"
    PANEL_CRUSHED = "panel_crushed"
    TORN = "torn"
    BURST = "burst"
    WET = "wet"
    SMELLS_OF_FUEL = "smells_of_fuel"

    @property
    def label(self) -> str:
        """The words on the page."""
        return _CARTON_LABELS[self]

    @property
    def damaged(self) -> bool:
        """Whether this state alone speaks for rough handling on the way."""
        return self not in {CartonState.SOUND, CartonState.SCUFFED, CartonState.SMELLS_OF_FUEL}


class PackingFound(StrEnum):
    """How the unit lay in its carton when it was opened."""

    SUSPENDED = "suspended"
    THIN_SOMEWHERE = "thin_somewhere"
    LOOSE_OR_MOVED = "loose_or_moved"
    TOUCHING = "touching"
    NONE = "none"

    @property
    def label(self) -> str:
        """The words on the page."""
        return _PACKING_LABELS[self]

    @property
    def inadequate(self) -> bool:
        """Whether a carrier is likely to refuse a claim for this packing."""
        return self in {PackingFound.LOOSE_OR_MOVED, PackingFound.TOUCHING, PackingFound.NONE}


class DamageKind(StrEnum):
    """What is wrong at one place."""

    BENT = "bent"
    CRACKED = "cracked"
    BROKEN_OFF_PIECE_PRESENT = "broken_off_piece_present"
    BROKEN_OFF_PIECE_ABSENT = "broken_off_piece_absent"
    PUNCTURED = "punctured"
    DENTED = "dented"
    CHIPPED = "chipped"
    SCORED = "scored"
    WARPED = "warped"
    LEAKED = "leaked"
    MISSING = "missing"
    CORRODED = "corroded"
    SEIZED = "seized"
    STRIPPED_THREAD = "stripped_thread"
    CONTAMINATED = "contaminated"
    WIRE_OR_PLUG = "wire_or_plug"
    NUMBER_UNREADABLE = "number_unreadable"

    @property
    def label(self) -> str:
        """The words on the page."""
        return _DAMAGE_LABELS[self]


class Severity(IntEnum):
    """How much it matters; HAZARD stands above all because it is dealt with first."""

    NONE = 0
    COSMETIC = 1
    MINOR = 2
    MAJOR = 3
    BEYOND_REPAIR = 4
    HAZARD = 5

    @property
    def label(self) -> str:
        """The words on the page."""
        return _SEVERITY_LABELS[self]


class ArrivalGrade(StrEnum):
    """The whole arrival in one line."""

    COMPLETE = "complete"
    COMPLETE_WITH_DAMAGE = "complete_with_damage"
    INCOMPLETE_CAN_START = "incomplete_can_start"
    INCOMPLETE_CANNOT_START = "incomplete_cannot_start"
    NOT_AS_BOOKED = "not_as_booked"

    @property
    def label(self) -> str:
        """The words on the page."""
        return _GRADE_LABELS[self]


_CARTON_LABELS = {
    CartonState.SOUND: "Sound",
    CartonState.SCUFFED: "Scuffed",
    CartonState.CORNER_CRUSHED: "Corner crushed",
    CartonState.PANEL_CRUSHED: "Panel crushed or bowed",
    CartonState.TORN: "Holed or torn",
    CartonState.BURST: "Burst, or taped again by the carrier",
    CartonState.WET: "Wet or stained",
    CartonState.SMELLS_OF_FUEL: "Smells of fuel",
}
_PACKING_LABELS = {
    PackingFound.SUSPENDED: "Held clear of every wall, at least 50 mm all round",
    PackingFound.THIN_SOMEWHERE: "Cushioned, but thin somewhere",
    PackingFound.LOOSE_OR_MOVED: "Loose fill only, or the unit had moved",
    PackingFound.TOUCHING: "Touching the wall or another item",
    PackingFound.NONE: "No packing",
}
_DAMAGE_LABELS = {
    DamageKind.BENT: "Bent",
    DamageKind.CRACKED: "Cracked",
    DamageKind.BROKEN_OFF_PIECE_PRESENT: "Broken off, piece is here",
    DamageKind.BROKEN_OFF_PIECE_ABSENT: "Broken off, piece is not here",
    DamageKind.PUNCTURED: "Punctured",
    DamageKind.DENTED: "Dented",
    DamageKind.CHIPPED: "Chipped",
    DamageKind.SCORED: "Scored",
    DamageKind.WARPED: "Distorted or warped",
    DamageKind.LEAKED: "Leaked",
    DamageKind.MISSING: "Missing",
    DamageKind.CORRODED: "Corroded",
    DamageKind.SEIZED: "Seized",
    DamageKind.STRIPPED_THREAD: "Stripped thread",
    DamageKind.CONTAMINATED: "Contaminated",
    DamageKind.WIRE_OR_PLUG: "Wire or plug damaged",
    DamageKind.NUMBER_UNREADABLE: "Number cannot be read",
}
_SEVERITY_LABELS = {
    Severity.NONE: "None",
    Severity.COSMETIC: "Cosmetic: no effect on function or seal",
    Severity.MINOR: "Minor: put right within the agreed work",
    Severity.MAJOR: "Major: extra work or a part, needs approval",
    Severity.BEYOND_REPAIR: "Beyond repair: a donor or another casting",
    Severity.HAZARD: "Hazard: fuel, fibre, magnet, sharp or unstable",
}
_GRADE_LABELS = {
    ArrivalGrade.COMPLETE: "Complete",
    ArrivalGrade.COMPLETE_WITH_DAMAGE: "Complete, with damage",
    ArrivalGrade.INCOMPLETE_CAN_START: "Incomplete, work can start",
    ArrivalGrade.INCOMPLETE_CANNOT_START: "Incomplete, work cannot start",
    ArrivalGrade.NOT_AS_BOOKED: "Not as booked",
}


def finding_shot(event_number: int) -> str:
    """Return by what name a photo is bound to the finding of that number in the job's log.

    >>> finding_shot(7)
    'finding_7'
    """
    return f"finding_{event_number}"
