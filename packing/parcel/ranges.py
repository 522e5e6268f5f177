"""Is a number one that a parcel can have at all?"""

import math

from packing.errors import OutOfRange


def require_between(name: str, *, value: float, least: float, most: float) -> float:
    """Return `value` when it is finite and from `least` to `most`.

    Raises: OutOfRange, naming the quantity and its bounds; NaN and infinity are outside every range.
    """
    if not math.isfinite(value) or not least <= value <= most:
        raise OutOfRange(name, value=value, least=least, most=most)
    return value
