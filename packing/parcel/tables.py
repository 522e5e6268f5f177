"""Which published tables do the parcel computations rest on, row by row?

The tables are TOML files in `packing/data`, in the units their sources print. Each is read once. Rows that
rest on memory rather than on a page carry `Origin.ESTIMATE`.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from packing.catalogue.schema import Carrier, Carton, Material, Origin, Wall
from packing.plain import from_plain


@cache
def load_table(name: str) -> dict[str, Any]:
    """Return one file of `packing/data` as plain values; treat it as read-only."""
    return tomllib.loads(files("packing.data").joinpath(f"{name}.toml").read_text(encoding="utf-8"))


@dataclass(frozen=True, slots=True)
class BoxRow:
    """One row of Item 222: a box may weigh and measure this much when its board reaches these figures."""

    wall: Wall
    gross_lb: float
    united_in: float
    facing_lb_msf: float
    ect_lb_in: float
    origin: Origin
    burst_psi: float | None = None
    puncture_units: float | None = None


@dataclass(frozen=True, slots=True)
class AdvisedRow:
    """The gross mass a cautious shipper puts into board of this edge crush strength."""

    ect_lb_in: float
    gross_lb: float


@dataclass(frozen=True, slots=True)
class PostalRow:
    """What the post asks of a box of dense goods up to a gross mass."""

    up_to_lb: float
    burst_psi: float
    bracing: bool


@dataclass(frozen=True, slots=True)
class GradeRow:
    """One board grade of DIN 55468-1."""

    grade: str
    wall: Wall
    puncture_j: float
    ect_kn_m: float
    burst_kpa: float | None = None


@dataclass(frozen=True, slots=True)
class IstaRow:
    """Drop heights below one gross mass, in both printed units (neither converts exactly to the other)."""

    below_lb: float
    below_kg: float
    one_a_in: float
    one_a_mm: float
    two_a_in: float
    two_a_mm: float


@dataclass(frozen=True, slots=True)
class ParcelTestRow:
    """ISTA 3A drop height below one gross mass, and the height of the last drop."""

    below_lb: float
    height_in: float
    last_in: float


@dataclass(frozen=True, slots=True)
class ManualRow:
    """ASTM D4169 manual-handling drop heights below one gross mass, by assurance level."""

    below_lb: float
    one_in: float
    two_in: float
    three_in: float


@dataclass(frozen=True, slots=True)
class Flute:
    """One corrugated flute or pair of flutes; the caliper is the board thickness for compression formulas."""

    name: str
    caliper_mm: float
    origin: Origin
    flutes_per_ft: float | None = None
    height_least_mm: float | None = None
    height_most_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Derating:
    """What share of a new box's compression strength is left under one influence."""

    kind: str
    level: str
    share: float
    origin: Origin


@dataclass(frozen=True, slots=True)
class FragilityClass:
    """A class of goods by the peak acceleration it survives, in multiples of gravity."""

    name: str
    least_g: float
    origin: Origin
    most_g: float | None = None


@dataclass(frozen=True, slots=True)
class DesignFragility:
    """The acceleration the shop designs for when nothing was measured."""

    unit: str
    design_g: float
    why: str
    origin: Origin


@cache
def box_rows() -> tuple[BoxRow, ...]:
    """Return Item 222, lightest row first within each wall."""
    return from_plain(tuple[BoxRow, ...], load_table("item222")["row"])


@cache
def advised_rows() -> tuple[AdvisedRow, ...]:
    """Return the advised ceilings by edge crush, weakest first."""
    return from_plain(tuple[AdvisedRow, ...], load_table("item222")["advised"])


@cache
def postal_rows() -> tuple[PostalRow, ...]:
    """Return the post's box requirements for dense goods, lightest first."""
    return from_plain(tuple[PostalRow, ...], load_table("item222")["postal_box"])


@cache
def grade_rows() -> tuple[GradeRow, ...]:
    """Return the board grades of DIN 55468-1, weakest first within each wall."""
    return from_plain(tuple[GradeRow, ...], load_table("din55468")["row"])


@cache
def ista_rows() -> tuple[IstaRow, ...]:
    """Return the ISTA 1A and 2A drop heights, lightest first."""
    return from_plain(tuple[IstaRow, ...], load_table("drop_heights")["ista"])


@cache
def parcel_test_rows() -> tuple[ParcelTestRow, ...]:
    """Return the ISTA 3A drop heights (from memory), lightest first."""
    return from_plain(tuple[ParcelTestRow, ...], load_table("drop_heights")["ista_3a"])


@cache
def manual_rows() -> tuple[ManualRow, ...]:
    """Return the ASTM D4169 manual-handling heights (from memory), lightest first."""
    return from_plain(tuple[ManualRow, ...], load_table("drop_heights")["d4169"])


@cache
def flutes() -> tuple[Flute, ...]:
    """Return the corrugated flutes."""
    return from_plain(tuple[Flute, ...], load_table("flutes")["flute"])


@cache
def deratings() -> tuple[Derating, ...]:
    """Return the multipliers on box compression strength."""
    return from_plain(tuple[Derating, ...], load_table("derating")["effect"])


@cache
def fragility_classes() -> tuple[FragilityClass, ...]:
    """Return the fragility classes, most fragile first."""
    return from_plain(tuple[FragilityClass, ...], load_table("fragility")["class"])


@cache
def design_fragilities() -> tuple[DesignFragility, ...]:
    """Return the shop's design accelerations by kind of unit."""
    return from_plain(tuple[DesignFragility, ...], load_table("fragility")["design"])


@cache
def stock_materials() -> tuple[Material, ...]:
    """Return the materials the catalogue starts with."""
    return from_plain(tuple[Material, ...], load_table("materials")["material"])


@cache
def stock_cartons() -> tuple[Carton, ...]:
    """Return the cartons the catalogue starts with."""
    return from_plain(tuple[Carton, ...], load_table("cartons")["carton"])


@cache
def stock_carriers() -> tuple[Carrier, ...]:
    """Return the carrier services the catalogue starts with."""
    return from_plain(tuple[Carrier, ...], load_table("carriers")["carrier"])
