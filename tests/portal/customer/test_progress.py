"""Where the unit is and when it goes back, as its customer reads it: true at every stage."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.db import transaction
from django.utils import timezone

from jobs.domain.booking import BookingAnswers
from jobs.domain.facts import BenchWork, Promise
from jobs.domain.shop import ShopKind
from jobs.domain.stages import EventKind
from jobs.models import FamilyForecast
from jobs.selectors import shop as shop_selector
from jobs.services import bench
from jobs.services._steps import lock_job
from portal.customer.summary import person_rows
from tests.factories import OWNER, WORKSHOP, make_job, publish, walk_to

pytestmark = pytest.mark.django_db


def now():
    return timezone.now()


def page_of(job, let_in):
    return let_in(job).get(f"/job/{job.number}/").content.decode()


def who(hours=0):
    return {"actor": WORKSHOP, "now": now() + timedelta(hours=hours), "expected_count": None}


@pytest.mark.parametrize(
    ("stage", "words"),
    [
        ("inspected", "Next it is taken apart."),
        ("stripped", "taken apart. Next it is cleaned."),
        ("cleaned", "Next worn metal is made good where it has to be."),
        ("assembled", "Next it goes on the test stand."),
        ("tested", "Next a person signs for it."),
    ],
)
def test_the_next_step_is_the_one_the_route_has_next(shop, let_in, stage, words):
    assert words in page_of(make_job(stage=stage), let_in)


def test_a_route_without_a_cleaning_step_promises_no_cleaning(shop, let_in):
    route = shop_selector.route_for("carburettor")
    short = replace(route, steps=tuple(step for step in route.steps if step.step.value != "clean"))
    publish(ShopKind.ROUTE, short, now=now())
    page = page_of(make_job(stage="stripped"), let_in)
    assert "Next worn metal is made good" in page
    assert "cleaned" not in page.split("<main")[1].split("When it will")[0]


def test_a_step_under_way_is_told_as_under_way(shop, let_in):
    job = make_job(stage="stripped")
    bench.start_work(job.number, work=BenchWork(step="clean"), **who())
    page = page_of(job, let_in)
    assert "It is being cleaned now." in page
    assert "Next it is cleaned" not in page


def test_a_failed_test_is_told_as_what_it_is(shop, let_in):
    job = make_job(stage="tested")
    job = bench.fail_test(job.number, note="leaks", **who())
    page = page_of(job, let_in)
    assert "It did not pass its bench test. Next we put right what the test showed" in page
    assert "Next it is cleaned" not in page
    assert "did not pass the bench test on" in page
    assert "passed the bench test on" not in page
    assert "put together on" not in page


def test_after_a_failed_test_it_is_tested_again_and_then_passed(shop, let_in):
    job = make_job(stage="tested")
    job = bench.fail_test(job.number, note="leaks", **who())
    walk_to(job, stage="assembled", now=now())
    page = page_of(job, let_in)
    assert "put together again. Next it goes on the test stand." in page
    walk_to(job, stage="tested", now=now() + timedelta(days=1))
    page = page_of(job, let_in)
    assert "It has passed its bench test." in page
    assert "did not pass" not in page


@pytest.mark.parametrize("stage", ["sent_back", "closed"])
def test_a_unit_that_left_is_told_in_the_past(shop, let_in, stage):
    job = make_job(stage="tested")
    with transaction.atomic():
        promise = Promise(date(2027, 1, 4), date(2027, 1, 8), date(2027, 1, 12))
        lock_job(job.number, expected_count=None).record(
            EventKind.PROMISE_MADE, facts=promise, actor=OWNER, now=now()
        )
    assert "When it will be on its way back" in page_of(job, let_in)
    job.refresh_from_db()
    walk_to(job, stage=stage, now=now())
    page = page_of(job, let_in)
    assert "When it will be" not in page
    assert "It was handed to the carrier on" in page
    assert "the range we promised on" in page
    assert "between Monday 4 January and Tuesday 12 January 2027" in page
    assert "can move it" not in page


def test_no_number_is_awaited_for_a_parcel_that_came(shop, let_in):
    assert "no tracking number yet" in page_of(make_job(stage="posted"), let_in)
    page = page_of(make_job(stage="arrived", name="Bram Dunnage"), let_in)
    assert "no tracking number" in page
    assert "no tracking number yet" not in page


def test_a_day_that_nobody_wished_for_is_any_day(shop):
    rows = person_rows(BookingAnswers(), outdated=frozenset(), now=now())
    assert {row.label: row.value for row in rows}["Wished back by"] == "Any day"


def test_a_wished_day_is_checked_with_a_verdict_of_one_sentence(shop):
    today = timezone.localdate()
    days = {"earliest_on": today + timedelta(days=60), "latest_on": today + timedelta(days=80)}
    likely_on = today + timedelta(days=70)
    FamilyForecast.objects.create(family="carburettor", computed_at=now(), likely_on=likely_on, **days)
    answers = BookingAnswers(family="carburettor", wished_on=today + timedelta(days=30))
    rows = person_rows(answers, outdated=frozenset(), now=now())
    said = {row.label: row.value for row in rows}["Wished back by"].partition("\n")[2]
    assert said == "We cannot meet that day as things stand."
