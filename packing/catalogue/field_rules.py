"""The checks that any field of any catalogue entry can need: in range, said at all, said once."""

from collections import Counter
from collections.abc import Iterable, Mapping

from packing.plain import Problem


def between(value: float, *, least: float, most: float, key: str, unit: str) -> tuple[Problem, ...]:
    """Return a problem when `value` is outside `least` to `most`, both allowed."""
    if least <= value <= most:
        return ()
    shown = f"{figure(value)} {unit} cannot be right"
    return ((key, f"{shown}; give a value from {figure(least)} to {figure(most)} {unit}."),)


def share_between(share: float, *, least: float, most: float, key: str) -> tuple[Problem, ...]:
    """Return a problem when a share is outside `least` to `most`; told in percent, as shares are typed."""
    if least <= share <= most:
        return ()
    return between(100 * share, least=100 * least, most=100 * most, key=key, unit="%")


def figure(value: float) -> str:
    """Return a number as a person types it, never with an exponent.

    >>> figure(9999999.0), figure(0.02)
    ('9999999', '0.02')
    """
    return f"{value:.12f}".rstrip("0").rstrip(".") if abs(value) < 1e12 else f"{value:.0f}"


def blank(texts: Mapping[str, str]) -> tuple[Problem, ...]:
    """Return a problem for each text that says nothing."""
    return tuple(
        (key, "this is empty; write what a reader needs.") for key, text in texts.items() if not text.strip()
    )


def longer(values: Iterable[str], *, most: int, key: str) -> tuple[Problem, ...]:
    """Return a problem for each value of more than `most` characters."""
    return tuple(
        (key, f"“{value}” has {len(value)} characters; say it in {most} or fewer.")
        for value in values
        if len(value) > most
    )


def repeated(values: Iterable[str], *, key: str) -> tuple[Problem, ...]:
    """Return a problem for each value that stands more than once in a list."""
    return tuple(
        (key, f"“{value}” stands here {count} times; keep one.")
        for value, count in Counter(values).items()
        if count > 1
    )
