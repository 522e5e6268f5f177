"""What charts does the style guide show? One invented chart of every kind."""

from typing import Any

from portal.owner.charts import Bar, Point, Series, Span, bar_chart, line_chart, range_chart
from portal.owner.diagonal import Kept, diagonal_chart
from portal.owner.fans import FanPoint, fan_chart
from portal.owner.stacked import Stack, stacked_chart


def sample_charts() -> dict[str, Any]:
    """Return one invented chart of every kind, by the name it has in the style guide's template."""
    months = ("December 2025", "January 2026", "February 2026", "March 2026", "April 2026", "May 2026")
    arrived, sent = (9, 12, 8, 14, 15, 11), (7, 9, 11, 10, 13, 14)

    def series(name: str, values: tuple[int, ...]) -> Series:
        return Series(
            name, tuple(Point(float(at), months[at], float(value)) for at, value in enumerate(values))
        )

    return {
        "bars_sample": bar_chart(
            (
                Bar("Lever met the carton wall", 7),
                Bar("Bowl cracked", 4),
                Bar("Shaft bent at its end, where the coupling had been left on by the sender", 2),
                Bar("Wet", 0),
            ),
            key="damage",
            title="What came in damaged, last 12 months",
            unit="parcels",
        ),
        "stacked_sample": stacked_chart(
            (Stack("Stripped", (3, 2, 1)), Stack("Cleaned", (2, 1, 0)), Stack("Tested", (1, 0, 4))),
            parts=("under 1 week", "1 to 4 weeks", "over 4 weeks"),
            key="ages",
            title="How long they have stood there",
            unit="units",
        ),
        "line_sample": line_chart(
            (series("arrived", arrived), series("sent back", sent)),
            key="flow",
            title="Units in and out",
            unit="units a month",
        ),
        "range_sample": range_chart(
            (
                Span("Tolvane carburettors", 18, 26, 37, 29),
                Span("Brennick magnetos", 24, 33, 52, 58),
                Span("Osterwyn injection pumps", 30, 41, 66, 44),
            ),
            key="promise",
            title="Promised and real days in the shop",
            unit="calendar days from arrival",
        ),
        "fan_sample": fan_chart(
            tuple(
                FanPoint(words, float(likely - at), float(likely), float(likely + 2 * at))
                for at, (words, likely) in enumerate((("now", 24), ("Sun 7 Jun", 27), ("Sun 14 Jun", 25)))
            ),
            key="work",
            title="Units in the shop, week by week",
            unit="units",
        ),
        "diagonal_sample": diagonal_chart(
            (
                Kept(50.0, 47.0, 38.0, 56.0),
                Kept(80.0, 82.0, 74.0, 88.0, named=True),
                Kept(90.0, 91.0, 84.0, 95.0),
            ),
            key="kept",
            title="Past quotes, and how many came true",
            summary="Of 120 units, 47 in 100 were back by the likely date and 82 in 100 by the later one.",
            x_unit="quoted, in 100",
            y_unit="came true, in 100",
        ),
    }
