"""What the owner's catalogue can say of parcels: materials, cartons, carriers.

All lengths are millimetres, all masses kilograms. `schema.py` is the whole catalogue and passes these on.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from packing.catalogue.origin import Origin, Source


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
class CurveReading:
    """One point of a supplier's cushion curve: the peak (times gravity) of one drop on a cushion."""

    static_stress_kpa: float
    drop_height_mm: float
    thickness_mm: float
    peak_g: float


@dataclass(frozen=True, slots=True)
class CushionFactor:
    """A material known by its least cushion factor and the drop at which that is reached."""

    least_factor: float
    static_stress_kpa: float
    drop_height_mm: float
    thickness_mm: float


@dataclass(frozen=True, slots=True)
class Material:
    """A cushion or fill material.

    The curve is the stress-energy form G = (a / s) exp(b s h / t): `curve_a_kpa` in kPa, `curve_b_m3_kj` in
    cubic metres per kilojoule. `stress_least_kpa` and `stress_most_kpa` bound the usable static stress.
    `settles_share` is the share of thickness lost in transit; `uncertainty_share` the band on the curve.
    `count_name` and `count_litres` turn a volume into things a person can count. `mass_most_kg` is the
    heaviest unit the material's supplier advises it for. `easy_to_get`: a kitchen or a supermarket has it.
    Where `curve_readings` or a `cushion_factor` are given, a and b follow from them, and `curve_source` says
    whose figures they are.
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
    easy_to_get: bool = False
    curve_source: str = ""
    cushion_factor: CushionFactor | None = None
    curve_readings: tuple[CurveReading, ...] = ()


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
    NEAREST_INCH = "nearest_inch"
    NEAREST_CM = "nearest_cm"


@dataclass(frozen=True, slots=True)
class Surcharge:
    """A carrier's extra charge: it applies as soon as any one of the stated figures is exceeded.

    `in_force_from` is the first day on which it is charged; None has always been.
    """

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
    in_force_from: date | None = None


@dataclass(frozen=True, slots=True)
class Carrier:
    """A carrier service: published limits and how it bills, as read on the source's date.

    `width_most_mm` and `height_most_mm` bound the second and the shortest side where a service has a fixed
    format. `other_shape_share` is what part of its box's volume a tube or other shape is billed by. Until the
    day before `side_rounding_from` sides are rounded as `side_rounding_before` says.
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
    side_rounding_from: date | None = None
    side_rounding_before: SideRounding = SideRounding.NONE
    other_shape_share: float = 1.0
