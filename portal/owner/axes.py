"""How an axis is divided and how words are fitted to a chart: round ticks, short numbers, wrapped names.

Lengths are units of an SVG's view box, about one CSS pixel each.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

TEXT_HEIGHT = 19.0
LETTER_WIDTH = 7.4
LEAST_SPAN = 1e-6


class ChartError(ValueError):
    """The numbers of a chart cannot be drawn; the sentence says which and why."""


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark on an axis: its value, its words, and its place along the axis."""

    value: float
    text: str
    at: float


def nice_ticks(low: float, high: float, *, most: int = 6) -> tuple[float, ...]:
    """Return at most `most` round values, spaced by 1, 2 or 5 times a power of ten, that hold low and high.

    The first is not above `low`, the last not below `high`. Valid for finite low <= high and most >= 4;
    ends less than a millionth apart count as one value.

    Raises: ChartError outside that range.

    >>> nice_ticks(0, 23)
    (0.0, 5.0, 10.0, 15.0, 20.0, 25.0)
    >>> nice_ticks(0, 0)
    (0.0, 1.0)
    """
    if not (math.isfinite(low) and math.isfinite(high) and low <= high and most >= 4):
        raise ChartError(f"An axis from {low} to {high} with {most} marks cannot be drawn.")
    if high - low < LEAST_SPAN:
        low, high = min(low, 0.0), max(high, 0.0)
    if high - low < LEAST_SPAN:
        return (0.0, 1.0)
    power = 10.0 ** math.floor(math.log10((high - low) / (most - 1)))
    # The widest of these steps always fits: 50 powers exceed the span when 4 marks are allowed.
    for factor in (1, 2, 5, 10, 20, 50):
        step = power * factor
        first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        if last - first + 1 <= most:
            break
    return tuple(round(count * step, 12) for count in range(first, last + 1))


def plain_number(value: float) -> str:
    """Return a value as short as it can be read: 12, 12.5, 1,200.

    >>> plain_number(1200.0), plain_number(2.50), plain_number(-0.0)
    ('1,200', '2.5', '0')
    """
    text = f"{value:,.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text.replace("-", "−")


def wrap_words(text: str, *, width: float) -> tuple[str, ...]:
    """Return `text` in at most two lines that fit `width`; what does not fit ends in "…".

    The width of a letter is taken as 7.4 units, a generous mean for 14-unit text (estimate).
    """
    most = max(int(width / LETTER_WIDTH), 4)
    lines: list[str] = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}".strip()
        if len(joined) <= most or not lines[-1]:
            lines[-1] = joined
        else:
            lines.append(word)
    kept = lines[:2]
    if len(lines) > 2:
        kept[1] += " …"
    return tuple(line if len(line) <= most else f"{line[: most - 1].rstrip(' …')}…" for line in kept)


def places_apart(places: Sequence[float], *, least: float, top: float, bottom: float) -> list[float]:
    """Return the places moved until neighbours are `least` apart, within top and bottom if there is room."""
    order = sorted(range(len(places)), key=lambda number: places[number])
    moved = list(places)
    for above, below in pairwise(order):
        moved[below] = max(moved[below], moved[above] + least)
    if order and moved[order[-1]] > bottom + 4:
        shift = min(moved[order[-1]] - bottom - 4, moved[order[0]] - top)
        moved = [place - max(shift, 0.0) for place in moved]
    return [round(place, 2) for place in moved]


def spread_labels(ticks: Sequence[Tick]) -> tuple[Tick, ...]:
    """Return as many evenly chosen ticks as fit side by side, the first and the last among them if two fit.

    The first label begins at its tick, the last ends at it, the others are centred. The words of one tick
    alone are centred.
    """
    for count in range(len(ticks), 1, -1):
        chosen = [ticks[round(number * (len(ticks) - 1) / (count - 1))] for number in range(count)]
        ends = [_extent(tick, place=place, count=count) for place, tick in enumerate(chosen)]
        if all(after[0] - before[1] >= 2 * LETTER_WIDTH for before, after in pairwise(ends)):
            return tuple(chosen)
    return tuple(ticks[-1:])


def _extent(tick: Tick, *, place: int, count: int) -> tuple[float, float]:
    wide = len(tick.text) * LETTER_WIDTH
    left = tick.at if place == 0 else tick.at - wide if place == count - 1 else tick.at - wide / 2
    return left, left + wide
