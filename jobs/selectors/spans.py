"""In which week, or in which month, did something happen? The database sorts the rows into the spans.

Plain comparisons with the first moments of the spans: they need no function of the database for time zones,
which on SQLite is one call of Python for each row.
"""

from collections.abc import Sequence
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import F, Func, IntegerField


def midnight(day: date, *, zone: ZoneInfo) -> datetime:
    """Return the first moment of a day."""
    return datetime.combine(day, time(0), zone)


class SpanNumber(Func):
    """Which span a moment lies in, counted from 0; each span ends where the next one begins.

    Moments before the first span are counted to it, so leave them out of the rows. Written out here because
    the same of Django's Case and When takes longer to put together than to answer.
    """

    output_field = IntegerField()

    def __init__(self, column: str, *, first_days: Sequence[date], zone: ZoneInfo) -> None:
        super().__init__(F(column))
        self.ends = [midnight(day, zone=zone) for day in first_days[1:]]

    def as_sql(self, compiler: Any, connection: Any, **_: Any) -> tuple[str, list[Any]]:  # type: ignore[override]
        """Return the words of one CASE."""
        column, params = compiler.compile(self.source_expressions[0])
        whens, given = [], []
        for at, end in enumerate(self.ends):
            whens.append(f"WHEN {column} < %s THEN {at}")
            given += [*params, connection.ops.adapt_datetimefield_value(end)]
        if not whens:
            return "0", []
        return f"CASE {' '.join(whens)} ELSE {len(whens)} END", given
