"""In the demo shop nothing happens while it is closed, and what is told in order happens in order."""

from datetime import UTC, date, datetime, time
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from jobs.demo.hours import OpenDays
from jobs.leadtime.clock import Closure, DaySpan, WorkingHours

LONDON = ZoneInfo("Europe/London")
HOURS = WorkingHours(
    "Europe/London",
    **dict.fromkeys(("monday", "tuesday", "wednesday", "thursday"), (DaySpan(time(8), time(17)),)),
    friday=(DaySpan(time(8), time(13)),),
    closures=(Closure(date(2026, 5, 4), date(2026, 5, 4)),),
)
SUNDAY_NIGHT = datetime(2026, 5, 10, 2, 30, tzinfo=UTC)
BEFORE_OPENING = datetime(2026, 5, 12, 5, 0, tzinfo=UTC)
MIDDAY = datetime(2026, 5, 12, 11, 30, tzinfo=UTC)
AFTER_CLOSING = datetime(2026, 5, 12, 20, 0, tzinfo=UTC)
AGES = [step / 10 for step in range(120)]


@pytest.mark.parametrize("now", [SUNDAY_NIGHT, BEFORE_OPENING, MIDDAY, AFTER_CLOSING])
def test_every_moment_lies_in_open_hours_and_earlier_ones_lie_earlier(now):
    moments = [OpenDays(HOURS, now).moment(age) for age in AGES]
    assert moments[0] <= now
    assert all(later > earlier for later, earlier in pairwise(moments))
    for moment in (moment.astimezone(LONDON) for moment in moments):
        assert moment.weekday() < 5
        assert moment.date() != date(2026, 5, 4)
        assert time(8) <= moment.time() <= (time(13) if moment.weekday() == 4 else time(17))


def test_two_open_days_are_at_least_two_days():
    days = OpenDays(HOURS, MIDDAY)
    gaps_h = [(days.moment(age) - days.moment(age + 2.0)).total_seconds() / 3600 for age in AGES]
    assert min(gaps_h) >= 44.0  # a Friday is shorter: the same share of it lies up to four hours earlier


def test_a_moment_at_night_becomes_the_last_closing_time():
    assert OpenDays(HOURS, MIDDAY).last_open(SUNDAY_NIGHT) == datetime(2026, 5, 8, 13, 0, tzinfo=LONDON)


def test_a_moment_at_night_may_wait_for_the_next_opening():
    # Monday 4 May is closed: from Saturday on it is Tuesday.
    saturday = datetime(2026, 5, 2, 12, 0, tzinfo=UTC)
    assert OpenDays(HOURS, MIDDAY).next_open(saturday) == datetime(2026, 5, 5, 8, 0, tzinfo=LONDON)
    assert OpenDays(HOURS, MIDDAY).next_open(BEFORE_OPENING) == datetime(2026, 5, 12, 8, 0, tzinfo=LONDON)


def test_a_moment_in_open_hours_stays():
    assert OpenDays(HOURS, SUNDAY_NIGHT).last_open(MIDDAY) == MIDDAY
    assert OpenDays(HOURS, SUNDAY_NIGHT).next_open(MIDDAY) == MIDDAY
