"""On which weekdays is the shop open, and is it shut between two days for longer than a holiday?"""

from dataclasses import dataclass
from datetime import date, timedelta

from jobs.leadtime.clock import Weekday, WorkingHours, spans_on

LEAST_WEEK_SHARE = 0.5  # of a week's open days; what is shorter is a holiday, which nobody plans a parcel by
LONGEST_LOOK = timedelta(days=366)


@dataclass(frozen=True, slots=True)
class Shut:
    """How many days are lost on which the shop works in other weeks, and the day on which it opens again."""

    lost_days: int
    reopens_on: date


def open_weekdays(hours: WorkingHours) -> frozenset[Weekday]:
    """Return the weekdays on which the shop works in an ordinary week."""
    return frozenset(day for day, spans in zip(Weekday, hours.week, strict=True) if spans)


def shut_between(hours: WorkingHours, *, first: date, last: date) -> Shut | None:
    """Return the closed time from `first` to the day before `last`; None if it is less than half a week.

    Looks a year ahead at the most.
    """
    usual = sum(1 for spans in hours.week if spans)
    lost, latest_lost = 0, first
    last = min(last, first + LONGEST_LOOK)
    day = first
    while day < last:
        if hours.week[day.weekday()] and not spans_on(hours, day=day):
            lost, latest_lost = lost + 1, day
        day += timedelta(days=1)
    if not lost or lost < LEAST_WEEK_SHARE * usual:
        return None
    day = latest_lost + timedelta(days=1)
    while day < last and not spans_on(hours, day=day):
        day += timedelta(days=1)
    return Shut(lost, day)
