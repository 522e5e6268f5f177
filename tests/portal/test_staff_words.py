"""What is written to a customer reads on the shop's own pages as said of the customer."""

from datetime import date

import pytest
from django.test import Client
from django.utils import timezone

from jobs.domain.stages import HoldKind
from jobs.models import FamilyForecast, Job, JobForecast
from jobs.services import bench, links
from jobs.services.extra_work import ExtraLine, ask_extra_work
from tests.factories import NOW, WORKSHOP, make_job, open_shop

pytestmark = pytest.mark.django_db
TO_THE_CUSTOMER = "Your yes or no to the extra work"
OF_THE_CUSTOMER = "The customer&#x27;s yes or no to the extra work"
QUESTION = "We cannot start: the lid did not come with the unit. Can you send what is missing?"


@pytest.fixture
def owner(person, client_of):
    """Return the browser of the owner, who may open every page of the shop."""
    return client_of(person("owner"))


@pytest.fixture
def asked():
    """Return a job that waits for its customer's yes or no to extra work."""
    open_shop()
    job = make_job(stage="stripped", spend_limit_pence=0)
    ask_extra_work(
        job.number,
        lines=(ExtraLine(text="Re-bush the throttle spindle", price_pence=9000),),
        added_work_days=3,
        latest_on_if_approved=date(2027, 1, 14),
        actor=WORKSHOP,
        now=timezone.now(),
        expected_count=None,
    )
    job.refresh_from_db()
    return job


@pytest.mark.parametrize(
    "address",
    [
        "/workshop/queue/",
        "/workshop/jobs/{number}/",
        "/workshop/jobs/{number}/release/",
        "/workshop/jobs/{number}/start/",
        "/owner/",
    ],
)
def test_a_staff_page_says_that_the_customer_s_answer_is_awaited(owner, asked, address):
    page = owner.get(address.format(number=asked.number)).content.decode()
    assert TO_THE_CUSTOMER not in page
    assert OF_THE_CUSTOMER in page


def test_a_promise_at_risk_names_the_customer_s_answer_as_its_reason(owner, asked):
    passed = date(2026, 1, 2)
    Job.objects.filter(pk=asked.pk).update(
        promise_earliest_on=passed, promise_likely_on=passed, promise_latest_on=passed
    )
    risks = owner.get("/owner/").content.decode().split('id="risks"')[1].split("</section>")[0]
    assert OF_THE_CUSTOMER in risks


def test_the_log_at_the_bench_says_so_after_the_hold_too(owner, asked):
    Job.objects.filter(pk=asked.pk).update(hold="", hold_reason="")
    page = owner.get(f"/workshop/jobs/{asked.number}/").content.decode()
    assert TO_THE_CUSTOMER not in page
    assert page.count(OF_THE_CUSTOMER) == 1


def test_a_hold_that_may_have_ended_is_listed_at_the_counter_in_staff_words(owner):
    open_shop()
    job = make_job(stage="stripped")
    bench.hold_job(
        job.number,
        hold=HoldKind.ANSWER,
        reason=TO_THE_CUSTOMER,
        expected_on=None,
        actor=WORKSHOP,
        now=timezone.now(),
        expected_count=None,
    )
    page = owner.get("/workshop/").content.decode()
    assert f"It was held for: {OF_THE_CUSTOMER}" in page


def test_a_question_to_the_customer_is_told_as_one(owner):
    open_shop()
    job = make_job(stage="stripped")
    Job.objects.filter(pk=job.pk).update(hold="answer", hold_since=NOW, hold_reason=QUESTION)
    assert f"We asked: {QUESTION}" in owner.get("/owner/").content.decode()


@pytest.mark.parametrize("reason", ["answer to our findings", "answer, if we have to ask"])
def test_the_owner_reads_of_the_customer_s_answer_in_the_reasons_of_a_forecast(owner, asked, reason):
    told = [{"kind": "answer", "working_days": 2.0, "sentence": f"Your {reason}: 2 days."}]
    days = {"earliest_on": date(2027, 1, 4), "likely_on": date(2027, 1, 8), "latest_on": date(2027, 1, 14)}
    more = {"reasons": told, "based_on": "seed", "computed_at": timezone.now()}
    FamilyForecast.objects.create(family="carburettor", **days, **more)
    JobForecast.objects.create(job=asked, **days, **more)
    page = owner.get("/owner/").content.decode()
    assert f"The customer&#x27;s {reason}: 2 days." in page
    assert f"Your {reason}" not in page


def test_the_customer_is_still_spoken_to(asked):
    browser = Client()
    browser.post(f"/open/{links.issue_job_link(asked, now=timezone.now())}/")
    page = browser.get(f"/job/{asked.number}/").content.decode()
    assert "We need your yes or no" in page
    assert OF_THE_CUSTOMER not in page
