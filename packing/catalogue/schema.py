"""What the owner's catalogue can say: families, unit models, materials, cartons, carriers.

Every entry is a frozen dataclass; `documents.py` reads and writes it as TOML or JSON and `rules.py` checks
what one field alone cannot show. Axes of a unit as it stands on its base: length runs left to right,
width front to back, height base to top. All lengths are millimetres, all masses kilograms.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class EntryKind(StrEnum):
    """The kinds of catalogue entry."""

    FAMILY = "family"
    UNIT_MODEL = "unit_model"
    MATERIAL = "material"
    CARTON = "carton"
    CARRIER = "carrier"


class Origin(StrEnum):
    """Where a figure comes from; shown beside every figure a person sees."""

    PUBLISHED = "published"
    MEASURED = "measured"
    ESTIMATE = "estimate"


@dataclass(frozen=True, slots=True)
class Source:
    """The origin of the figures of one entry, in words a reader can follow up."""

    text: str
    origin: Origin
    read_on: date | None = None


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
    `taken_off` means the customer takes it off before posting; it is refitted for the way back.
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
    """One model-specific step of the strip list and the reason for it."""

    slug: str
    action: StripAction
    part: str
    instruction: str
    why: str
    caution: str = ""
    projection: str = ""


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


# --- parcels ---------------------------------------------------------------------------------------


class MaterialKind(StrEnum):
    """What a packing material is and so what it may be used for."""

    PLANK = "plank"
    BOARD_PAD = "board_pad"
    BALLED_PAPER = "balled_paper"
    FLAT_PAPER = "flat_paper"
    BUBBLE = "bubble"
    AIR_PILLOW = "air_pillow"
    LOOSE_FILL = "loose_fill"
    WADDING = "wadding"


@dataclass(frozen=True, slots=True)
class Material:
    """A cushion or fill material.

    The curve is the stress-energy form G = (a / s) exp(b s h / t): `curve_a_kpa` in kPa, `curve_b_m3_kj` in
    cubic metres per kilojoule. `stress_least_kpa` and `stress_most_kpa` bound the usable static stress.
    `settles_share` is the share of thickness lost in transit; `uncertainty_share` the band on the curve.
    `count_name` and `count_litres` turn a volume into things a person can count. `mass_most_kg` is the heaviest
    unit the material's supplier advises it for.
    """

    slug: str
    name: str
    kind: MaterialKind
    curve_a_kpa: float
    curve_b_m3_kj: float
    stress_least_kpa: float
    stress_most_kpa: float
    settles_share: float
    uncertainty_share: float
    density_kg_m3: float
    thicknesses_mm: tuple[float, ...]
    heavy_allowed: bool
    sharp_allowed: bool
    note: str
    count_name: str
    count_litres: float
    source: Source
    single_drop: bool = False
    mass_most_kg: float | None = None


class Wall(StrEnum):
    """How many corrugated layers a carton has."""

    SINGLE = "single"
    DOUBLE = "double"
    TRIPLE = "triple"


@dataclass(frozen=True, slots=True)
class Carton:
    """A regular slotted carton by its inside size and its board."""

    slug: str
    name: str
    length_mm: float
    width_mm: float
    height_mm: float
    wall: Wall
    caliper_mm: float
    ect_kn_m: float
    board_g_m2: float
    source: Source
    burst_kpa: float | None = None
    puncture_j: float | None = None
    certificate_gross_kg: float | None = None
    used: bool = False


class SideRounding(StrEnum):
    """How a carrier rounds measured sides before it computes volume."""

    NONE = "none"
    UP_INCH = "up_inch"
    UP_CM = "up_cm"


@dataclass(frozen=True, slots=True)
class Surcharge:
    """A carrier's extra charge: it applies as soon as any one of the stated figures is exceeded."""

    slug: str
    name: str
    source: str
    origin: Origin
    length_over_mm: float | None = None
    second_over_mm: float | None = None
    length_girth_over_mm: float | None = None
    volume_over_cm3: float | None = None
    mass_over_kg: float | None = None
    bills_least_kg: float | None = None


@dataclass(frozen=True, slots=True)
class Carrier:
    """A carrier service: published limits and how it bills, as read on the source's date.

    `width_most_mm` and `height_most_mm` bound the second and the shortest side where the service has a fixed format.
    """

    slug: str
    name: str
    service: str
    by_air: bool
    mass_most_kg: float
    length_most_mm: float | None
    length_girth_most_mm: float | None
    divisor_cm3_kg: float | None
    side_rounding: SideRounding
    bill_step_kg: float
    source: Source
    volume_free_cm3: float = 0.0
    handling_mass_kg: float | None = None
    handling_length_mm: float | None = None
    tracking_url: str = ""
    days_least: int = 1
    days_most: int = 5
    width_most_mm: float | None = None
    height_most_mm: float | None = None
    surcharges: tuple[Surcharge, ...] = ()


Entry = Family | UnitModel | Material | Carton | Carrier

ENTRY_CLASSES: dict[EntryKind, type[Entry]] = {
    EntryKind.FAMILY: Family,
    EntryKind.UNIT_MODEL: UnitModel,
    EntryKind.MATERIAL: Material,
    EntryKind.CARTON: Carton,
    EntryKind.CARRIER: Carrier,
}
