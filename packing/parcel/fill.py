"""How much fill goes where, in things a person can count, and what does it weigh?"""

import math
from collections.abc import Callable
from enum import StrEnum

from packing.catalogue.schema import Material
from packing.errors import OutOfRange
from packing.parcel.ranges import require_between

SHEET_FILL_KG_M3 = 10.0  # crumpled kraft as loose void fill, 6 to 12 kg/m3, from memory, weak
BOARD_KG_M3 = 140.0  # 560 g/m2 of C flute on 4 mm
PACK_OUT_LEAST_MM = 3.0  # one thickness of B flute: nobody lays less, and the closed flaps press it out
CROWN_LEAST_MM, CROWN_MOST_MM = 5.0, 15.0  # a slight bulge when closed; common practice, no published source


class Lid(StrEnum):
    """What a hand on the closed lid tells."""

    SLIGHT_BULGE = "slight_bulge"
    FLUSH = "flush"
    SINKS = "sinks"
    STRAINED = "strained"


def fill_count(litres: float, *, material: Material) -> int:
    """Return how many things of the material fill a volume: V / volume of one, rounded up (derived).

    Range: 0 to 5000 litres, 0.01 to 1000 litres a thing. Raises: OutOfRange.
    """
    require_between("litres to fill", value=litres, least=0.0, most=5000.0)
    require_between("count_litres", value=material.count_litres, least=0.01, most=1000.0)
    return math.ceil(litres / material.count_litres - 1e-9)


def fill_mass_kg(litres: float, *, density_kg_m3: float) -> float:
    """Return the mass of a volume of fill as it is packed: V x density (derived).

    Range: 0 to 5000 litres, 0.1 to 1000 kg/m3. Raises: OutOfRange.
    """
    require_between("litres to fill", value=litres, least=0.0, most=5000.0)
    require_between("density_kg_m3", value=density_kg_m3, least=0.1, most=1000.0)
    return litres * density_kg_m3 / 1000


def sheet_area_m2(litres: float, *, density_kg_m3: float, grammage_g_m2: float) -> float:
    """Return the paper needed to fill a volume: V x packing density / grammage, in square metres.

    Range: 0 to 5000 litres, 0.1 to 1000 kg/m3, 10 to 1000 g/m2. Raises: OutOfRange. Derived; the packing
    density of crumpled kraft, 6 to 12 kg/m3, is from memory and weak: measure the shop's own.

    >>> round(sheet_area_m2(10, density_kg_m3=10, grammage_g_m2=70), 2)
    1.43
    """
    require_between("grammage_g_m2", value=grammage_g_m2, least=10.0, most=1000.0)
    return fill_mass_kg(litres, density_kg_m3=density_kg_m3) * 1000 / grammage_g_m2


def count_sentence(count: int, *, material: Material) -> str:
    """Return the count as a packer says it, such as "about 14 grocery bags, each balled"."""
    return f"about {count} {material.count_name}" if count else "nothing"


def crown_mm(top_thickness_mm: float, *, settles_share: float) -> float:
    """Return how far the fill should stand above the carton before closing: what will settle, 5 to 15 mm.

    Range: thickness 0 to 5 m, share 0 to 0.9. Raises: OutOfRange. Common practice, no published source; a
    carrier's guide says the same of loose fill (slightly over the top, UPS).
    """
    require_between("top_thickness_mm", value=top_thickness_mm, least=0.0, most=5000.0)
    require_between("settles_share", value=settles_share, least=0.0, most=0.9)
    return min(CROWN_MOST_MM, max(CROWN_LEAST_MM, top_thickness_mm * settles_share))


def read_lid(lid_mm: float) -> Lid:
    """Return what a closed lid's height over (or, below 0, under a hand's push) the flat tells.

    A slight bulge of 2 to 15 mm is right; a lid that a hand pushes down means the unit can move; more than
    15 mm strains the tape. Range: -300 to 300 mm. Raises: OutOfRange. Common practice, no published source.
    """
    require_between("lid_mm", value=lid_mm, least=-300.0, most=300.0)
    if lid_mm < -2.0:
        return Lid.SINKS
    if lid_mm < 2.0:
        return Lid.FLUSH
    return Lid.SLIGHT_BULGE if lid_mm <= CROWN_MOST_MM else Lid.STRAINED


def settle_gross_mass_kg(
    start_kg: float,
    *,
    drop_height_for: Callable[[float], float],
    gross_mass_for: Callable[[float], float],
) -> tuple[float, float]:
    """Return the gross mass and drop height that agree with each other.

    A heavier parcel is dropped from less, needs less cushion, and is lighter: the loop is repeated until the
    height stands still. Where two bands alternate, the higher fall is kept. Range: start mass 0.01 to 200 kg.
    Raises: OutOfRange, also when it never settles. A fixed point; no source.
    """
    require_between("start_kg", value=start_kg, least=0.01, most=200.0)
    drop_height_m = drop_height_for(start_kg)
    seen: list[float] = []
    for _ in range(20):
        gross_kg = gross_mass_for(drop_height_m)
        next_height_m = drop_height_for(gross_kg)
        if next_height_m == drop_height_m:
            return gross_kg, drop_height_m
        if next_height_m in seen:
            highest_m = max(next_height_m, drop_height_m)
            return gross_mass_for(highest_m), highest_m
        seen.append(drop_height_m)
        drop_height_m = next_height_m
    raise OutOfRange("rounds to settle the gross mass", value=20, least=1, most=20)
