"""Before a unit comes its range counts from the day it should be here, and posting it moves only that day."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.models import Job, JobForecast
from jobs.selectors import customer_jobs, shop
from jobs.selectors.customer_when import see_when
from portal.customer.when_words import when_words
from tests.factories import make_job, walk_to
from tests.portal.customer.test_when import RANGE

pytestmark = pytest.mark.django_db


def ranges_of(job, *, now):
    job.refresh_from_db()
    found = see_when(customer_jobs.see_job(job), now=now).today
    return found.earliest_on, found.latest_on


def test_posting_moves_the_range_by_the_day_of_arrival_and_by_nothing_else():
    cleared_at = timezone.now() - timedelta(days=6)
    job = make_job(stage="cleared", now=cleared_at)
    cleared_at = Job.objects.get(pk=job.pk).stage_since
    seen_at = cleared_at + timedelta(hours=2)
    JobForecast.objects.create(job=job, computed_at=seen_at, **RANGE)
    before = ranges_of(job, now=seen_at)
    assert before == (RANGE["earliest_on"], RANGE["latest_on"])
    walk_to(job, stage="posted", now=cleared_at + timedelta(days=1))
    posted_at = Job.objects.get(pk=job.pk).stage_since
    after = ranges_of(job, now=posted_at + timedelta(minutes=1))
    # The stored run counted on ten days after the yes; three days after posting it is here.
    earlier = (cleared_at + timedelta(days=10)).date() - (posted_at + timedelta(days=3)).date()
    assert earlier > timedelta(0)
    assert after == tuple(shop.open_day(day - earlier) for day in before)
    part = when_words(see_when(customer_jobs.see_job(job), now=posted_at), hold=None)
    assert part is not None
    assert "You posted it on" in part.counted_from
    assert part.takes == ()


def test_a_run_after_the_posting_is_told_as_it_is():
    job = make_job(stage="posted")
    JobForecast.objects.create(job=job, computed_at=timezone.now(), **RANGE)
    assert ranges_of(job, now=timezone.now()) == (RANGE["earliest_on"], RANGE["latest_on"])
