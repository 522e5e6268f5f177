"""A box without a name that was matched to its booking is one arrival, wherever arrivals are counted."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from jobs.selectors import quotes, reports, shop_state
from jobs.services import arrivals
from tests.factories import NOW, WORKSHOP, make_box, make_job, sound_inspection

pytestmark = pytest.mark.django_db
LONDON = ZoneInfo("Europe/London")
LATER = NOW + timedelta(days=6)
WHO = {"actor": WORKSHOP, "now": LATER}


@pytest.fixture
def booked():
    """Return a booking whose parcel came as a box without a name, and was opened and inspected."""
    box, job = make_box(), make_job(stage="cleared")
    arrivals.match_box(box.number, booking_number=job.number, **WHO)
    arrivals.record_inspection(job.number, inspection=sound_inspection(job), expected_count=None, **WHO)
    job.refresh_from_db()
    assert job.arrived_at == NOW
    return job


def test_it_is_one_arrival_in_the_flow_of_the_weeks(booked):
    weeks = reports.weekly_flow(zone=LONDON, now=LATER)
    assert sum(week.arrived for week in weeks) == 1


def test_it_is_one_inspected_arrival_among_those_that_may_be_damaged(booked):
    found = reports.damages(zone=LONDON, now=LATER)
    assert sum(row.arrivals for row in found.months) == 1


def test_it_is_one_arrival_in_the_rate_that_the_forecast_counts_on(booked):
    (rate,) = shop_state._arrival_rates(now=LATER)
    assert rate.per_week == pytest.approx(7.0 / max((LATER - NOW) / timedelta(days=1), 7.0))


def test_a_box_that_waits_for_its_booking_is_an_arrival():
    make_box()
    weeks = reports.weekly_flow(zone=LONDON, now=LATER)
    assert sum(week.arrived for week in weeks) == 1


def test_it_wants_no_quote_of_its_own(booked, monkeypatch):
    monkeypatch.setattr(quotes, "LEAST_BEFORE", 0)
    progress = quotes.replay_progress(families={"carburettor"}, now=LATER)
    assert progress.wanted == 1
