"""Which numbers hold what was read as a part of them: the ends of a stamp wear away first.

A part never names a unit by itself, so these numbers are only ever asked about. At least three signs have to
be readable; the limit is our own, no published figure exists.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from packing.identify.confusion import LOOK_ALIKE_TENTHS, change_cost_tenths
from packing.identify.normalise import UNREADABLE

READABLE_LEAST = 3
LOOK_ALIKES_MOST_TENTHS = 2 * LOOK_ALIKE_TENTHS


class Place(StrEnum):
    """Where in the number the part stands."""

    START = "start"
    END = "end"
    INSIDE = "inside"


PLACE_ORDER = tuple(Place)


@dataclass(frozen=True, slots=True)
class PartFit:
    """A number of which a part was read: where it stands, and how far that part is from what was read."""

    place: Place
    part: str
    part_tenths: int


def readable_count(read: str) -> int:
    """Return how many signs of a compact reading could be read."""
    return len(read) - read.count(UNREADABLE)


def part_fits(read: str, *, stamped: Iterable[str]) -> dict[str, PartFit]:
    """Return each longer number in `stamped` that holds `read`, at its cheapest place.

    A sign that could not be read stands for any; up to two look-alikes are allowed.

    >>> fits = part_fits("KV40", stamped=["KV4081B", "KW4081B"])
    >>> {number: str(fit.place) for number, fit in fits.items()}
    {'KV4081B': 'start'}
    """
    if readable_count(read) < READABLE_LEAST:
        return {}
    return {number: fit for number in set(stamped) if (fit := _best_fit(read, number=number)) is not None}


def _best_fit(read: str, *, number: str) -> PartFit | None:
    best: PartFit | None = None
    missing = len(number) - len(read)
    if missing < 1:
        return None
    for at in range(missing + 1):
        part = number[at : at + len(read)]
        cost = _cost_tenths(read, part=part)
        if cost is not None and (best is None or cost < best.part_tenths):
            place = Place.START if at == 0 else Place.END if at == missing else Place.INSIDE
            best = PartFit(place, part, cost)
    return best


def _cost_tenths(read: str, *, part: str) -> int | None:
    """Return what it costs to take the part for what was read, None where they differ by more than wear."""
    costs = [
        change_cost_tenths(sign, stamped=other)
        for sign, other in zip(read, part, strict=True)
        if sign != UNREADABLE
    ]
    if max(costs) > LOOK_ALIKE_TENTHS or sum(costs) > LOOK_ALIKES_MOST_TENTHS:
        return None
    return sum(costs)
