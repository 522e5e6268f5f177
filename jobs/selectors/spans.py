"""In which week, or in which month, did something happen? The database sorts the rows into the spans.

Plain comparisons with the first moments of the spans: they need no function of the database for time zones,
which on SQLite is one call of Python for each row.
"""

from collections.abc import Sequence
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from django.db.models import Case, IntegerField, Value, When


def midnight(day: date, *, zone: ZoneInfo) -> datetime:
    """Return the first moment of a day."""
    return datetime.combine(day, time(0), zone)


def span_number(column: str, *, first_days: Sequence[date], zone: ZoneInfo) -> Case:
    """Return which span a moment lies in, counted from 0; each span ends where the next one starts.

    Moments before the first span are counted to it, so leave them out of the rows.
    """
    ends = [midnight(day, zone=zone) for day in first_days[1:]]
    return Case(
        *(When(**{f"{column}__lt": end}, then=Value(at)) for at, end in enumerate(ends)),
        default=Value(len(ends)),
        output_field=IntegerField(),
    )
