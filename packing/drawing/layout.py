"""Where do dimension lines and their labels go so that no two labels meet?

Horizontal dimensions get one row each under the section; upright ones get a line each beside it and a ladder
of
labels further right, joined by leaders. Both are safe by construction, not by trial.
"""

from dataclasses import dataclass

from packing.drawing.shapes import (
    LINE_HEIGHT,
    NO_BREAK,
    SHEET_WIDTH,
    Dimension,
    Span,
    Stroke,
    make_label,
    text_width,
    wrap,
)
from packing.quantities import UnitChoice, show_length

EDGE = 3.0
LINE_STEP = 6.0


def measure(value_mm: float, *, choice: UnitChoice) -> str:
    """Return a length in both units that stays on one line."""
    return show_length(value_mm, choice=choice).replace(" ", NO_BREAK)


def measure_lines(value_mm: float, *, choice: UnitChoice, room_units: float) -> tuple[str, ...]:
    """Return a length in both units on one line, or on two where one does not fit."""
    text = measure(value_mm, choice=choice)
    if text_width(text) <= room_units:
        return (text,)
    first, _, second = text.partition(f"{NO_BREAK}(")
    return first, f"({second}"


class Rows:
    """Stacks horizontal dimensions downwards, one row each."""

    def __init__(self, *, y: float, choice: UnitChoice) -> None:
        self.bottom, self.choice = y, choice
        self.placed: list[Dimension] = []

    def add(
        self, name: str, *, slug: str, kind: str, span: Span, value_mm: float, floor_units: float
    ) -> None:
        """Add one dimension over a span; its label goes to the side with more room."""
        start, end = span
        text = f"{name} {measure(value_mm, choice=self.choice)}"
        after, before = SHEET_WIDTH - EDGE - (end + 5), start - 5 - EDGE
        lines = wrap(text, room_units=max(after, before))
        width = max(text_width(line) for line in lines)
        x = end + 5 if after >= before else start - 5 - width
        label = make_label(kind, lines=lines, x=x, y=self.bottom)
        y = round(self.bottom + label.height_units / 2, 3)
        strokes = tuple(Stroke("extension", (place, floor_units), (place, y + 2)) for place in span)
        self.placed.append(Dimension(slug, kind, value_mm, (start, y), (end, y), strokes, label))
        self.bottom += label.height_units + 4


@dataclass(frozen=True, slots=True)
class _Rung:
    name: str
    slug: str
    low: float
    high: float
    value_mm: float


class Ladder:
    """Stacks the labels of upright dimensions in the order of their heights, each below the one before."""

    def __init__(self, *, x: float, label_x_units: float, y: float, choice: UnitChoice) -> None:
        self.x, self.label_x, self.bottom, self.choice = x, label_x_units, y, choice
        self._rungs: list[_Rung] = []

    def add(self, name: str, *, slug: str, low: float, high: float, value_mm: float) -> None:
        """Add one dimension between two heights on the sheet (`low` is the lower end, the larger y)."""
        self._rungs.append(_Rung(name, slug, low, high, value_mm))

    def placed(self, *, wall_x_units: float) -> list[Dimension]:
        """Return the dimensions with their labels; `bottom` then tells where the ladder ends."""
        found: list[Dimension] = []
        rungs = sorted(self._rungs, key=lambda rung: rung.low + rung.high)
        columns = max(1, min(5, len(rungs)))
        for at, rung in enumerate(rungs):
            x = round(self.x + LINE_STEP * (at % columns), 3)
            room = SHEET_WIDTH - EDGE - self.label_x
            lines = (
                *wrap(rung.name, room_units=room),
                *measure_lines(rung.value_mm, choice=self.choice, room_units=room),
            )
            middle = (rung.low + rung.high) / 2
            top = max(self.bottom, middle - LINE_HEIGHT * len(lines) / 2)
            label = make_label("upright", lines=lines, x=self.label_x, y=top)
            self.bottom = top + label.height_units + 2
            strokes = (
                Stroke("extension", (wall_x_units, rung.low), (x + 2, rung.low)),
                Stroke("extension", (wall_x_units, rung.high), (x + 2, rung.high)),
                Stroke(
                    "leader",
                    (x, round(middle, 3)),
                    (self.label_x - 2, round(top + label.height_units / 2, 3)),
                ),
            )
            found.append(
                Dimension(rung.slug, "upright", rung.value_mm, (x, rung.low), (x, rung.high), strokes, label)
            )
        return found
