"""What is a drawing sheet made of? Plain shapes in sheet units, ready for a template.

One sheet unit is one CSS pixel on a phone 390 pixels wide and half a millimetre on paper when the sheet is
printed
195 mm wide. `ratio` of a sheet is units for each millimetre of the parcel.
"""

from dataclasses import dataclass

SHEET_WIDTH = 390.0
PRINT_WIDTH_MM = 195.0
TEXT_SIZE = 11.0
LINE_HEIGHT = 13.0
CHARACTER_SHARE = 0.62  # of the text size: the wide sans-serif faces; narrower ones leave more air
NO_BREAK = "\u00a0"

# A place on the sheet and an extent along one direction, both in sheet units unless a name says mm.
Point = tuple[float, float]
Span = tuple[float, float]


def text_width(text: str) -> float:
    """Return the estimated width of a line of text in sheet units, on the wide side."""
    wide = sum(1.5 if letter in "MWmw%@×" else 1.04 if letter.isdigit() else 1.0 for letter in text)
    return round(wide * CHARACTER_SHARE * TEXT_SIZE, 2)


@dataclass(frozen=True, slots=True)
class Area:
    """A filled rectangle: `kind` is wall, cushion, block, pad, unit or projection."""

    kind: str
    slug: str
    x: float
    y: float
    width_units: float
    height_units: float


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line: `kind` is extension, leader, support, tick, rule or crown."""

    kind: str
    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class TextLine:
    """One line of text by the left end of its base line."""

    x: float
    y: float
    text: str


@dataclass(frozen=True, slots=True)
class Label:
    """Some lines of text and the box they fill; no two boxes of a sheet overlap."""

    kind: str
    lines: tuple[TextLine, ...]
    x: float
    y: float
    width_units: float
    height_units: float


@dataclass(frozen=True, slots=True)
class Dimension:
    """A dimension line with arrow ends, what it measures, its true value, and its label."""

    slug: str
    kind: str
    value_mm: float
    start: Point
    end: Point
    strokes: tuple[Stroke, ...]
    label: Label


@dataclass(frozen=True, slots=True)
class View:
    """One section: front (left to right, base to top) or side (front to back, base to top)."""

    slug: str
    title: Label
    areas: tuple[Area, ...]
    strokes: tuple[Stroke, ...]
    dimensions: tuple[Dimension, ...]


@dataclass(frozen=True, slots=True)
class DrawingSheet:
    """A whole sheet: two sections, a scale bar and a title block, with the same facts in words."""

    slug: str
    width_units: float
    height_units: float
    ratio: float
    title: str
    description: str
    views: tuple[View, ...]
    scale_bar: Dimension
    title_block: tuple[Label, ...]
    frame: tuple[Stroke, ...]

    @property
    def labels(self) -> tuple[Label, ...]:
        """Return every label of the sheet."""
        found = [*self.title_block, self.scale_bar.label]
        for view in self.views:
            found += [view.title, *(dimension.label for dimension in view.dimensions)]
        return tuple(found)


def make_label(kind: str, *, lines: tuple[str, ...], x: float, y: float) -> Label:
    """Return a label whose first line starts at `x` below `y`."""
    placed = tuple(
        TextLine(round(x, 3), round(y + LINE_HEIGHT * at + TEXT_SIZE - 1.5, 3), text)
        for at, text in enumerate(lines)
    )
    width = max((text_width(text) for text in lines), default=0.0)
    return Label(kind, placed, round(x, 3), round(y, 3), width, LINE_HEIGHT * len(lines))


def wrap(text: str, *, room_units: float) -> tuple[str, ...]:
    """Return `text` broken between words into lines that fit `room_units`; a long word stays whole."""
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer) <= room_units:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)
