"""What does a parcel plan say, part by part? Frozen values that travel as JSON on the job."""

from dataclasses import dataclass
from enum import StrEnum

from packing.catalogue.schema import Carton, Face, Origin
from packing.parcel.drop import DropHeight
from packing.parcel.unit import Leg, Turn


class Verdict(StrEnum):
    """Whether the parcel may travel like this.

    PASS_WITH_CHANGES needs nothing to be fetched that is not at hand: only done differently, or better board
    advised.
    """

    PASS = "pass"  # noqa: S105
    PASS_WITH_CHANGES = "pass_with_changes"  # noqa: S105
    NO = "no"


class Force(StrEnum):
    """Whether a check has to hold, or is the cautious figure beyond the rule."""

    MUST = "must"
    ADVISED = "advised"


class BlockKind(StrEnum):
    """How the support face is raised above what hangs below it.

    RIGID: a glued block on its pad, the cushion below it. BUILT_UP: the cushion itself built up under a pad.
    """

    RIGID = "rigid"
    BUILT_UP = "built_up"


@dataclass(frozen=True, slots=True)
class Figure:
    """One number that went into a check, with its unit and where it comes from."""

    name: str
    value: float
    unit: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class Influence:
    """What the limiting margin becomes when one input moves by its own uncertainty to the bad side."""

    slug: str
    sentence: str
    margin_ratio: float
    loss_ratio: float


@dataclass(frozen=True, slots=True)
class Check:
    """One promise of the plan against its requirement; 1 is just enough, and more is better.

    `margin_ratio` is the margin by the middle of every estimate, `margin_ratio_least` and
    `margin_ratio_most` the margin at both ends of the materials' uncertainty; the verdict is given by
    `margin_ratio_least`. `formula` and `figures` say how it was computed.
    """

    slug: str
    sentence: str
    margin_ratio: float
    required: float
    actual: float
    unit: str
    source: str
    origin: Origin
    margin_ratio_least: float
    margin_ratio_most: float
    force: Force = Force.MUST
    formula: str = ""
    figures: tuple[Figure, ...] = ()
    band_share: float = 0.0

    @property
    def holds(self) -> bool:
        """Tell whether the rule is kept at the bad end of the estimates, a hair of rounding allowed."""
        return self.margin_ratio_least >= 1 - 1e-6


@dataclass(frozen=True, slots=True)
class Orientation:
    """How the unit stands: which of its own faces is down, how it lies, and its size as it stands."""

    down: Face
    turn: Turn
    length_mm: float
    width_mm: float
    height_mm: float
    sentence: str


@dataclass(frozen=True, slots=True)
class Place:
    """The lower left front corner of the unit's body, from the inside corner of the carton."""

    left_mm: float
    front_mm: float
    floor_mm: float


@dataclass(frozen=True, slots=True)
class CushionFace:
    """The cushion between one side of the unit and one wall of the carton.

    `spreader_mm` is the thickness of a folded board pad between unit and cushion (0: none), `packed_out_mm`
    what is
    filled with folded board behind the cushion because its layers do not fill the gap. `cut_to_size` pads
    cover
    `pad_length_mm` x `pad_width_mm` only; other materials surround the whole side.
    """

    face: Face
    material: str
    name: str
    gap_mm: float
    thickness_mm: float
    layers: int
    area_cm2: float
    pad_length_mm: float
    pad_width_mm: float
    cut_to_size: bool
    spreader_mm: float
    packed_out_mm: float
    static_stress_kpa: float
    peak_g: float
    compression_mm: float
    peak_g_most: float = 0.0
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Block:
    """What raises the support face when projections hang below it; `openings` names what hangs through it.

    A rigid block stands on its spreader pad; a built-up one is cushion with the pad on top of it.
    """

    height_mm: float
    length_mm: float
    width_mm: float
    pad_length_mm: float
    pad_width_mm: float
    pad_thickness_mm: float
    kind: BlockKind = BlockKind.RIGID
    openings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Clearance:
    """The distance from the unit, or from a projection's tip, to a wall.

    `projection` is empty for the body.
    """

    face: Face
    projection: str
    name: str
    at_rest_mm: float
    at_deepest_mm: float
    required_mm: float


@dataclass(frozen=True, slots=True)
class Fill:
    """What goes into one region of the carton, in things a person can count.

    `counted` is the word for what `count` counts, `loose_balls` the balls of paper beside cut pads.
    """

    region: str
    material: str
    name: str
    litres: float
    count: int
    mass_kg: float
    sentence: str
    counted: str = ""
    loose_balls: int = 0


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of the packing sequence, by its height from the carton floor."""

    slug: str
    name: str
    from_mm: float
    to_mm: float
    instruction: str


@dataclass(frozen=True, slots=True)
class PackStep:
    """One thing the packer does, why, and with how many parts it is done."""

    slug: str
    instruction: str
    why: str
    count: int = 1


@dataclass(frozen=True, slots=True)
class Change:
    """One change that would mend the plan; `carton`, `materials` and `take_off` say it for the computer.

    Alternatives that would do by themselves stand in one sentence; the fields hold the first of them, and
    `take_off` the names of the parts that mend it instead.
    """

    slug: str
    sentence: str
    carton: Carton | None = None
    materials: tuple[str, ...] = ()
    take_off: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ParcelPlan:
    """A whole parcel: what to put where, what it weighs, and why it will arrive."""

    unit: str
    unit_name: str
    leg: Leg
    verdict: Verdict
    headline: str
    carton: Carton
    outside_length_mm: float
    outside_width_mm: float
    outside_height_mm: float
    orientation: Orientation
    place: Place
    cushions: tuple[CushionFace, ...]
    block: Block | None
    clearances: tuple[Clearance, ...]
    fills: tuple[Fill, ...]
    unit_mass_kg: float
    gross_mass_kg: float
    dimensional_kg: float
    billed_mass_kg: float
    carrier: str
    carrier_name: str
    drop: DropHeight
    checks: tuple[Check, ...]
    limiting_check: str
    changes: tuple[Change, ...]
    layers: tuple[Layer, ...]
    crown_mm: float
    steps: tuple[PackStep, ...]
    notes: tuple[str, ...]
    influences: tuple[Influence, ...] = ()

    @property
    def limiting(self) -> Check:
        """Return the check with the least margin."""
        return next(check for check in self.checks if check.slug == self.limiting_check)
