"""What the owner's catalogue can say: families, unit models, materials, cartons, carriers.

Every entry is a frozen dataclass; `documents.py` reads and writes it as TOML or JSON and `rules.py` checks
what one field alone cannot show. Axes of a unit as it stands on its base: length runs left to right,
width front to back, height base to top. All lengths are millimetres, all masses kilograms.
"""

from dataclasses import dataclass
from enum import StrEnum

from packing.catalogue.origin import Origin, Source
from packing.catalogue.parcel_schema import (
    Carrier,
    Carton,
    CurveReading,
    CushionFactor,
    Material,
    MaterialKind,
    SideRounding,
    Surcharge,
    Wall,
)

__all__ = [
    "ENTRY_CLASSES",
    "Carrier",
    "Carton",
    "CurveReading",
    "CushionFactor",
    "Entry",
    "EntryKind",
    "Envelope",
    "Face",
    "Family",
    "Material",
    "MaterialKind",
    "NumberKind",
    "Origin",
    "Projection",
    "Shot",
    "SideRounding",
    "Source",
    "StampedNumber",
    "StripAction",
    "StripStep",
    "SupportFace",
    "Surcharge",
    "Symptom",
    "TestLine",
    "Trait",
    "TraitQuestion",
    "UnitModel",
    "Wall",
]


class EntryKind(StrEnum):
    """The kinds of catalogue entry."""

    FAMILY = "family"
    UNIT_MODEL = "unit_model"
    MATERIAL = "material"
    CARTON = "carton"
    CARRIER = "carrier"


# --- units -----------------------------------------------------------------------------------------


class Face(StrEnum):
    """The six sides of a unit or a carton."""

    BASE = "base"
    TOP = "top"
    LEFT = "left"
    RIGHT = "right"
    FRONT = "front"
    BACK = "back"


@dataclass(frozen=True, slots=True)
class Envelope:
    """The smallest upright box round the body, without its projections."""

    length_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class SupportFace:
    """A machined face that can carry the unit's load, centred on its side of the envelope."""

    face: Face
    length_mm: float
    width_mm: float


@dataclass(frozen=True, slots=True)
class Projection:
    """Anything that sticks out past the envelope.

    `across_mm` and `up_mm` place its centre from the centre of its face: on the four upright faces across is
    horizontal and up is vertical; on base and top across runs along the length and up along the width.
    `taken_off` means the customer takes it off before posting: it travels neither way on the unit, and what
    is sent along all the same travels wrapped by itself.
    """

    slug: str
    name: str
    face: Face
    reach_mm: float
    breadth_mm: float
    depth_mm: float
    across_mm: float = 0.0
    up_mm: float = 0.0
    may_be_touched: bool = False
    taken_off: bool = False


class NumberKind(StrEnum):
    """The four different numbers found on units."""

    CASTING = "casting"
    LIST = "list"
    TAG = "tag"
    DATE = "date"


@dataclass(frozen=True, slots=True)
class StampedNumber:
    """A number that identifies, or helps to identify, a unit model."""

    kind: NumberKind
    text: str
    where: str


@dataclass(frozen=True, slots=True)
class Trait:
    """A countable or visible fact of a unit model: its answer to one question of the family."""

    question: str
    answer: str


class StripAction(StrEnum):
    """What the customer does with one part, in the order of the page."""

    PHOTOGRAPH = "photograph"
    DRAIN = "drain"
    TAKE_OFF = "take_off"
    LEAVE_ON = "leave_on"
    SEND_ALONG = "send_along"
    CAP = "cap"


@dataclass(frozen=True, slots=True)
class StripStep:
    """One step of the strip list and the reason for it.

    `once_empty` puts what is taken off behind the draining: undoing it would let fuel run out.
    """

    slug: str
    action: StripAction
    part: str
    instruction: str
    why: str
    caution: str = ""
    projection: str = ""
    once_empty: bool = False


@dataclass(frozen=True, slots=True)
class Shot:
    """A named photo the shop wants of a unit model or family."""

    slug: str
    title: str
    instruction: str


@dataclass(frozen=True, slots=True)
class TestLine:
    """One reading of the bench test with its limits; `unit` is printed, such as kPa or degrees."""

    slug: str
    label: str
    unit: str
    least: float | None = None
    most: float | None = None


@dataclass(frozen=True, slots=True)
class UnitModel:
    """A unit the shop rebuilds: how to know it, strip it, pack it and test it."""

    slug: str
    name: str
    make: str
    family: str
    description: str
    fitted_to: str
    numbers: tuple[StampedNumber, ...]
    envelope: Envelope
    mass_kg: float
    fragility_g: float
    support_faces: tuple[SupportFace, ...]
    projections: tuple[Projection, ...]
    strip_steps: tuple[StripStep, ...]
    source: Source
    traits: tuple[Trait, ...] = ()
    shots: tuple[Shot, ...] = ()
    settings: tuple[str, ...] = ()
    test_lines: tuple[TestLine, ...] = ()
    price_from_pence: int = 0
    price_to_pence: int = 0
    second_signature: bool = False


@dataclass(frozen=True, slots=True)
class Symptom:
    """One complaint a customer can tick."""

    slug: str
    label: str


@dataclass(frozen=True, slots=True)
class TraitQuestion:
    """A question that splits look-alike models, answered by counting or looking, never by opening."""

    slug: str
    text: str
    hint: str
    answers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Family:
    """A trade family: what all its models share.

    `ports_capped`: dirt ruins the unit, so every port is capped. The two sides bound a bare unit's sides.
    """

    slug: str
    name: str
    plural: str
    air_hours: float
    holds_fuel: bool
    magnetised: bool
    wet_tested: bool
    mass_least_kg: float
    mass_most_kg: float
    symptoms: tuple[Symptom, ...]
    zones: tuple[str, ...]
    source: Source
    questions: tuple[TraitQuestion, ...] = ()
    shots: tuple[Shot, ...] = ()
    strip_steps: tuple[StripStep, ...] = ()
    number_help: str = ""
    never: tuple[str, ...] = ()
    ports_capped: bool = False
    side_least_mm: float | None = None
    side_most_mm: float | None = None


Entry = Family | UnitModel | Material | Carton | Carrier

ENTRY_CLASSES: dict[EntryKind, type[Entry]] = {
    EntryKind.FAMILY: Family,
    EntryKind.UNIT_MODEL: UnitModel,
    EntryKind.MATERIAL: Material,
    EntryKind.CARTON: Carton,
    EntryKind.CARRIER: Carrier,
}
