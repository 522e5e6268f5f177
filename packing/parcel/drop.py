"""How far must a parcel be expected to fall, and how hard does it land?"""

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from packing.catalogue.schema import Origin
from packing.errors import OutOfRange
from packing.parcel.ranges import require_between
from packing.parcel.tables import ista_rows, load_table, manual_rows, parcel_test_rows
from packing.quantities import (
    GRAVITY_M_S2,
    MM_PER_IN,
    UnitChoice,
    in_from_mm,
    kg_from_lb,
    lb_from_kg,
    show_length,
    show_stated_length,
)

GROSS_LEAST_KG, GROSS_MOST_KG = 0.01, kg_from_lb(150.0)
DROP_LEAST_M, DROP_MOST_M = 0.01, 3.0


class DropTest(StrEnum):
    """A named test level that sets the design drop height."""

    ISTA_1A = "ista_1a"
    ISTA_2A = "ista_2a"
    ISTA_3A = "ista_3a"
    D4169_LEVEL_1 = "d4169_level_1"
    D4169_LEVEL_2 = "d4169_level_2"
    D4169_LEVEL_3 = "d4169_level_3"
    MIL_810_TRANSIT = "mil_810_transit"


class ParcelClass(StrEnum):
    """How ISTA 3A sorts parcels before it chooses the drops."""

    SMALL = "small"
    ELONGATED = "elongated"
    FLAT = "flat"
    STANDARD = "standard"


@dataclass(frozen=True, slots=True)
class DropHeight:
    """The design drop height of one parcel under one test, with its last, higher drop where there is one."""

    test: DropTest
    drop_height_m: float
    drop_height_in: float
    last_drop_height_m: float
    drops: int
    source: str
    origin: Origin


def drop_height(gross_mass_kg: float, *, test: DropTest = DropTest.ISTA_1A) -> DropHeight:
    """Return the design drop height for a gross mass under a named test.

    ISTA 1A and 2A are read from the metric columns (bounds 10, 19, 28, 45, 68 kg; a bound belongs to the next
    band). Range: 0.01 to 68.04 kg (150 lb). Raises: OutOfRange.
    Source: ISTA 1A and 2A sheet; MIL-STD-810F transit drop; ISTA 3A and ASTM D4169 from memory.

    >>> drop_height(5.44).drop_height_m
    0.76
    >>> drop_height(10.1).drop_height_m
    0.61
    """
    require_between("gross_mass_kg", value=gross_mass_kg, least=GROSS_LEAST_KG, most=GROSS_MOST_KG)
    table = load_table("drop_heights")
    if test in (DropTest.ISTA_1A, DropTest.ISTA_2A):
        row = next(row for row in ista_rows() if gross_mass_kg < row.below_kg)
        first = test is DropTest.ISTA_1A
        height_m = (row.one_a_mm if first else row.two_a_mm) / 1000
        height_in = row.one_a_in if first else row.two_a_in
        source = table["ista_source"]
        return DropHeight(test, height_m, height_in, height_m, 10, source["text"], Origin.PUBLISHED)
    height_in, last_in, drops, source = _pound_band(lb_from_kg(gross_mass_kg), test=test)
    return DropHeight(
        test=test,
        drop_height_m=height_in * MM_PER_IN / 1000,
        drop_height_in=height_in,
        last_drop_height_m=last_in * MM_PER_IN / 1000,
        drops=drops,
        source=source["text"],
        origin=Origin(source["origin"]),
    )


def show_drop_height(drop_height_m: float, *, choice: UnitChoice) -> str:
    """Return a fall in both units; a height of the ISTA sheet with both figures as the sheet states them.

    >>> show_drop_height(0.76, choice=UnitChoice.METRIC)
    '760 mm (30 in)'
    """
    height_mm = drop_height_m * 1000
    for row in ista_rows():
        for stated_mm, stated_in in ((row.one_a_mm, row.one_a_in), (row.two_a_mm, row.two_a_in)):
            if math.isclose(height_mm, stated_mm, abs_tol=1e-6):
                return show_stated_length(stated_mm, length_in=stated_in, choice=choice)
    return show_length(height_mm, choice=choice)


def drop_order() -> tuple[str, ...]:
    """Return the ten drops of ISTA 1A and 2A in their order, each by what strikes the floor.

    A corner, the three edges that meet in it, then the six faces in opposite pairs. Face 3 is the bottom; the
    corner is the most fragile one of it, 2-3-5 where none is known to be. Source: ISTA 1A and 2A sheet
    (scribd.com/doc/304153378).

    >>> len(drop_order())
    10
    """
    return tuple(load_table("drop_heights")["ista_order"]["drops"])


def drop_height_in(gross_mass_lb: float, *, test: DropTest) -> float:
    """Return the drop height in inches read from the pound column, for parcels weighed in pounds.

    The printed pound and kilogram bands do not meet (21 lb is 9.5 kg, the bound is 10 kg); plans go by the
    kilogram column, the higher of the two except from 45.0 to 45.4 kg. Range: 0.02 to 150 lb. Raises:
    OutOfRange. Source: as `drop_height`.

    >>> drop_height_in(12, test=DropTest.ISTA_1A)
    30.0
    """
    require_between("gross_mass_lb", value=gross_mass_lb, least=0.02, most=150.0)
    if test in (DropTest.ISTA_1A, DropTest.ISTA_2A):
        row = next(row for row in ista_rows() if gross_mass_lb < row.below_lb)
        return row.one_a_in if test is DropTest.ISTA_1A else row.two_a_in
    return _pound_band(gross_mass_lb, test=test)[0]


def _pound_band(gross_mass_lb: float, *, test: DropTest) -> tuple[float, float, int, dict[str, str]]:
    """Return height, last height (both in), number of drops and source of the tests banded in pounds."""
    table = load_table("drop_heights")
    if test is DropTest.ISTA_3A:
        parcel = next(row for row in parcel_test_rows() if gross_mass_lb < row.below_lb)
        return parcel.height_in, parcel.last_in, 17, table["ista_3a_source"]
    if test is DropTest.MIL_810_TRANSIT:
        transit = table["transit"]
        if not gross_mass_lb < transit["below_lb"]:
            raise OutOfRange(
                "gross_mass_lb for the transit drop",
                value=round(gross_mass_lb, 1),
                least=0.02,
                most=f"just under {transit['below_lb']}",
            )
        return transit["height_in"], transit["height_in"], transit["drops"], table["transit_source"]
    row = next(row for row in manual_rows() if gross_mass_lb < row.below_lb)
    height_in = {
        DropTest.D4169_LEVEL_1: row.one_in,
        DropTest.D4169_LEVEL_2: row.two_in,
        DropTest.D4169_LEVEL_3: row.three_in,
    }[test]
    return height_in, height_in, 10, table["d4169_source"]


def smallest_face_drop_height_m(gross_mass_kg: float, *, design_drop_height_m: float) -> float:
    """Return the fall that the smallest face has to stand: 36 in for parcels a person can throw.

    Never less than the design height; 36 in (0.9144 m) up to 70 lb, the design height above. Metres.
    Range: gross mass 0.01 to 68.04 kg, design height 0.01 to 3 m. Raises: OutOfRange.
    Source: USPS Publication 2, 6-3 (one drop of 3 ft on the smallest side); 70 lb is the most it takes.

    >>> smallest_face_drop_height_m(5.0, design_drop_height_m=0.76)
    0.9144
    """
    require_between("gross_mass_kg", value=gross_mass_kg, least=GROSS_LEAST_KG, most=GROSS_MOST_KG)
    require_between("design_drop_height_m", value=design_drop_height_m, least=DROP_LEAST_M, most=DROP_MOST_M)
    rule = load_table("drop_heights")["smallest_face"]
    if lb_from_kg(gross_mass_kg) > rule["up_to_lb"]:
        return design_drop_height_m
    return max(design_drop_height_m, float(rule["height_in"]) * MM_PER_IN / 1000)


def impact_speed_m_s(drop_height_m: float) -> float:
    """Return the speed at the end of a free fall: v = sqrt(2 g h), in m/s, without drag (physics).

    Range: height 0.01 to 3 m. Raises: OutOfRange.

    >>> round(impact_speed_m_s(0.762), 3)
    3.866
    """
    require_between("drop_height_m", value=drop_height_m, least=DROP_LEAST_M, most=DROP_MOST_M)
    return math.sqrt(2 * GRAVITY_M_S2 * drop_height_m)


def drop_energy_j(mass_kg: float, *, drop_height_m: float) -> float:
    """Return the energy of a fall: E = m g h, in joules (physics).

    Range: mass 0.01 to 68.04 kg, height 0 to 3 m. Raises: OutOfRange.

    >>> round(drop_energy_j(3, drop_height_m=0.762), 1)
    22.4
    """
    require_between("mass_kg", value=mass_kg, least=GROSS_LEAST_KG, most=GROSS_MOST_KG)
    require_between("drop_height_m", value=drop_height_m, least=0.0, most=DROP_MOST_M)
    return mass_kg * GRAVITY_M_S2 * drop_height_m


def parcel_class(length_mm: float, *, width_mm: float, height_mm: float, gross_mass_kg: float) -> ParcelClass:
    """Return the ISTA 3A class of a parcel by its outside size and gross mass, sides in any order.

    Small: under 800 cubic inches, longest side at most 14 in, at most 10 lb. Elongated: longest at least 36
    in, the others each at most 20 % of it; it beats flat. Flat: shortest at most 8 in, the next at least four
    times it, at least 800 cubic inches. Range: sides 1 mm to 3 m, mass 0.01 to 68.04 kg. Raises: OutOfRange.
    Source: ISTA 3A (jjrlab.com, Smithers).
    """
    require_between("gross_mass_kg", value=gross_mass_kg, least=GROSS_LEAST_KG, most=GROSS_MOST_KG)
    table = load_table("drop_heights")
    for name, side_mm in (("length_mm", length_mm), ("width_mm", width_mm), ("height_mm", height_mm)):
        require_between(name, value=side_mm, least=1.0, most=3000.0)
    shortest, middle, longest = sorted(in_from_mm(side) for side in (length_mm, width_mm, height_mm))
    volume_in3 = shortest * middle * longest
    small, flat, elongated = table["small"], table["flat"], table["elongated"]
    if (
        volume_in3 < small["below_volume_in3"]
        and longest <= small["longest_most_in"]
        and lb_from_kg(gross_mass_kg) <= small["mass_most_lb"]
    ):
        return ParcelClass.SMALL
    if longest >= elongated["longest_least_in"] and middle <= elongated["others_most_share"] * longest:
        return ParcelClass.ELONGATED
    if (
        shortest <= flat["shortest_most_in"]
        and middle >= flat["next_side_least_times"] * shortest
        and volume_in3 >= flat["volume_least_in3"]
    ):
        return ParcelClass.FLAT
    return ParcelClass.STANDARD


@cache
def band_starts_kg() -> tuple[float, ...]:
    """Return the gross masses at which any of the named tests goes over to another height, lightest first."""
    kilograms = {row.below_kg for row in ista_rows()}
    pounds = {row.below_lb for row in ista_rows()} | {row.below_lb for row in parcel_test_rows()}
    pounds |= {row.below_lb for row in manual_rows()}
    starts = kilograms | {kg_from_lb(bound) for bound in pounds}
    return tuple(sorted(start for start in starts if start < GROSS_MOST_KG))
