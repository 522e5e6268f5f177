"""Promises of the claim clocks: earliest first, the right person, nothing invented where a day is unknown."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.domain.claim_periods import PERIODS, Counting, Service
from jobs.domain.claims import Actor, ClaimDatesError, claim_clocks, last_day
from packing.parcel.unit import Leg

POSTED, DELIVERED = date(2026, 3, 10), date(2026, 3, 12)
DAYS = st.dates(min_value=date(2000, 1, 1), max_value=date(2060, 1, 1))


def clocks(*, leg=Leg.TO_SHOP, posted_on=POSTED, delivered_on=DELIVERED, closed_days=()):
    return claim_clocks(leg=leg, posted_on=posted_on, delivered_on=delivered_on, closed_days=closed_days)


def test_every_period_runs_once():
    assert {clock.period.slug for clock in clocks()} == {period.slug for period in PERIODS}
    assert len(clocks()) == len(PERIODS) > 10


def test_earliest_comes_first():
    days = [clock.last_on for clock in clocks()]
    assert days == sorted(days)
    assert days[0] == DELIVERED


def test_clock_without_its_starting_day_is_left_out():
    on_the_way = clocks(delivered_on=None)
    assert Service.USPS in {clock.period.service for clock in on_the_way}
    assert Service.CMR_ROAD not in {clock.period.service for clock in on_the_way}
    assert clocks(posted_on=None, delivered_on=None) == ()


@pytest.mark.parametrize(("leg", "actor"), [(Leg.TO_SHOP, Actor.SHOP), (Leg.TO_CUSTOMER, Actor.CUSTOMER)])
def test_recipient_is_the_shop_on_the_way_in_and_the_customer_on_the_way_back(leg, actor):
    road = [clock for clock in clocks(leg=leg) if clock.period.service is Service.CMR_ROAD]
    assert {clock.actor for clock in road} == {actor}


@pytest.mark.parametrize(("leg", "actor"), [(Leg.TO_SHOP, Actor.CUSTOMER), (Leg.TO_CUSTOMER, Actor.SHOP)])
def test_sender_is_the_other_side(leg, actor):
    [express] = [clock for clock in clocks(leg=leg) if clock.period.service is Service.DHL_EXPRESS]
    assert express.actor is actor


def test_every_clock_names_its_source_and_the_day_it_was_read():
    assert all(clock.period.source and clock.period.read_on for clock in clocks())


def test_sentence_names_person_day_and_rule():
    [hidden] = [clock for clock in clocks() if clock.period.slug == "cmr_hidden"]
    assert hidden.sentence.startswith(
        "The shop reports hidden damage, in writing, by Friday 20 March 2026 (CMR"
    )


def test_days_left_turn_negative():
    [hidden] = [clock for clock in clocks() if clock.period.slug == "cmr_hidden"]
    assert [hidden.days_left(today=date(2026, 3, day)) for day in (13, 20, 22)] == [7, 0, -2]


def test_delivery_before_posting_is_refused():
    with pytest.raises(ClaimDatesError, match="before it was posted on Tuesday 10 March 2026"):
        clocks(delivered_on=date(2026, 3, 9))


def test_the_48_hours_that_a_customer_is_asked_for_lie_inside_every_period_that_runs_after_delivery():
    late = [clock for clock in clocks(leg=Leg.TO_CUSTOMER) if clock.period.slug != "cmr_apparent"]
    assert late
    assert all(DELIVERED + timedelta(hours=48) < clock.last_on for clock in late)


def test_months_end_with_the_shorter_month():
    ended = last_day(date(2026, 5, 31), days=0, months=9, counting=Counting.CALENDAR_DAYS, closed_days=())
    assert ended == date(2027, 2, 28)


@given(start_on=DAYS, days=st.integers(min_value=1, max_value=30), closed=st.sets(DAYS, max_size=5))
def test_counted_days_are_exactly_as_many_as_the_period(start_on, days, closed):
    ended = last_day(start_on, days=days, counting=Counting.NO_SUNDAYS_OR_HOLIDAYS, closed_days=closed)
    between = [start_on + timedelta(days=at) for at in range(1, (ended - start_on).days + 1)]
    assert sum(on.weekday() != 6 and on not in closed for on in between) == days
    assert ended.weekday() != 6
    assert ended not in closed
