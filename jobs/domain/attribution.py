"""Where a damage was made, as far as the evidence carries, and what evidence is still missing.

The rule and the score are our own proposal, built on what carriers publish that they ask for: six sides,
label, item in its box, packing alone, damage with a scale. "Cannot tell" is the default. A unit that broke on
the way and one that was posted broken look alike a week later, so photos are taken before anything moves.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from enum import StrEnum

from jobs.domain.condition import CartonState, PackingFound, Severity


class PhotoBefore(StrEnum):
    """What the customer's photo of this zone, taken before posting, shows."""

    NONE = "none"
    UNCLEAR = "unclear"
    SHOWS_DAMAGE = "shows_damage"
    SHOWS_SOUND = "shows_sound"


class BreakFace(StrEnum):
    """How the face of a break looks."""

    NOT_SEEN = "not_seen"
    BRIGHT = "bright"
    DULL = "dull"


class Cause(StrEnum):
    """Where a damage was made, as far as the evidence carries."""

    BEFORE_POSTING = "before_posting"
    IN_TRANSIT = "in_transit"
    IN_TRANSIT_POORLY_PACKED = "in_transit_poorly_packed"
    AT_THIS_SHOP = "at_this_shop"
    CANNOT_TELL = "cannot_tell"


@dataclass(frozen=True, slots=True)
class DamageEvidence:
    """What is known about one damage; everything starts as not known."""

    severity: Severity
    carton: CartonState
    packing: PackingFound
    photo_before: PhotoBefore = PhotoBefore.NONE
    break_face: BreakFace = BreakFace.NOT_SEEN
    sealant_over_it: bool = False
    worn_with_age: bool = False
    declared_by_customer: bool = False
    piece_or_dust_in_box: bool = False
    carton_mark_lines_up: bool = False
    sound_in_arrival_photos: bool = False
    people: int = 1


@dataclass(frozen=True, slots=True)
class Attribution:
    """A cause, one sentence of reason, and what more would be needed to say a cause at all."""

    cause: Cause
    reason: str
    missing: tuple[str, ...] = ()


def attribute(evidence: DamageEvidence) -> Attribution:
    """Return where the damage was made; without the evidence for a cause the answer is "cannot tell".

    A damage in a zone without a photo from before posting is never said to come from transit. Severity major
    and beyond repair need two people for that.
    """
    if evidence.sound_in_arrival_photos:
        return Attribution(Cause.AT_THIS_SHOP, "The photos taken on arrival show this place sound.")
    older = tuple(_signs_of_age(evidence))
    if older and evidence.photo_before is PhotoBefore.SHOWS_SOUND:
        reason = f"The photo from before posting shows it sound, yet {older[0]}."
        return Attribution(Cause.CANNOT_TELL, reason, ("a second look at photo and part",))
    if evidence.photo_before is PhotoBefore.SHOWS_DAMAGE:
        return Attribution(Cause.BEFORE_POSTING, "The photo from before posting already shows it.")
    if older:
        return Attribution(Cause.BEFORE_POSTING, f"It is older than the journey: {older[0]}.")
    missing = tuple(_missing_for_transit(evidence))
    if missing:
        return Attribution(Cause.CANNOT_TELL, "The evidence does not carry any cause.", missing)
    if evidence.packing.inadequate and not evidence.carton.damaged:
        reason = "First seen on arrival, in packing that let it move, and the carton shows no blow."
        return Attribution(Cause.IN_TRANSIT_POORLY_PACKED, reason)
    return Attribution(
        Cause.IN_TRANSIT, "Sound before posting, and box and contents bear the marks of a blow."
    )


def _signs_of_age(evidence: DamageEvidence) -> Iterator[str]:
    if evidence.declared_by_customer:
        yield "the customer declared it"
    if evidence.break_face is BreakFace.DULL:
        yield "the break is dirty or oxidised"
    if evidence.sealant_over_it:
        yield "old sealant lies over it"
    if evidence.worn_with_age:
        yield "the wear fits its age"


def _missing_for_transit(evidence: DamageEvidence) -> Iterator[str]:
    if evidence.photo_before is PhotoBefore.NONE:
        yield "a photo of this zone from before posting"
    elif evidence.photo_before is PhotoBefore.UNCLEAR and evidence.break_face is not BreakFace.BRIGHT:
        yield "a clear photo from before posting, or a clean, bright break"
    if not evidence.piece_or_dust_in_box:
        yield "the broken piece or fresh dust in the box"
    if not (evidence.carton_mark_lines_up or evidence.packing.inadequate):
        yield "a mark on the carton that lines up with it"
    if evidence.severity in {Severity.MAJOR, Severity.BEYOND_REPAIR} and evidence.people < 2:
        yield "a second person who looked at it"


# --- evidence --------------------------------------------------------------------------------------


class EvidenceItem(StrEnum):
    """The eight things a claim is asked for, in the order they are best photographed."""

    OUTER_SIX_SIDES = "outer_six_sides"
    LABEL = "label"
    IN_BOX = "in_box"
    CUSHIONING = "cushioning"
    ITEM_ZONE = "item_zone"
    RULER = "ruler"
    PHOTO_BEFORE = "photo_before"
    TIME_STAMP = "time_stamp"

    @property
    def label(self) -> str:
        """What to photograph or have at hand."""
        return _EVIDENCE_LABELS[self]


_EVIDENCE_LABELS = {
    EvidenceItem.OUTER_SIX_SIDES: "all six sides of the carton",
    EvidenceItem.LABEL: "the label, close enough to read its number",
    EvidenceItem.IN_BOX: "the unit in the box with its packing as found",
    EvidenceItem.CUSHIONING: "the packing alone",
    EvidenceItem.ITEM_ZONE: "the damaged place",
    EvidenceItem.RULER: "the damaged place with a ruler beside it",
    EvidenceItem.PHOTO_BEFORE: "the customer's photo of this place from before posting",
    EvidenceItem.TIME_STAMP: "the time of each photo",
}
EVIDENCE_ENOUGH = 6


@dataclass(frozen=True, slots=True)
class EvidenceScore:
    """How many of the eight are held, what is missing, and whether the unit may leave the unpacking bench."""

    points: int
    missing: tuple[EvidenceItem, ...]
    sentence: str

    @property
    def held_sentence(self) -> str:
        """How much is held, for a reader who can no longer add to it at the unpacking bench."""
        return f"{self.points} of the {len(EvidenceItem)} pieces of evidence for a claim are held."


def score_evidence(held: Collection[EvidenceItem]) -> EvidenceScore:
    """Return the score 0 to 8 and what to photograph next, before the unit leaves the unpacking bench."""
    missing = tuple(item for item in EvidenceItem if item not in held)
    points = len(EvidenceItem) - len(missing)
    if not missing:
        return EvidenceScore(points, missing, "All eight pieces of evidence are held.")
    prompt = "Before it leaves the unpacking bench" if points < EVIDENCE_ENOUGH else "Better still"
    return EvidenceScore(points, missing, f"{points} of 8. {prompt}, add {missing[0].label}.")
