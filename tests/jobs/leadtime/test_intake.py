from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from jobs.leadtime.clock import Closure, open_day_from
from jobs.leadtime.closures import Shut, shut_between
from jobs.leadtime.intake import Sending, advise_sending, weeks_of
from jobs.leadtime.newcomers import NewcomerCurve, NewcomerDay, forecast_curves
from tests.jobs.leadtime.shops import EIGHT_HOURS, NOW, busy_shop

TODAY = NOW.date()  # a Monday


def curve(shelf, lead):
    """`shelf` and `lead` are functions of the day ahead, in working and in calendar days."""
    days = []
    for ahead in range(61):
        on = TODAY + timedelta(days=ahead)
        back = on + timedelta(days=lead(ahead))
        days.append(NewcomerDay(on, back, back, back, back, (8.0,) * 4, shelf(ahead), 300))
    return NewcomerCurve("magneto", NOW, tuple(days))


def advise(found, *, today=TODAY, opens_on=TODAY):
    return advise_sending(found, today=today, opens_on=opens_on)


def test_an_idle_shop_is_sent_to_at_once():
    advice = advise(curve(lambda _: 0.5, lambda _: 14))
    assert advice.sending is Sending.NOW
    assert advice.sentence.startswith("Nothing is gained by waiting")


def test_a_unit_waits_at_home_for_as_long_as_it_comes_back_by_the_same_date():
    # The queue is worked off in four weeks: whoever comes later stands behind nobody.
    advice = advise(
        curve(lambda ahead: max(20.0 - ahead / 1.4, 0.2), lambda ahead: max(42 - ahead, 14)),
        today=TODAY,
        opens_on=TODAY,
    )
    assert advice.sending is Sending.HOLD_ON
    assert advice.arrive_in_week == date(2026, 6, 1)
    assert advice.shelf_days < 1.0 < advice.now_shelf_days
    assert "Hold on to it" in advice.sentence
    assert "Monday 1 June" in advice.sentence


def test_where_waiting_costs_time_both_dates_are_said():
    advice = advise(curve(lambda ahead: 10.0 if ahead < 20 else 1.0, lambda _: 30))
    assert advice.sending is Sending.HOLD_ON
    assert advice.back_by > advice.back_by_now
    assert "it need not wait" in advice.sentence


def test_where_every_week_is_as_full_nobody_is_told_to_wait():
    advice = advise(curve(lambda _: 12.0, lambda _: 40))
    assert advice.sending is Sending.NO_DIFFERENCE
    assert "in no week ahead much less" in advice.sentence


def test_weeks_begin_on_mondays_and_hold_the_mean_wait():
    weeks = weeks_of(curve(float, lambda _: 10), opens_on=TODAY)
    assert [week.monday.weekday() for week in weeks] == [0] * len(weeks)
    assert weeks[0].shelf_days == 3.0
    assert len(weeks) == 9


def test_the_advice_says_the_same_wait_as_the_first_week_of_the_calendar():
    # Short today and longer each day after: three and a half days on average over the week.
    rising = curve(lambda ahead: 0.5 + ahead if ahead < 7 else 9.0, lambda ahead: 20 + ahead)
    advice, week = advise(rising), weeks_of(rising, opens_on=TODAY)[0]
    assert (advice.now_shelf_days, advice.back_by_now) == (week.shelf_days, week.high)
    assert advice.sending is not Sending.NOW


def test_a_wait_is_short_by_the_whole_days_in_which_it_is_told():
    assert advise(curve(lambda _: 2.4, lambda _: 14)).sending is Sending.NOW
    assert advise(curve(lambda _: 2.6, lambda _: 14)).sending is Sending.NO_DIFFERENCE


def test_once_the_week_is_over_sent_now_means_the_next_one():
    sunday = TODAY + timedelta(days=6)
    rising = curve(lambda ahead: 9.0 if ahead < 7 else 1.0, lambda _: 14)
    advice = advise(rising, today=sunday, opens_on=sunday + timedelta(days=1))
    assert (advice.sending, advice.arrive_in_week) == (Sending.NOW, TODAY + timedelta(days=7))


def test_a_shop_that_opens_after_the_last_day_known_is_still_spoken_of():
    far = TODAY + timedelta(days=100)
    assert advise(curve(lambda _: 12.0, lambda _: 40), today=TODAY, opens_on=far).sentence


CLOSED_MONTH = Closure(date(2026, 5, 5), date(2026, 6, 5))


@pytest.fixture(scope="module")
def closed_curves():
    state = busy_shop()
    state = replace(state, working_hours=replace(state.working_hours, closures=(CLOSED_MONTH,)))
    moments = [datetime(2026, 5, 4, 15, 50, tzinfo=UTC), datetime(2026, 5, 5, 10, tzinfo=UTC)]
    curves = [
        forecast_curves(state, now=now, families=["carburettor"], replications=40)[0] for now in moments
    ]
    return state.working_hours, dict(zip(("the day before", "the first day"), curves, strict=True))


@pytest.mark.parametrize("when", ["the day before", "the first day"])
def test_nobody_is_told_to_send_into_a_closed_month(closed_curves, when):
    hours, curves = closed_curves
    today = curves[when].computed_at.date()
    advice = advise_sending(curves[when], today=today, opens_on=open_day_from(hours, day=today))
    assert (advice.sending, advice.arrive_in_week) == (Sending.HOLD_ON, date(2026, 6, 8))
    assert "arrives from Monday 8 June on: we cannot begin it before we open again" in advice.sentence
    assert advice.now_shelf_days > 20.0


def test_the_weeks_of_a_closed_month_are_marked_and_the_next_one_is_not(closed_curves):
    _, curves = closed_curves
    weeks = weeks_of(curves["the day before"], opens_on=TODAY)
    shut = {week.monday: week.shut is not None for week in weeks}
    closed = [date(2026, 5, 11), date(2026, 5, 18), date(2026, 5, 25), date(2026, 6, 1)]
    assert [shut[monday] for monday in (*closed, date(2026, 6, 8))] == [True] * 4 + [False]


def test_who_would_lie_for_long_anyway_is_told_of_the_closure_too():
    found = curve(lambda ahead: 9.0 if ahead < 35 else 1.0, lambda _: 60)
    closed = Shut(24, date(2026, 6, 8))
    days = tuple(
        replace(day, shut=closed) if day.arrives_on < closed.reopens_on else day for day in found.days
    )
    advice = advise(replace(found, days=days))
    assert advice.arrive_in_week >= date(2026, 6, 8)
    assert "about 9 working days beside the days until we open again on Monday 8 June" in advice.sentence


def test_nobody_is_told_to_send_when_they_like_while_the_shop_is_closed():
    # As full after the closure as before it, and later back.
    found = curve(lambda _: 12.0, lambda ahead: 70 if ahead < 35 else 60)
    closed = Shut(24, date(2026, 6, 8))
    days = tuple(
        replace(day, shut=closed) if day.arrives_on < closed.reopens_on else day for day in found.days
    )
    advice = advise(replace(found, days=days))
    assert (advice.sending, advice.arrive_in_week) == (Sending.HOLD_ON, closed.reopens_on)
    assert "Sent now it lies on our shelf until then, and 8 in 10 are back by about" in advice.sentence
    assert "it stands behind what came before, and 8 in 10 are back by about" in advice.sentence


@pytest.mark.parametrize(
    ("closure", "shut"),
    [
        (Closure(date(2026, 5, 5), date(2026, 5, 6)), None),
        (Closure(date(2026, 5, 9), date(2026, 5, 10)), None),
        (Closure(date(2026, 5, 5), date(2026, 5, 7)), Shut(3, date(2026, 5, 8))),
        (Closure(date(2026, 5, 6), date(2026, 5, 8)), Shut(3, date(2026, 5, 11))),
    ],
    ids=["two days", "a weekend", "three days", "up to a weekend"],
)
def test_a_closure_counts_from_half_a_week_of_open_days(closure, shut):
    hours = replace(EIGHT_HOURS, closures=(closure,))
    assert shut_between(hours, first=TODAY, last=date(2026, 6, 1)) == shut


def test_a_unit_begun_before_the_closure_does_not_lie_through_it():
    hours = replace(EIGHT_HOURS, closures=(CLOSED_MONTH,))
    assert shut_between(hours, first=TODAY, last=CLOSED_MONTH.first) is None


def test_on_the_sunday_before_a_closure_sent_now_is_what_the_first_week_of_the_calendar_says():
    sunday, monday = date(2026, 5, 3), date(2026, 5, 4)
    found = curve(lambda _: 1.0, lambda ahead: 30 if ahead < 35 else 60)
    closed = Shut(24, date(2026, 6, 8))
    alone = replace(found.days[0], arrives_on=sunday, shut=closed, high=date(2026, 5, 20))
    days = tuple(
        replace(day, shut=closed) if day.arrives_on < closed.reopens_on else day for day in found.days
    )
    both = replace(found, days=(alone, *(day for day in days if day.arrives_on >= monday)))
    first = weeks_of(both, opens_on=monday)[0]
    assert advise_sending(both, today=sunday, opens_on=monday).back_by_now == first.high
    assert first.high > alone.high
