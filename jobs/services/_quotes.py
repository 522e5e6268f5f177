"""Keeping a quote as it was told, by the forecast that makes it or the replay that makes up for it."""

from datetime import datetime
from typing import Any

from jobs.leadtime.ranges import DateRange, QuotedLevels
from jobs.models import Job, KeptQuote
from jobs.selectors.quotes import Moment
from packing.plain import to_plain


def range_columns(found: DateRange, *, computed_at: datetime) -> dict[str, Any]:
    """Return the columns in which a date range is stored."""
    return {
        "earliest_on": found.low,
        "likely_on": found.likely,
        "latest_on": found.high,
        "reasons": to_plain(found.reasons),
        "based_on": found.based_on.value,
        "computed_at": computed_at,
    }


def quote_row(
    job: Job,
    *,
    moment: Moment,
    found: DateRange,
    quantile_hours: tuple[float, ...],
    levels: QuotedLevels,
    event_number: int | None = None,
) -> KeptQuote:
    """Return the unsaved row of a quote."""
    return KeptQuote(
        job=job,
        moment=moment.value,
        event_number=event_number,
        family=job.family,
        quantile_hours=list(quantile_hours),
        quoted_levels=[levels.low, levels.likely, levels.high, levels.latest],
        **range_columns(found, computed_at=found.computed_at),
    )
