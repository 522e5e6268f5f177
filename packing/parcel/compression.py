"""How much load on top does a carton carry, new and after damp, time and handling?"""

import math
from collections.abc import Iterable, Mapping

from packing.errors import OutOfRange
from packing.parcel.ranges import require_between
from packing.parcel.tables import deratings, load_table

SIMPLIFIED_FACTOR = 5.87
INTERMEDIATE_FACTOR = 5.874
FULL_FACTOR = 2.028
MCKEE_UNCERTAINTY_SHARE = 0.25  # Urbanik and Frank; Popil: the plain formula is good to 25 % at best


def compression_strength_n(ect_kn_m: float, *, caliper_mm: float, length_mm: float, width_mm: float) -> float:
    """Return the top-to-bottom strength of a slotted box by the simplified McKee form, in newtons.

    BCT = 5.87 ECT sqrt(h Z), Z = 2 (L + W); ECT in kN/m = N/mm, h and Z in mm (5.87 has no unit, so any
    consistent units serve; metres and millimetres mixed are wrong by 31.6). Load from top to bottom, flutes
    upright, box at least about Z / 7 high (from memory); good to 25 % either way at best. Range: ECT 0.5 to
    40 kN/m, caliper 0.5 to 25 mm, sides 20 to 2000 mm. Raises: OutOfRange. Source: McKee, Gander and Wachuta,
    as given at westpak.com; worked example at hypecalculator.com.

    >>> round(compression_strength_n(5.6041, caliper_mm=4.064, length_mm=406.4, width_mm=304.8))
    2501
    """
    perimeter_mm = _checked_perimeter_mm(ect_kn_m, caliper_mm, length_mm, width_mm)
    return SIMPLIFIED_FACTOR * ect_kn_m * math.sqrt(caliper_mm * perimeter_mm)


def compression_strength_intermediate_n(
    ect_kn_m: float, *, caliper_mm: float, length_mm: float, width_mm: float
) -> float:
    """Return the same with the exponents 0.508 and 0.492 (from memory), in newtons.

    BCT = 5.874 ECT h^0.508 Z^0.492. The exponents add to 1, so consistent units (mm) need no conversion.
    Ranges, validity and refusals as the simplified form.

    >>> newtons = compression_strength_intermediate_n(
    ...     5.6041, caliper_mm=4.064, length_mm=406.4, width_mm=304.8
    ... )
    >>> round(newtons / 4.4482216, 1)
    536.9
    """
    perimeter_mm = _checked_perimeter_mm(ect_kn_m, caliper_mm, length_mm, width_mm)
    return float(INTERMEDIATE_FACTOR * ect_kn_m * caliper_mm**0.508 * perimeter_mm**0.492)


def compression_strength_full_n(
    ect_kn_m: float, *, bending_stiffness_n_mm: float, length_mm: float, width_mm: float
) -> float:
    """Return the same by the form that knows the board's bending stiffness (from memory), in newtons.

    BCT = 2.028 ECT^0.746 D^0.254 Z^0.492, D the geometric mean of the stiffness along and across the flutes,
    sqrt(Dx Dy), per width, in N mm (1 lb in = 112.985 N mm). 2.028 has no unit: any consistent ones serve.
    With D = 66.1 ECT h^2 it is the intermediate form. Range: D 10 to 1e6 N mm, all else and the validity as
    the simplified form. Raises: OutOfRange.

    >>> newtons = compression_strength_full_n(
    ...     5.6041, bending_stiffness_n_mm=6118, length_mm=406.4, width_mm=304.8
    ... )
    >>> round(newtons / 4.4482216)
    537
    """
    require_between("bending_stiffness_n_mm", value=bending_stiffness_n_mm, least=10.0, most=1e6)
    perimeter_mm = _checked_perimeter_mm(ect_kn_m, 1.0, length_mm, width_mm)
    return float(FULL_FACTOR * ect_kn_m**0.746 * bending_stiffness_n_mm**0.254 * perimeter_mm**0.492)


def _checked_perimeter_mm(ect_kn_m: float, caliper_mm: float, length_mm: float, width_mm: float) -> float:
    require_between("ect_kn_m", value=ect_kn_m, least=0.5, most=40.0)
    require_between("caliper_mm", value=caliper_mm, least=0.5, most=25.0)
    require_between("length_mm", value=length_mm, least=20.0, most=2000.0)
    require_between("width_mm", value=width_mm, least=20.0, most=2000.0)
    return 2 * (length_mm + width_mm)


def derating_share(kind: str, *, level: str) -> float:
    """Return one multiplier on compression strength, such as kind "humidity", level "80 %".

    Raises: OutOfRange for a kind or level that is not in the table; nothing is interpolated. Source: Fibre
    Box Handbook multipliers as reprinted at richbox.com; stacking, overhang and handling from memory.

    >>> derating_share("humidity", level="80 %")
    0.68
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

    Raises: OutOfRange for an unknown kind or level. Source: as `derating_share`.

    >>> round(working_share({"time": "10 days", "humidity": "80 %", "handling": "worst"}), 3)
    0.257
    """
    return product_of(derating_share(kind, level=level) for kind, level in levels.items())


def product_of(shares: Iterable[float]) -> float:
    """Return the product of shares, each from 0 to 1; the multipliers act one after another (derived).

    Raises: OutOfRange.
    """
    product = 1.0
    for share in shares:
        product *= require_between("share", value=share, least=0.0, most=1.0)
    return product


def parcel_working_share() -> float:
    """Return what is left of a new box's strength in the parcel post.

    10 days, 80 % humidity, rough handling: 0.63 x 0.68 x 0.60 = 0.257. The set is the shop's judgement.
    """
    return working_share(load_table("derating")["parcel"])


def offset_share(side_offset_share: float) -> float:
    """Return what an offset in a stack leaves: each 1 % of the side loses 2.5 %: 1 - 2.5 x.

    Range: 0 to 0.4 of the side. Raises: OutOfRange. Source: Park, MSU 2010 (abstract).
    """
    require_between("side_offset_share", value=side_offset_share, least=0.0, most=0.4)
    return 1 - float(load_table("derating")["offset"]["loss_share_per_share"]) * side_offset_share
