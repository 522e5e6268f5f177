"""How closely are the waves of a board set, and how much paper does one take?"""

from packing.parcel.ranges import require_between
from packing.quantities import MM_PER_IN

MM_PER_FT = 12 * MM_PER_IN


def flute_pitch_mm(flutes_per_ft: float) -> float:
    """Return the distance from one wave to the next, in millimetres: a foot / the flutes in it.

    Range: 10 to 300 flutes a foot. Raises: OutOfRange. Derived.

    >>> round(flute_pitch_mm(41), 2)  # C flute
    7.43
    """
    require_between("flutes_per_ft", value=flutes_per_ft, least=10.0, most=300.0)
    return MM_PER_FT / flutes_per_ft


def take_up_factor(flute_height_mm: float, *, pitch_mm: float) -> float:
    """Return how many metres of paper one metre of wave takes: w = 0.8 + 1.33 height / pitch.

    Range: height 0.3 to 10 mm, pitch 1 to 30 mm, and 0.15 to 1 times the pitch high, below which the line
    would give less paper than a flat sheet. Raises: OutOfRange. Source: Einteilung der Wellpappesorten, after
    Tenzer 1989 (mediencommunity.de).

    >>> round(take_up_factor(3.6, pitch_mm=7.43), 2)
    1.44
    """
    require_between("flute_height_mm", value=flute_height_mm, least=0.3, most=10.0)
    require_between("pitch_mm", value=pitch_mm, least=1.0, most=30.0)
    require_between("height_to_pitch", value=flute_height_mm / pitch_mm, least=0.15, most=1.0)
    return 0.8 + 1.33 * flute_height_mm / pitch_mm
