"""The working-hours clock against numpy's business-day calendar.

Sources: numpy manual, `busday_offset` and `busday_count` (the first three rows, as printed there), and numpy
itself as an independent calendar for the rest. One open hour a day makes hours and business days the same.
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from jobs.leadtime.added_work import add_work
from jobs.leadtime.clock import (
    Closure,
    DaySpan,
    WorkingHours,
    date_after_hours,
    hours_per_day,
    start_clock,
    working_hours_between,
)
from jobs.leadtime.ranges import BasedOn, DateRange, JobForecast

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


# Days of 7 h 36 min, 8 h 20 min, 8 h 10 min and 7 h 40 min are no binary fractions of an hour.
DAY_SPANS = {
    "8:00-16:00": (DaySpan(time(8), time(16)),),
    "8:00-15:36": (DaySpan(time(8), time(15, 36)),),
    "8:00-16:20": (DaySpan(time(8), time(16, 20)),),
    "9:00-17:10": (DaySpan(time(9), time(17, 10)),),
    "8:30-12:30 and 13:10-16:50": (DaySpan(time(8, 30), time(12, 30)), DaySpan(time(13, 10), time(16, 50))),
    "16:00-00:00": (DaySpan(time(16), time(0)),),
}
DAYS_TRIED = [
    (date(2026, 5, 4) + timedelta(days=ahead), days) for ahead in range(200) for days in (1, 2, 3, 5)
]


@pytest.mark.parametrize("spans", DAY_SPANS.values(), ids=DAY_SPANS)
def test_whole_working_days_end_on_the_day_that_numpy_counts(spans):
    hours = WorkingHours("Europe/London", **dict.fromkeys(WEEKDAYS, spans))
    zone, day_h = ZoneInfo("Europe/London"), hours_per_day(hours)
    wrong = [
        (day, days, found)
        for day, days in DAYS_TRIED
        if (
            found := date_after_hours(
                hours, start=datetime.combine(day, time(0), zone), work_hours=days * day_h
            )
        )
        != np.busday_offset(day, days - 1, roll="forward").astype(date)
    ]
    assert wrong == []


@pytest.mark.parametrize("spans", DAY_SPANS.values(), ids=DAY_SPANS)
def test_added_working_days_end_on_the_day_that_numpy_counts(spans):
    hours = WorkingHours("Europe/London", **dict.fromkeys(WEEKDAYS, spans))
    now, day_h = datetime(2026, 5, 4, 8, tzinfo=UTC), hours_per_day(hours)
    clock, wrong = start_clock(hours, now=now), []
    for day, days in DAYS_TRIED:
        found = JobForecast("0000001", "sender", DateRange(day, day, day, day, now, (), BasedOn.SEED), (1.0,))
        later = add_work(found, work_days=float(days), clock=clock, day_hours=day_h).range.high
        if later != np.busday_offset(day, days, roll="backward").astype(date):
            wrong.append((day, days, later))
    assert wrong == []
