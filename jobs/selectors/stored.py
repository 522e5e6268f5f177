"""What did an earlier run, perhaps of an earlier release, store: read so that another shape does no harm."""

from collections.abc import Iterable
from typing import TypeVar

from packing.errors import CatalogueError
from packing.plain import from_plain

T = TypeVar("T")


def read_stored(cls: type[T], content: object) -> T | None:
    """Return what was stored, or None where it was stored in another shape."""
    try:
        return from_plain(cls, content)
    except CatalogueError:
        return None


def read_each(cls: type[T], contents: object) -> tuple[T, ...]:
    """Return the items of a stored list, without those of another shape."""
    if not isinstance(contents, Iterable) or isinstance(contents, str):
        return ()
    return tuple(found for each in contents if (found := read_stored(cls, each)) is not None)
