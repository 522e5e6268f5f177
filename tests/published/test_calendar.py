"""The working-hours clock against numpy's business-day calendar.

Sources: numpy manual, `busday_offset` and `busday_count` (the first three rows, as printed there), and numpy
itself as an independent calendar for the rest. One open hour a day makes hours and business days the same.
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from jobs.leadtime.clock import Closure, DaySpan, WorkingHours, date_after_hours, working_hours_between

NOON_HOUR = (DaySpan(time(12), time(13)),)
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday")
CHRISTMAS = (Closure(date(2026, 12, 25), date(2026, 12, 25)), Closure(date(2026, 12, 28), date(2026, 12, 28)))


def one_hour_a_day(closures=()):
    return WorkingHours("UTC", **dict.fromkeys(WEEKDAYS, NOON_HOUR), closures=closures)


def day_start(day):
    return datetime.combine(day, time(0), UTC)


def test_first_business_day_of_october_2011():
    first = date_after_hours(one_hour_a_day(), start=day_start(date(2011, 10, 1)), work_hours=1.0)
    assert first == np.busday_offset("2011-10", 0, roll="forward").astype(date) == date(2011, 10, 3)


@pytest.mark.parametrize(
    ("start", "end", "days"),
    [(date(2011, 1, 1), date(2011, 2, 1), 21), (date(2011, 1, 1), date(2012, 1, 1), 260)],
)
def test_business_days_of_a_month_and_a_year(start, end, days):
    assert np.busday_count(start, end) == days
    assert working_hours_between(one_hour_a_day(), start=day_start(start), end=day_start(end)) == days


def test_closed_days_after_christmas_are_stepped_over():
    hours = one_hour_a_day(CHRISTMAS)
    after = date_after_hours(hours, start=datetime(2026, 12, 24, 13, tzinfo=UTC), work_hours=1.0)
    closed = ["2026-12-25", "2026-12-28"]
    assert after == np.busday_offset("2026-12-24", 1, holidays=closed).astype(date) == date(2026, 12, 29)


@pytest.mark.parametrize("offset", [1, 2, 5, 17, 64, 119, 260, 700])
def test_offsets_from_every_day_of_two_weeks_equal_numpys(offset):
    hours = one_hour_a_day(CHRISTMAS)
    closed = ["2026-12-25", "2026-12-28"]
    for ahead in range(14):
        start = date(2026, 12, 14) + timedelta(days=ahead)
        expected = np.busday_offset(start, offset - 1, roll="forward", holidays=closed).astype(date)
        assert date_after_hours(hours, start=day_start(start), work_hours=offset) == expected


# Clocks in Europe change at 01:00 UTC on the last Sundays of March and October: Directive 2000/84/EC.
@pytest.mark.parametrize(
    ("change", "night_hours"), [(date(2026, 3, 29), 7.0), (date(2026, 10, 25), 9.0), (date(2026, 5, 3), 8.0)]
)
def test_a_night_span_has_its_true_length_when_the_clocks_change(change, night_hours):
    zone = ZoneInfo("Europe/Berlin")
    hours = WorkingHours("Europe/Berlin", sunday=(DaySpan(time(0), time(8)),))
    start = datetime.combine(change, time(0), zone)
    assert working_hours_between(hours, start=start, end=start + timedelta(days=1)) == night_hours
