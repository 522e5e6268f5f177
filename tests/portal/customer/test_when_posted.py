"""Before a unit comes its range counts from the day it should be here, and posting it moves only that day."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from jobs.leadtime.newcomers import NewcomerCurve, NewcomerDay
from jobs.models import FamilyForecast, Job, JobForecast, OutlookPart
from jobs.selectors import customer_jobs, shop
from jobs.selectors.customer_when import WhenState, see_when
from packing.plain import to_plain
from portal.customer.when_words import when_words
from tests.factories import make_job, walk_to
from tests.portal.customer.test_when import RANGE

pytestmark = pytest.mark.django_db


def ranges_of(job, *, now):
    job.refresh_from_db()
    found = see_when(customer_jobs.see_job(job), now=now).today
    return found.earliest_on, found.latest_on


def test_before_the_yes_the_family_s_range_counts_from_the_day_the_box_should_be_here(told):
    job = make_job(stage="booked")
    FamilyForecast.objects.create(family=job.family, computed_at=timezone.now(), **RANGE)
    state, part = told(job)
    assert state is WhenState.FAMILY
    # Ten days later than that of a unit which is here today.
    for words in (
        "between Thursday 11 February and Thursday 25 February 2027",
        "8 in 10",
        "not a promise yet",
    ):
        assert words in part
    assert "your box here by about" in part


def test_no_day_is_told_on_which_the_shop_is_shut(told):
    job = make_job(stage="booked")
    # Ten days later the first and the last would be a Sunday and a Saturday.
    weekend = RANGE | {"earliest_on": date(2027, 2, 4), "latest_on": date(2027, 2, 17)}
    FamilyForecast.objects.create(family=job.family, computed_at=timezone.now(), **weekend)
    assert "between Monday 15 February and Monday 1 March 2027" in told(job)[1]


def test_before_the_yes_the_range_of_the_very_day_of_arrival_is_told_where_it_is_known(told):
    job = make_job(stage="booked")
    now = timezone.now()
    FamilyForecast.objects.create(family=job.family, computed_at=now, **RANGE)
    when = see_when(customer_jobs.see_job(job), now=now)
    days = tuple(
        NewcomerDay(
            when.expected_on + timedelta(days=at), *(date(2027, 3, day + at) for day in (2, 3, 9, 12)),
            lead_hours=(1.0, 2.0, 3.0, 4.0), shelf_days=1.0, samples=300,
        )
        for at in (-1, 0, 1)
    )  # fmt: skip
    curve = NewcomerCurve(job.family, now, days)
    OutlookPart.objects.create(
        part="curve", subject=job.family, run_at=now, computed_at=now, content=to_plain(curve)
    )
    assert "between Tuesday 2 March and Tuesday 9 March 2027" in told(job)[1]


def test_before_the_yes_it_is_said_what_takes_the_time_of_its_family_and_what_would_shorten_it(told):
    job = make_job(stage="booked")
    FamilyForecast.objects.create(family=job.family, computed_at=timezone.now(), **RANGE)
    gain = {"kind": "parts", "working_days": 3.0, "sentence": "With all parts on the shelf: 3 days earlier."}
    content = {"jobs": {}, "families": {job.family: [gain], "other": [gain | {"sentence": "Not this one."}]}}
    OutlookPart.objects.create(
        part="contributions", run_at=timezone.now(), computed_at=timezone.now(), content=content
    )
    _, part = told(job)
    assert "Queue at the fuel bench: 4 days." in part
    assert "With all parts on the shelf: 3 days earlier." in part
    assert "Not this one." not in part


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
