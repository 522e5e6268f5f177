"""How much load on top does a carton carry, new and after damp, time and handling?"""

import math
from collections.abc import Iterable, Mapping

from packing.errors import OutOfRange
from packing.parcel.ranges import require_between
from packing.parcel.tables import deratings, load_table

SIMPLIFIED_FACTOR = 5.87
INTERMEDIATE_FACTOR = 5.874
MCKEE_UNCERTAINTY_SHARE = 0.25  # Urbanik and Frank; Popil: the plain formula is good to 25 % at best


def compression_strength_n(ect_kn_m: float, *, caliper_mm: float, length_mm: float, width_mm: float) -> float:
    """Return the top-to-bottom strength of a slotted box by the simplified McKee form, in newtons.

    BCT = 5.87 ECT sqrt(h Z), Z = 2 (L + W); ECT in kN/m = N/mm, h and Z in mm. Flutes upright; good to +-25
    % at
    best. Range: ECT 0.5 to 40, caliper 0.5 to 25 mm, sides 20 to 2000 mm. Source: McKee, Gander and Wachuta.

    >>> round(compression_strength_n(5.6041, caliper_mm=4.064, length_mm=406.4, width_mm=304.8))
    2501
    """
    perimeter_mm = _checked_perimeter_mm(ect_kn_m, caliper_mm, length_mm, width_mm)
    return SIMPLIFIED_FACTOR * ect_kn_m * math.sqrt(caliper_mm * perimeter_mm)


def compression_strength_intermediate_n(
    ect_kn_m: float, *, caliper_mm: float, length_mm: float, width_mm: float
) -> float:
    """Return the same with the exponents 0.508 and 0.492 (from memory), in newtons.

    Ranges as the simplified form.

    The exponents add to 1, so consistent units (mm) need no conversion.
    """
    perimeter_mm = _checked_perimeter_mm(ect_kn_m, caliper_mm, length_mm, width_mm)
    return float(INTERMEDIATE_FACTOR * ect_kn_m * caliper_mm**0.508 * perimeter_mm**0.492)


def _checked_perimeter_mm(ect_kn_m: float, caliper_mm: float, length_mm: float, width_mm: float) -> float:
    require_between("ect_kn_m", value=ect_kn_m, least=0.5, most=40.0)
    require_between("caliper_mm", value=caliper_mm, least=0.5, most=25.0)
    require_between("length_mm", value=length_mm, least=20.0, most=2000.0)
    require_between("width_mm", value=width_mm, least=20.0, most=2000.0)
    return 2 * (length_mm + width_mm)


def derating_share(kind: str, *, level: str) -> float:
    """Return one published multiplier, such as kind "humidity", level "80 %".

    Raises: OutOfRange for another.
    """
    for row in deratings():
        if (row.kind, row.level) == (kind, level):
            return row.share
    known = [row.level for row in deratings() if row.kind == kind] or sorted(
        {row.kind for row in deratings()}
    )
    raise OutOfRange(f"level of {kind}", value=level, least=known[0], most=known[-1])


def working_share(levels: Mapping[str, str]) -> float:
    """Return the product of multipliers; the safety factor is its reciprocal.

    >>> round(working_share({"time": "10 days", "humidity": "80 %", "handling": "worst"}), 3)
    0.257
    """
    return product_of(derating_share(kind, level=level) for kind, level in levels.items())


def product_of(shares: Iterable[float]) -> float:
    """Return the product of shares, each from 0 to 1."""
    product = 1.0
    for share in shares:
        product *= require_between("share", value=share, least=0.0, most=1.0)
    return product


def parcel_working_share() -> float:
    """Return what is left of a new box's strength in the parcel post.

    10 days, 80 % humidity, rough handling.
    """
    return working_share(load_table("derating")["parcel"])


def offset_share(side_offset_share: float) -> float:
    """Return what an offset in a stack leaves: each 1 % of the side loses 2.5 %. Range 0 to 0.4.

    Source: Park, MSU 2010.
    """
    require_between("side_offset_share", value=side_offset_share, least=0.0, most=0.4)
    return 1 - float(load_table("derating")["offset"]["loss_share_per_share"]) * side_offset_share
