"""What is a drawing sheet made of? Plain shapes in sheet units, ready for a template.

One sheet unit is a quarter of a millimetre of paper when a section is printed 86 mm wide, so that both stand
side by side inside the 12 mm margins of A4 and Letter and their lettering is 8 points high, and a little more
than one CSS pixel on a phone 390 pixels wide. `ratio` of a
sheet is units for each millimetre of the parcel. Dimensions carry a number in a ring; a legend tells what it
measures, so that no figure on the sheet is smaller than 11 pixels.
"""

from dataclasses import dataclass

SHEET_WIDTH = 344.0
PRINT_WIDTH_MM = 86.0
TEXT_SIZE = 11.5
LINE_HEIGHT = 14.0
RING_RADIUS = 8.5
CHARACTER_SHARE = 0.62  # of the text size: the wide sans-serif faces; narrower ones leave more air

# A place on the sheet and an extent along one direction, both in sheet units unless a name says mm.
Point = tuple[float, float]
Span = tuple[float, float]


def text_width(text: str) -> float:
    """Return the estimated width of a line of text in sheet units, on the wide side."""
    wide = sum(1.5 if letter in "MWmw%@×" else 1.04 if letter.isdigit() else 1.0 for letter in text)
    return round(wide * CHARACTER_SHARE * TEXT_SIZE, 2)


@dataclass(frozen=True, slots=True)
class Area:
    """A rectangle, or the ellipse in it where `round` is set.

    `kind` is wall, cushion, block, pad, packed-out, hollow, envelope, body or projection; `hatch` the
    material whose pattern fills it, empty for none; `hidden` an outline that the body covers.
    """

    kind: str
    slug: str
    x: float
    y: float
    width_units: float
    height_units: float
    hatch: str = ""
    outline: str = "rect"
    hidden: str = ""

    @property
    def middle(self) -> Point:
        """Return the middle."""
        return round(self.x + self.width_units / 2, 3), round(self.y + self.height_units / 2, 3)

    @property
    def radii(self) -> Point:
        """Return the two half sides."""
        return round(self.width_units / 2, 3), round(self.height_units / 2, 3)


@dataclass(frozen=True, slots=True)
class Stroke:
    """A straight line: `kind` is extension, leader, support, axis, rule or crown."""

    kind: str
    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Outline:
    """A line through several points as SVG path data: `kind` is flute, arrow, flap or tape."""

    kind: str
    path: str


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
class Ring:
    """A mark in a ring: a number for a dimension, a letter for a layer."""

    text: str
    x: float
    y: float

    @property
    def box(self) -> Label:
        """Return the square the ring fills."""
        side = 2 * RING_RADIUS
        return Label("ring", (), self.x - RING_RADIUS, self.y - RING_RADIUS, side, side)

    @property
    def base_y(self) -> float:
        """Return the base line of its text."""
        return round(self.y + TEXT_SIZE * 0.36, 3)


@dataclass(frozen=True, slots=True)
class Dimension:
    """A dimension line with arrow ends, what it measures, its true value, and its ring."""

    slug: str
    kind: str
    value_mm: float
    start: Point
    end: Point
    strokes: tuple[Stroke, ...]
    arrows: tuple[Outline, ...]
    ring: Ring


@dataclass(frozen=True, slots=True)
class View:
    """One section: front (left to right, base to top) or side (front to back, base to top)."""

    slug: str
    title: Label
    areas: tuple[Area, ...]
    strokes: tuple[Stroke, ...]
    outlines: tuple[Outline, ...]
    dimensions: tuple[Dimension, ...]


@dataclass(frozen=True, slots=True)
class Plate:
    """One picture of the sheet that prints on one page: a section, or last the scale bars and title block.

    All plates share the sheet's coordinates; a plate shows them from `y` on.
    """

    slug: str
    title: str
    y: float
    height_units: float
    view: View | None = None

    @property
    def height_mm(self) -> float:
        """Return its height on paper when the sheet is printed at its stated scale."""
        return round(self.height_units * PRINT_WIDTH_MM / SHEET_WIDTH, 1)


@dataclass(frozen=True, slots=True)
class LegendRow:
    """What one mark of the sheet measures, in both units, and what is left of it at the deepest moment."""

    mark: str
    words: str
    metric: str
    imperial: str
    deepest: str = ""


@dataclass(frozen=True, slots=True)
class HatchKey:
    """One pattern of the sheet and what it stands for; `slug` keeps its name apart from the sheet's own."""

    slug: str
    hatch: str
    words: str

    @property
    def names(self) -> tuple[str, ...]:
        """Return the patterns its little picture needs: its own."""
        return (self.hatch,)


@dataclass(frozen=True, slots=True)
class PackingFigure:
    """One small picture of the packing sequence with its words."""

    slug: str
    number: int
    title: str
    words: str
    width_units: float
    height_units: float
    areas: tuple[Area, ...]
    strokes: tuple[Stroke, ...]
    outlines: tuple[Outline, ...]


@dataclass(frozen=True, slots=True)
class Bar:
    """One length of the scale bar: its line and the words beside it."""

    slug: str
    value_mm: float
    start: Point
    end: Point
    label: Label


@dataclass(frozen=True, slots=True)
class DrawingSheet:
    """A whole sheet: two sections, scale bars and a title block, their legend, and the sequence of packing.

    `description` says the same in a few sentences, `facts` line by line.
    """

    slug: str
    width_units: float
    height_units: float
    ratio: float
    scale: str
    title: str
    description: str
    views: tuple[View, ...]
    scale_bars: tuple[Bar, ...]
    title_block: tuple[Label, ...]
    frame: tuple[Stroke, ...]
    hatches: tuple[str, ...] = ()
    legend: tuple[LegendRow, ...] = ()
    layers: tuple[LegendRow, ...] = ()
    keys: tuple[HatchKey, ...] = ()
    figures: tuple[PackingFigure, ...] = ()
    facts: tuple[str, ...] = ()
    plates: tuple[Plate, ...] = ()

    @property
    def width_mm(self) -> float:
        """Return the width at which the stated scale is true on paper."""
        return PRINT_WIDTH_MM

    @property
    def labels(self) -> tuple[Label, ...]:
        """Return every text and ring of the sheet by the box it fills."""
        found = [*self.title_block, *(bar.label for bar in self.scale_bars)]
        for view in self.views:
            found += [view.title, *(dimension.ring.box for dimension in view.dimensions)]
        return tuple(found)


def make_label(kind: str, *, lines: tuple[str, ...], x: float, y: float) -> Label:
    """Return a label whose first line starts at `x` below `y`."""
    placed = tuple(
        TextLine(round(x, 3), round(y + LINE_HEIGHT * at + TEXT_SIZE - 1.0, 3), text)
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
