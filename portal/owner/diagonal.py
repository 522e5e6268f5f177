"""Where do the points of a reliability chart go? What was promised across, what came true upwards.

A point on the diagonal came true as often as it was promised, one below it less often. Lengths are units of
the SVG's view box, as in `charts`.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from portal.owner.axes import LETTER_WIDTH, TEXT_HEIGHT, ChartError, Tick, plain_number
from portal.owner.charts import RIGHT_MARGIN, WIDTH

TICKS_PERCENT = (0.0, 20.0, 40.0, 60.0, 80.0, 100.0)


@dataclass(frozen=True, slots=True)
class Kept:
    """Of what was promised to so many in 100, so many came true, and from low to high that may be chance.

    `named` points are those that are told to customers; they are drawn filled.
    """

    promised_percent: float
    kept_percent: float
    low_percent: float
    high_percent: float
    named: bool = False


@dataclass(frozen=True, slots=True)
class KeptMark:
    """One drawn point with its bar, and its numbers for the table."""

    kept: Kept
    x: float
    y: float
    y_low: float
    y_high: float
    diamond: str
    cells: tuple[str, str, str, str]


@dataclass(frozen=True, slots=True)
class DiagonalChart:
    """Points with bars over a square of per cents, and its diagonal."""

    key: str
    title: str
    summary: str
    x_unit: str
    y_unit: str
    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    tick_y: float
    unit_y: float
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]
    marks: tuple[KeptMark, ...]


def diagonal_chart(
    points: Sequence[Kept],
    *,
    key: str,
    title: str,
    summary: str,
    x_unit: str,
    y_unit: str,
    width: float = WIDTH,
) -> DiagonalChart:
    """Return the points over a square from 0 to 100 on both axes.

    Raises: ChartError on a value outside 0 to 100, or a point outside its own bar.
    """
    for point in points:
        values = (point.promised_percent, point.low_percent, point.kept_percent, point.high_percent)
        if not all(math.isfinite(value) and 0.0 <= value <= 100.0 for value in values):
            raise ChartError(f"The point {values} has to lie between 0 and 100.")
        if not point.low_percent <= point.kept_percent <= point.high_percent:
            raise ChartError(f"The point {values} lies outside its own bar.")
    left = 3 * LETTER_WIDTH + 10.0
    right = width - RIGHT_MARGIN
    top = TEXT_HEIGHT + 10.0
    bottom = top + (right - left)

    def x_of(percent: float) -> float:
        return round(left + percent / 100.0 * (right - left), 2)

    def y_of(percent: float) -> float:
        return round(bottom - percent / 100.0 * (bottom - top), 2)

    marks = tuple(
        KeptMark(
            point,
            x_of(point.promised_percent),
            y_of(point.kept_percent),
            y_of(point.low_percent),
            y_of(point.high_percent),
            _diamond(x_of(point.promised_percent), y_of(point.kept_percent)) if point.named else "",
            (
                plain_number(round(point.promised_percent)),
                plain_number(round(point.kept_percent)),
                plain_number(round(point.low_percent)),
                plain_number(round(point.high_percent)),
            ),
        )
        for point in points
    )
    return DiagonalChart(
        key=key,
        title=title,
        summary=summary,
        x_unit=x_unit,
        y_unit=y_unit,
        width=width,
        height=bottom + 2 * TEXT_HEIGHT + 6.0,
        left=left,
        right=right,
        top=top,
        bottom=bottom,
        tick_y=bottom + 18.0,
        unit_y=bottom + 38.0,
        x_ticks=tuple(Tick(value, plain_number(value), x_of(value)) for value in TICKS_PERCENT),
        y_ticks=tuple(Tick(value, plain_number(value), y_of(value)) for value in TICKS_PERCENT),
        marks=marks,
    )


def _diamond(x: float, y: float) -> str:
    return f"M{x:g} {y - 6:g}l6 6-6 6-6-6z"
