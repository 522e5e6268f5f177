"""Where do dimension lines and their rings go so that no two marks meet?

Under a section the dimensions lie in rows, beside it in columns, the shortest next to the section. A
dimension takes the first row or column in which neither its line nor its ring meets another: safe by
construction.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from packing.drawing.shapes import RING_RADIUS, Dimension, Outline, Point, Ring, Span, Stroke

STEP = 2 * RING_RADIUS + 2.0
ARROW_LENGTH, ARROW_HALF = 5.0, 1.6
APART = 3.0
INSIDE_LEAST = 2 * RING_RADIUS + 2 * ARROW_LENGTH + 2  # a ring sits on its line from this length on


@dataclass(frozen=True, slots=True)
class Measure:
    """One distance to dimension: its two ends on the sheet along the line, and where its witness lines start.

    `order` gives the order of the numbers.
    """

    slug: str
    kind: str
    words: str
    span: Span
    value_mm: float
    deepest_mm: float | None = None

    @property
    def length_units(self) -> float:
        """Return the length of the line."""
        return abs(self.span[1] - self.span[0])


@dataclass(frozen=True, slots=True)
class _Lane:
    at: float
    taken: list[Span]

    def free(self, span: Span) -> bool:
        return all(span[1] + APART <= low or high + APART <= span[0] for low, high in self.taken)


class Lanes:
    """Rows under a section or columns beside it, filled from the section outwards.

    `first` is the place of the first lane, `edges` the sheet's ends along the lanes, `start_mark` the first
    number.
    """

    def __init__(self, *, first: float, edges: Span, start_mark: int) -> None:
        self.first, self.edges, self.mark = first, edges, start_mark
        self.lanes: list[_Lane] = []

    @property
    def end(self) -> float:
        """Return the place beyond the last lane."""
        return self.first + STEP * len(self.lanes) - STEP / 2 + RING_RADIUS

    def rows(self, measures: Iterable[Measure], *, from_y: float) -> list[tuple[Measure, Dimension]]:
        """Return horizontal dimensions below a section; witness lines come down from `from_y`."""
        found = []
        for measure, at, ring_at in self._placed(measures):
            start, end = (measure.span[0], at), (measure.span[1], at)
            strokes = tuple(Stroke("extension", (place, from_y), (place, at + 2.5)) for place in measure.span)
            arrows, tails = _arrows(start, end)
            ring = Ring(str(self.mark), round(ring_at, 3), at)
            self.mark += 1
            found.append(
                (
                    measure,
                    Dimension(
                        measure.slug,
                        measure.kind,
                        measure.value_mm,
                        start,
                        end,
                        (*strokes, *tails, *_to_ring(start, end, ring)),
                        arrows,
                        ring,
                    ),
                )
            )
        return found

    def columns(self, measures: Iterable[Measure], *, from_x: float) -> list[tuple[Measure, Dimension]]:
        """Return upright dimensions right of a section; witness lines come from `from_x`."""
        found = []
        for measure, at, ring_at in self._placed(measures):
            start, end = (at, measure.span[1]), (at, measure.span[0])
            strokes = tuple(Stroke("extension", (from_x, place), (at + 2.5, place)) for place in measure.span)
            arrows, tails = _arrows(start, end)
            ring = Ring(str(self.mark), at, round(ring_at, 3))
            self.mark += 1
            found.append(
                (
                    measure,
                    Dimension(
                        measure.slug,
                        measure.kind,
                        measure.value_mm,
                        start,
                        end,
                        (*strokes, *tails, *_to_ring(start, end, ring)),
                        arrows,
                        ring,
                    ),
                )
            )
        return found

    def _placed(self, measures: Iterable[Measure]) -> list[tuple[Measure, float, float]]:
        rows = sorted(measures, key=lambda measure: (round(measure.length_units, 1), measure.span))
        return [(measure, *self._place(measure)) for measure in rows]

    def _place(self, measure: Measure) -> Point:
        low, high = min(measure.span), max(measure.span)
        places = [(low + high) / 2] if high - low >= INSIDE_LEAST else []
        beside = RING_RADIUS + ARROW_LENGTH * 2 + 1
        places += [low - beside, high + beside]
        lane_at = 0
        while True:
            if lane_at == len(self.lanes):
                self.lanes.append(_Lane(round(self.first + STEP * lane_at, 3), []))
            lane = self.lanes[lane_at]
            for ring_at in places:
                ends = min(low, ring_at - RING_RADIUS), max(high, ring_at + RING_RADIUS)
                if high - low < INSIDE_LEAST:
                    ends = min(ends[0], low - 2 * ARROW_LENGTH), max(ends[1], high + 2 * ARROW_LENGTH)
                inside = self.edges[0] <= ends[0] and ends[1] <= self.edges[1]
                if inside and lane.free(ends):
                    lane.taken.append(ends)
                    return lane.at, ring_at
            if not lane.taken:
                # A line as long as the sheet: it has a lane for itself, and its ring stays on the sheet.
                lane.taken.append(self.edges)
                return lane.at, max(self.edges[0] + RING_RADIUS, min(places[0], self.edges[1] - RING_RADIUS))
            lane_at += 1


def _to_ring(start: Point, end: Point, ring: Ring) -> tuple[Stroke, ...]:
    """Return the piece of line from a short dimension to its ring beside it."""
    level = start[1] == end[1]
    here, low, high = (
        (ring.x, min(start[0], end[0]), max(start[0], end[0]))
        if level
        else (ring.y, min(start[1], end[1]), max(start[1], end[1]))
    )
    if low <= here <= high:
        return ()
    near, stop = (low, here + RING_RADIUS) if here < low else (high, here - RING_RADIUS)
    if level:
        return (Stroke("leader", (near, start[1]), (stop, start[1])),)
    return (Stroke("leader", (start[0], near), (start[0], stop)),)


def _arrows(start: Point, end: Point) -> tuple[tuple[Outline, ...], tuple[Stroke, ...]]:
    """Return the two arrow heads: inside the line where it is long enough, else outside with tails."""
    level = start[1] == end[1]
    low, high = sorted((start[0], end[0]) if level else (start[1], end[1]))
    across = start[1] if level else start[0]
    outside = high - low < INSIDE_LEAST
    heads, tails = [], []
    for tip, sign in ((low, 1), (high, -1)):
        way = -sign if outside else sign
        back = tip + way * ARROW_LENGTH
        corners = [(tip, across), (back, across - ARROW_HALF), (back, across + ARROW_HALF)]
        shown = corners if level else [(y, x) for x, y in corners]
        heads.append(Outline("arrow", "M" + " L".join(f"{x:.2f} {y:.2f}" for x, y in shown) + " Z"))
        if outside:
            tail_end = tip + way * 2 * ARROW_LENGTH
            points = ((tip, across), (tail_end, across))
            tails.append(Stroke("leader", *(points if level else [(y, x) for x, y in points])))
    return tuple(heads), tuple(tails)


def letters(
    heights: list[tuple[str, float, float]], *, x: float, from_x: float, top: float, floor: float
) -> list[Dimension]:
    """Return the marks of the layers left of a section, highest first, each clear of the one above it.

    `heights` are slug, place on the sheet and height in millimetres, from the floor up.
    """
    found: list[Dimension] = []
    free = top
    count = len(heights)
    for at, (slug, y, value_mm) in enumerate(reversed(heights)):
        ring_y = max(y, free + RING_RADIUS)
        free = ring_y + RING_RADIUS + APART
        ring = Ring("ABCDEFGHJK"[count - 1 - at], x, round(ring_y, 3))
        leader = Stroke("leader", (x + RING_RADIUS, ring.y), (from_x, y))
        found.append(
            Dimension(f"layer-{slug}", "layer", value_mm, (from_x, floor), (from_x, y), (leader,), (), ring)
        )
    return found
