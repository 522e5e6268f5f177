"""Which pictographs of ISO 780 belong on the outside of a parcel?"""

from dataclasses import dataclass
from functools import cache

from packing.errors import UnknownEntry
from packing.parcel.tables import load_table
from packing.plain import from_plain

ON_EVERY_PARCEL = ("fragile", "up", "rain")


@dataclass(frozen=True, slots=True)
class Mark:
    """One pictograph by its name in ISO 780 and its number in ISO 7000 (from memory)."""

    slug: str
    name: str
    iso_7000: str


@cache
def marks() -> tuple[Mark, ...]:
    """Return the marks of ISO 780, by number."""
    return from_plain(tuple[Mark, ...], load_table("marks")["mark"])


def mark(slug: str) -> Mark:
    """Return one mark by its short name. Raises: UnknownEntry."""
    for found in marks():
        if found.slug == slug:
            return found
    raise UnknownEntry(
        f"There is no mark “{slug}”; choose one of {', '.join(each.slug for each in marks())}."
    )


def parcel_marks() -> tuple[Mark, ...]:
    """Return the marks for a unit's parcel: fragile, this way up, and dry, for paper and board go soft.

    Marks are no substitute for packing, and carriers do not promise to follow them: a plan is made for falls
    on every side. Source: ISO 780:2015, see `packing/data/marks.toml`.
    """
    return tuple(mark(slug) for slug in ON_EVERY_PARCEL)
