"""Where the bars, lines and arrows of a chart go: numbers in, frozen geometry out, nothing drawn.

Lengths are units of the SVG's view box, about one CSS pixel each. A template draws the geometry and puts the
same numbers in a table below it, so nobody depends on the picture.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from portal.owner.axes import (
    LETTER_WIDTH,
    TEXT_HEIGHT,
    ChartError,
    Tick,
    nice_ticks,
    places_apart,
    plain_number,
    spread_labels,
    wrap_words,
)

WIDTH = 400.0
RIGHT_MARGIN = 14.0


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar to be drawn: what it counts and how much; `note` goes into the table only."""

    label: str
    value: float
    note: str = ""


@dataclass(frozen=True, slots=True)
class BarMark:
    """One drawn bar: a rectangle, its name in lines above it, its value at its end."""

    bar: Bar
    lines: tuple[tuple[str, float], ...]
    x: float
    y: float
    width: float
    height: float
    value_text: str
    value_x: float
    value_y: float


@dataclass(frozen=True, slots=True)
class BarChart:
    """Horizontal bars on one scale that starts at zero."""

    key: str
    title: str
    summary: str
    unit: str
    width: float
    height: float
    left: float
    bottom: float
    tick_y: float
    unit_y: float
    ticks: tuple[Tick, ...]
    marks: tuple[BarMark, ...]


@dataclass(frozen=True, slots=True)
class Point:
    """One reading of a line: its place on the time axis (any unit), its words, its value."""

    at: float
    label: str
    value: float


@dataclass(frozen=True, slots=True)
class Series:
    """One line to be drawn and its name."""

    name: str
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class LineMark:
    """One drawn line: its path points as SVG wants them, the place of its last point and of its name."""

    series: Series
    path: str
    end_x: float
    end_y: float
    name_y: float
    dash: int


@dataclass(frozen=True, slots=True)
class LineChart:
    """One to four lines over a common axis; they differ by dash and by the name at their end."""

    key: str
    title: str
    summary: str
    unit: str
    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    tick_y: float
    y_ticks: tuple[Tick, ...]
    x_ticks: tuple[Tick, ...]
    marks: tuple[LineMark, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Span:
    """One range to be drawn: from `low` to `high`, the middle value, and what really happened if known."""

    label: str
    low: float
    likely: float
    high: float
    actual: float | None = None


@dataclass(frozen=True, slots=True)
class SpanMark:
    """One drawn range: a dimension line between two arrow heads, its name above, its dots."""

    span: Span
    lines: tuple[tuple[str, float], ...]
    y: float
    x_low: float
    x_likely: float
    x_high: float
    x_actual: float | None
    low_head: str
    high_head: str
    low_text: str
    likely_text: str
    high_text: str
    actual_text: str


@dataclass(frozen=True, slots=True)
class RangeChart:
    """Ranges as dimension lines over one scale."""

    key: str
    title: str
    summary: str
    unit: str
    width: float
    height: float
    left: float
    bottom: float
    tick_y: float
    unit_y: float
    ticks: tuple[Tick, ...]
    marks: tuple[SpanMark, ...]


def bar_chart(bars: Sequence[Bar], *, key: str, title: str, unit: str, width: float = WIDTH) -> BarChart:
    """Return horizontal bars from zero, one row each, in the given order.

    `key` makes ids unique on a page. Raises: ChartError on a value below zero or not finite.
    """
    for bar in bars:
        if not math.isfinite(bar.value) or bar.value < 0:
            raise ChartError(f"The bar “{bar.label}” is {bar.value}: bars count from zero upwards.")
    most = max((bar.value for bar in bars), default=0.0)
    values = nice_ticks(0.0, most)
    room = len(plain_number(most)) * LETTER_WIDTH + 10.0
    scale = (width - RIGHT_MARGIN - room) / values[-1]
    marks: list[BarMark] = []
    y = 4.0
    for bar in bars:
        lines, y = _name_lines(bar.label, y=y, width=width)
        length = bar.value * scale
        marks.append(
            BarMark(
                bar,
                lines,
                0.0,
                y,
                round(length, 2),
                14.0,
                plain_number(bar.value),
                round(length + 6, 2),
                y + 12,
            )
        )
        y += 26.0
    ticks = tuple(Tick(value, plain_number(value), round(value * scale, 2)) for value in values)
    top = max(bars, key=lambda bar: bar.value, default=None)
    summary = (
        _("%(count)d bars in %(unit)s. The longest is %(label)s with %(value)s.")
        % {"count": len(bars), "unit": unit, "label": top.label, "value": plain_number(top.value)}
        if top
        else _("No values.")
    )
    return BarChart(key, title, summary, unit, width, y + 42, 0.0, y, y + 16, y + 36, ticks, tuple(marks))


def line_chart(
    series: Sequence[Series], *, key: str, title: str, unit: str, width: float = WIDTH, height: float = 240.0
) -> LineChart:
    """Return one to four lines over a common axis that includes zero.

    A line of one point is drawn as its dot.

    Raises: ChartError on more than four lines, on a value that is not finite, or on points out of order.
    """
    _check_series(series)
    points = [point for line in series for point in line.points]
    values = nice_ticks(
        min([0.0, *(p.value for p in points)]), max([0.0, *(p.value for p in points)]), most=6
    )
    names = [line.name for line in series] if len(series) > 1 else []
    left = max(len(plain_number(value)) for value in values) * LETTER_WIDTH + 10
    right = (
        width - RIGHT_MARGIN - min(max((len(name) for name in names), default=0) * LETTER_WIDTH, width / 3)
    )
    top, bottom = TEXT_HEIGHT + 10.0, height - TEXT_HEIGHT - 8
    first, last = min((p.at for p in points), default=0.0), max((p.at for p in points), default=0.0)

    def x_of(at: float) -> float:
        return round(
            (left + right) / 2 if last == first else left + (at - first) / (last - first) * (right - left), 2
        )

    def y_of(value: float) -> float:
        return round(bottom - (value - values[0]) / (values[-1] - values[0]) * (bottom - top), 2)

    drawn = [line for line in series if line.points]
    name_places = places_apart(
        [y_of(line.points[-1].value) + 4 for line in drawn], least=15.0, top=top, bottom=bottom
    )
    marks = tuple(
        LineMark(
            line,
            " ".join(f"{x_of(p.at):g},{y_of(p.value):g}" for p in line.points),
            x_of(line.points[-1].at),
            y_of(line.points[-1].value),
            name_y,
            number,
        )
        for number, (line, name_y) in enumerate(zip(drawn, name_places, strict=True))
    )
    labels = {p.at: p.label for p in points}
    x_ticks = spread_labels([Tick(at, labels[at], x_of(at)) for at in sorted(labels)])
    y_ticks = tuple(Tick(value, plain_number(value), y_of(value)) for value in values)
    summary = " ".join(
        f"{line.name}: from {plain_number(line.points[0].value)} ({line.points[0].label}) "
        f"to {plain_number(line.points[-1].value)} ({line.points[-1].label})." for line in drawn
    )  # fmt: skip
    return LineChart(
        key, title, summary or _("No values."), unit, width, height, left, right, top, bottom, bottom + 20,
        y_ticks, x_ticks, marks, _table_rows(drawn, labels=labels),
    )  # fmt: skip


def range_chart(
    spans: Sequence[Span], *, key: str, title: str, unit: str, width: float = WIDTH
) -> RangeChart:
    """Return one dimension line for each range over a scale that includes zero.

    Raises: ChartError when a range is not low <= likely <= high or a value is not finite.
    """
    for span in spans:
        if not (span.low <= span.likely <= span.high) or not all(map(math.isfinite, _ends(span))):
            raise ChartError(f"The range “{span.label}” has to run low, likely, high; it is {_ends(span)}.")
    ends = [0.0, *(value for span in spans for value in _ends(span))]
    values = nice_ticks(min(ends), max(ends))
    left = 4.0 + len(plain_number(values[0])) * LETTER_WIDTH / 2
    right = width - RIGHT_MARGIN - len(plain_number(values[-1])) * LETTER_WIDTH / 2

    def x_of(value: float) -> float:
        return round(left + (value - values[0]) / (values[-1] - values[0]) * (right - left), 2)

    marks: list[SpanMark] = []
    y = 4.0
    for span in spans:
        lines, y = _name_lines(span.label, y=y, width=width)
        y += 8.0
        low, high = x_of(span.low), x_of(span.high)
        head = min(9.0, max((high - low) / 2, 0.0))
        marks.append(
            SpanMark(
                span, lines, y, low, x_of(span.likely), high,
                None if span.actual is None else x_of(span.actual),
                f"{low:g},{y:g} {low + head:g},{y - 3:g} {low + head:g},{y + 3:g}",
                f"{high:g},{y:g} {high - head:g},{y - 3:g} {high - head:g},{y + 3:g}",
                plain_number(span.low), plain_number(span.likely), plain_number(span.high),
                "" if span.actual is None else plain_number(span.actual),
            )
        )  # fmt: skip
        y += 20.0
    ticks = tuple(Tick(value, plain_number(value), x_of(value)) for value in values)
    reach = {"first": plain_number(values[0]), "last": plain_number(values[-1])}
    summary = _("%(count)d ranges in %(unit)s, from %(first)s to %(last)s.") % {
        "count": len(spans), "unit": unit, **reach,
    }  # fmt: skip
    return RangeChart(key, title, summary, unit, width, y + 42, left, y, y + 16, y + 36, ticks, tuple(marks))


def _ends(span: Span) -> tuple[float, ...]:
    return (span.low, span.likely, span.high) + (() if span.actual is None else (span.actual,))


def _name_lines(text: str, *, y: float, width: float) -> tuple[tuple[tuple[str, float], ...], float]:
    """Return the lines of a name with their baselines below `y`, and the height they end at."""
    words = wrap_words(text, width=width)
    lines = tuple((line, y + (number + 1) * TEXT_HEIGHT - 4) for number, line in enumerate(words))
    return lines, y + len(words) * TEXT_HEIGHT + 2


def _check_series(series: Sequence[Series]) -> None:
    if len(series) > 4:
        raise ChartError(f"{len(series)} lines cannot be told apart by their dashes: draw four or fewer.")
    for line in series:
        if any(not math.isfinite(point.value) or not math.isfinite(point.at) for point in line.points):
            raise ChartError(f"The line “{line.name}” holds a value that is not a finite number.")
        if any(later.at <= earlier.at for earlier, later in zip(line.points, line.points[1:], strict=False)):
            raise ChartError(f"The points of the line “{line.name}” have to be in order, each once.")


def _table_rows(
    series: Sequence[Series], *, labels: dict[float, str]
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    known = [{point.at: plain_number(point.value) for point in line.points} for line in series]
    return tuple((labels[at], tuple(line.get(at, "") for line in known)) for at in sorted(labels))
