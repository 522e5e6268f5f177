"""The awkward jobs can be told on any day of the week, and read like jobs of one shop with many customers."""

from datetime import UTC, datetime, time
from zoneinfo import ZoneInfo

import pytest

from jobs.demo import awkward
from jobs.demo.opening import open_demo_shop
from jobs.demo.stagehand import Stagehand
from jobs.leadtime.clock import spans_on
from jobs.models import Customer, Job, JobEvent, Mark
from jobs.selectors import shop
from jobs.selectors.shop_state import states_of
from jobs.services._steps import CACHED, set_cache

pytestmark = pytest.mark.django_db
LONDON = ZoneInfo("Europe/London")
SUNDAY_NIGHT = datetime(2026, 5, 10, 1, 30, tzinfo=UTC)


ALL = (awkward.stage_bookings, awkward.stage_parcels, awkward.stage_arrivals, awkward.stage_bench)


def tell(*stages):
    staff = open_demo_shop(now=SUNDAY_NIGHT)
    hand = Stagehand(staff=staff, now=SUNDAY_NIGHT, hours=shop.working_hours())
    for stage in stages:
        stage(hand)


@pytest.mark.slow
def test_on_a_sunday_night_all_of_it_happened_in_open_hours_and_agrees_with_its_log():
    tell(*ALL)
    hours = shop.working_hours()
    moments = [at.astimezone(LONDON) for at in JobEvent.objects.values_list("happened_at", flat=True)]
    assert len(moments) > 100
    for at in moments:
        spans = spans_on(hours, day=at.date())
        assert spans, at
        assert time(8) <= at.time() <= spans[-1].closes
    jobs = list(Job.objects.all())
    kept = {job.pk: [getattr(job, name) for name in CACHED] for job in jobs}
    states = states_of(jobs)
    for job in jobs:
        set_cache(job, state=states[job.pk])
    assert {job.pk: [getattr(job, name) for name in CACHED] for job in jobs} == kept
    reasons = {states[job.pk].turn_reason for job in jobs if job.priority}
    assert len(reasons - {""}) == 2


@pytest.mark.slow
def test_every_customer_has_an_address_of_their_own():
    tell(awkward.stage_bookings)
    addresses = list(Customer.objects.values_list("address_lines", "postal_code"))
    phones = list(Customer.objects.values_list("phone", flat=True))
    assert len(addresses) == 6
    assert len(set(addresses)) == len(addresses)
    assert len(set(phones)) == len(phones)


@pytest.mark.slow
def test_the_bent_lever_is_marked_where_levers_are():
    tell(awkward.stage_arrivals)
    mark = Mark.objects.get(damage_kind="bent")
    assert mark.job.unit_model == "tolvane-ds45"
    assert mark.zone == "throttle spindle and levers"
    assert mark.photo.caption == "Bent lever"
