"""When is a unit back on which more is to be done than its route has: the extra work that was agreed?

The shop names the working days that extra work adds. They run from the yes and end with it at the latest
when the unit is put together; until then they come on top of what the simulation of its route says. So the
day that was told with the question and the one that is forecast after the yes count the same.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from jobs.leadtime.clock import ShopClock
from jobs.leadtime.errors import QueueTooLong
from jobs.leadtime.ranges import JobForecast, Reason, ReasonKind
from jobs.leadtime.reasons import LEAST_SHOWN_DAYS, SENTENCES
from jobs.leadtime.state import AddedWork
from jobs.leadtime.words import working_days_in_words


def days_left(added: Sequence[AddedWork], *, clock: ShopClock, day_hours: float) -> float:
    """Return the working days of agreed extra work that are still ahead."""
    return sum(
        max(each.work_days + min(clock.hours_at(each.agreed_at), 0.0) / day_hours, 0.0) for each in added
    )


def add_work(found: JobForecast, *, work_days: float, clock: ShopClock, day_hours: float) -> JobForecast:
    """Return the forecast of a job with so many working days more; valid for work_days >= 0.

    Raises: QueueTooLong.
    """
    if work_days < LEAST_SHOWN_DAYS:
        return found
    span, work_hours = found.range, work_days * day_hours
    sentence = SENTENCES[ReasonKind.EXTRA].format(days=working_days_in_words(work_days))
    reasons = (*span.reasons, Reason(ReasonKind.EXTRA, round(work_days, 3), sentence))

    def move(day: date) -> date:
        moved = _later(day, work_hours=work_hours, clock=clock)
        if moved is None:
            raise QueueTooLong(found.family)
        return moved

    later = replace(
        span,
        low=move(span.low),
        likely=move(span.likely),
        high=move(span.high),
        latest=move(span.latest),
        reasons=tuple(sorted(reasons, key=lambda reason: -reason.working_days)),
    )
    hours = tuple(round(each + work_hours, 3) for each in found.quantile_hours)
    return replace(found, range=later, quantile_hours=hours)


def _later(day: date, *, work_hours: float, clock: ShopClock) -> date | None:
    """Return the day on which so many hours are worked after the end of this one; None beyond the table."""
    later_h = clock.hours_at(datetime.combine(day + timedelta(days=1), time(0), clock.zone)) + work_hours
    return clock.date_at(later_h) if clock.reaches(later_h) else None
