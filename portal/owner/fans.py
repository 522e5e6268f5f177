"""Where does the band of a fan chart go? Numbers in, frozen geometry out, nothing drawn.

The band runs from the low to the high value of each week, the line through the likely one. Lengths are units
of the SVG's view box, as in `charts`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from portal.owner.axes import (
    LETTER_WIDTH,
    TEXT_HEIGHT,
    ChartError,
    Tick,
    nice_ticks,
    plain_number,
    spread_labels,
)
from portal.owner.charts import RIGHT_MARGIN, WIDTH


@dataclass(frozen=True, slots=True)
class FanPoint:
    """One place on the time axis: its words, and the low, likely and high value there."""

    label: str
    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True)
class FanChart:
    """A band with a line in it, over a common axis that begins at zero."""

    key: str
    title: str
    summary: str
    unit: str
    width: float
    height: float
    left: float
    right: float
    tick_y: float
    y_ticks: tuple[Tick, ...]
    x_ticks: tuple[Tick, ...]
    band: str
    line: str
    rows: tuple[tuple[str, tuple[str, str, str]], ...]


def fan_chart(
    points: Sequence[FanPoint],
    *,
    key: str,
    title: str,
    unit: str,
    width: float = WIDTH,
    height: float = 240.0,
) -> FanChart:
    """Return the band and the line of these points, in their order.

    Raises: ChartError when a point is not 0 <= low <= likely <= high.
    """
    for point in points:
        if not 0.0 <= point.low <= point.likely <= point.high < float("inf"):
            raise ChartError(f"The point “{point.label}” has to run low, likely, high, from zero upwards.")
    values = nice_ticks(0.0, max((point.high for point in points), default=0.0))
    left = max(len(plain_number(value)) for value in values) * LETTER_WIDTH + 10
    right = width - RIGHT_MARGIN
    top, bottom = TEXT_HEIGHT + 10.0, height - TEXT_HEIGHT - 8
    places = [round(left + at / max(len(points) - 1, 1) * (right - left), 2) for at in range(len(points))]

    def y_of(value: float) -> float:
        return round(bottom - value / values[-1] * (bottom - top), 2)

    above = [f"{x:g},{y_of(point.high):g}" for x, point in zip(places, points, strict=True)]
    below = [f"{x:g},{y_of(point.low):g}" for x, point in zip(places, points, strict=True)]
    line = [f"{x:g},{y_of(point.likely):g}" for x, point in zip(places, points, strict=True)]
    return FanChart(
        key, title, _summary(points, unit=unit), unit, width, height, left, right, bottom + 20,
        tuple(Tick(value, plain_number(value), y_of(value)) for value in values),
        spread_labels([Tick(x, point.label, x) for x, point in zip(places, points, strict=True)]),
        " ".join([*above, *reversed(below)]), " ".join(line),
        tuple((p.label, (plain_number(p.low), plain_number(p.likely), plain_number(p.high))) for p in points),
    )  # fmt: skip


def _summary(points: Sequence[FanPoint], *, unit: str) -> str:
    if not points:
        return _("No values.")
    first, last = points[0], points[-1]
    return _(
        "In %(unit)s: likely %(first)s (%(first_label)s), then %(last)s (%(last_label)s), there between "
        "%(low)s and %(high)s in 8 of 10 cases."
    ) % {
        "unit": unit,
        "first": plain_number(first.likely),
        "first_label": first.label,
        "last": plain_number(last.likely),
        "last_label": last.label,
        "low": plain_number(last.low),
        "high": plain_number(last.high),
    }
