"""The checks that any field of any catalogue entry can need: in range, said at all, said once."""

from collections import Counter
from collections.abc import Iterable, Mapping

from packing.plain import Problem


def between(value: float, *, least: float, most: float, key: str, unit: str) -> tuple[Problem, ...]:
    """Return a problem when `value` is outside `least` to `most`, both allowed."""
    if least <= value <= most:
        return ()
    return ((key, f"{value:g} {unit} cannot be right; give a value from {least:g} to {most:g} {unit}."),)


def blank(texts: Mapping[str, str]) -> tuple[Problem, ...]:
    """Return a problem for each text that says nothing."""
    return tuple(
        (key, "this is empty; write what a reader needs.") for key, text in texts.items() if not text.strip()
    )


def repeated(values: Iterable[str], *, key: str) -> tuple[Problem, ...]:
    """Return a problem for each value that stands more than once in a list."""
    return tuple(
        (key, f"“{value}” stands here {count} times; keep one.")
        for value, count in Counter(values).items()
        if count > 1
    )
