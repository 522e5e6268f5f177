from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.demo.five_people import five_people_shop
from jobs.leadtime.clock import (
    Closure,
    DaySpan,
    ShortDay,
    WorkingHours,
    date_after_hours,
    hours_per_day,
    hours_per_week,
    moment_after_hours,
    open_day_from,
    start_clock,
    working_hours_between,
)
from jobs.leadtime.errors import MomentWithoutZone, NoOpeningHours
from packing.errors import CatalogueError
from packing.plain import from_plain, to_plain
from tests.jobs.leadtime.shops import EIGHT_HOURS

LONDON = ZoneInfo("Europe/London")
SHOP = five_people_shop().working_hours
MORNING = (DaySpan(time(8), time(12)),)


def at(text):
    return datetime.fromisoformat(text).replace(tzinfo=LONDON)


def test_a_lunch_break_is_not_counted():
    assert working_hours_between(SHOP, start=at("2026-05-04T12:00"), end=at("2026-05-04T13:30")) == 1.0


def test_a_week_has_the_hours_of_its_days():
    week = working_hours_between(SHOP, start=at("2026-05-04T00:00"), end=at("2026-05-11T00:00"))
    assert week == hours_per_week(SHOP) == 39.0
    assert hours_per_day(SHOP) == 39.0 / 5


def test_backwards_is_negative():
    assert working_hours_between(SHOP, start=at("2026-05-05T09:00"), end=at("2026-05-04T16:00")) == -2.0


def test_the_last_hour_of_a_day_ends_on_that_day():
    assert date_after_hours(SHOP, start=at("2026-05-04T08:00"), work_hours=8.5) == date(2026, 5, 4)
    assert date_after_hours(SHOP, start=at("2026-05-04T08:00"), work_hours=8.6) == date(2026, 5, 5)


def test_a_parcel_leaves_on_the_next_day_that_is_worked():
    friday, saturday, monday = date(2026, 5, 8), date(2026, 5, 9), date(2026, 5, 11)
    assert [open_day_from(SHOP, day=day) for day in (friday, saturday, monday)] == [friday, monday, monday]


def test_a_closure_is_stepped_over():
    shut = WorkingHours("UTC", monday=MORNING, closures=(Closure(date(2026, 6, 1), date(2026, 6, 30)),))
    monday = datetime(2026, 5, 25, 12, tzinfo=UTC)
    assert date_after_hours(shut, start=monday, work_hours=1.0) == date(2026, 7, 6)


def test_a_short_day_replaces_its_weekday():
    short = WorkingHours(
        "UTC", monday=MORNING, short_days=(ShortDay(date(2026, 5, 4), (DaySpan(time(8), time(9)),)),)
    )
    start = datetime(2026, 5, 4, tzinfo=UTC)
    assert working_hours_between(short, start=start, end=start + timedelta(days=8)) == 5.0


def test_a_span_to_midnight_joins_the_span_from_midnight():
    night = WorkingHours("UTC", monday=(DaySpan(time(22), time(0)),), tuesday=(DaySpan(time(0), time(2)),))
    start = datetime(2026, 5, 4, 12, tzinfo=UTC)
    assert working_hours_between(night, start=start, end=start + timedelta(days=1)) == 4.0
    assert moment_after_hours(night, start=start, work_hours=3.0) == datetime(2026, 5, 5, 1, tzinfo=UTC)


def test_the_date_is_the_shops_own_near_midnight():
    late = WorkingHours("America/New_York", monday=(DaySpan(time(20), time(23)),))
    start = datetime(2026, 5, 4, 12, tzinfo=UTC)
    # 22:30 in New York is already Tuesday in UTC.
    assert date_after_hours(late, start=start, work_hours=2.5) == date(2026, 5, 4)


@pytest.mark.parametrize("day", ["2026-03-28", "2026-10-24"])
def test_day_hours_stay_the_same_when_the_clocks_change(day):
    start = at(f"{day}T00:00")
    assert working_hours_between(SHOP, start=start, end=start + timedelta(days=3)) == 8.5


def test_a_shop_that_never_opens_is_refused_with_what_to_do():
    closed = WorkingHours("UTC")
    with pytest.raises(NoOpeningHours, match="enter opening hours"):
        moment_after_hours(closed, start=datetime(2026, 5, 4, tzinfo=UTC), work_hours=1.0)
    with pytest.raises(NoOpeningHours):
        start_clock(closed, now=datetime(2026, 5, 4, tzinfo=UTC))


def test_a_moment_without_zone_is_refused():
    with pytest.raises(MomentWithoutZone):
        working_hours_between(SHOP, start=datetime(2026, 5, 4), end=at("2026-05-05T00:00"))  # noqa: DTZ001


@pytest.mark.parametrize(
    "document",
    [
        {"time_zone": "Mars/Olympus"},
        {"time_zone": "UTC", "monday": [{"opens": "08:00", "closes": "07:00"}]},
        {
            "time_zone": "UTC",
            "monday": [{"opens": "08:00", "closes": "12:00"}, {"opens": "11:00", "closes": "13:00"}],
        },
        {"time_zone": "UTC", "closures": [{"first": "2026-05-04", "last": "2026-05-01"}]},
    ],
)
def test_a_document_that_contradicts_itself_is_refused(document):
    with pytest.raises(CatalogueError, match=r"time zone|later|overlap|swap"):
        from_plain(WorkingHours, document)


def test_the_document_survives_being_stored():
    stored = WorkingHours(
        "Europe/London",
        monday=MORNING,
        closures=(Closure(date(2026, 12, 24), date(2027, 1, 2), "Christmas"),),
        short_days=(ShortDay(date(2026, 12, 23), MORNING),),
    )
    assert from_plain(WorkingHours, to_plain(stored)) == stored


@given(
    offset_min=st.integers(min_value=0, max_value=60 * 24 * 300),
    work_hours=st.floats(min_value=0.01, max_value=2000),
)
@settings(max_examples=200, deadline=None)
def test_there_and_back_is_the_same_number_of_hours(offset_min, work_hours):
    start = datetime(2026, 1, 3, 3, 0, tzinfo=UTC) + timedelta(minutes=offset_min)
    end = moment_after_hours(SHOP, start=start, work_hours=work_hours)
    assert working_hours_between(SHOP, start=start, end=end) == pytest.approx(work_hours, abs=1e-6)
    clock = start_clock(SHOP, now=start)
    assert abs((clock.moment_at(work_hours) - end).total_seconds()) < 1e-3
    assert clock.hours_at(end) == pytest.approx(work_hours, abs=1e-6)


def test_calendar_days_of_waiting_end_at_the_next_opening():
    clock = start_clock(EIGHT_HOURS, now=datetime(2026, 5, 8, 8, tzinfo=UTC))  # a Friday
    # Two hours worked, then one day: Saturday, so the six hours left on Friday pass and Monday opens.
    assert clock.hours_after_days(2.0, days=1.0) == 8.0
    assert clock.hours_after_days(2.0, days=3.0) == 10.0


def test_the_past_counts_below_zero():
    clock = start_clock(EIGHT_HOURS, now=datetime(2026, 5, 5, 10, tzinfo=UTC))
    assert clock.hours_at(datetime(2026, 5, 4, 8, tzinfo=UTC)) == -10.0
