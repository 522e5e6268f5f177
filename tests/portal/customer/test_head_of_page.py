"""What a job page says at its head: why it waits or ended, said once, and what can be done about it."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.domain.attribution import Cause
from jobs.domain.condition import DamageKind, Severity
from jobs.domain.stages import HoldKind
from jobs.services import answers, arrivals, bench, dispatch
from jobs.services.extra_work import ExtraLine, ask_extra_work
from tests.factories import NOW, WORKSHOP, make_job, sound_inspection

pytestmark = pytest.mark.django_db


def who(*, days_ago=0):
    return {
        "actor": WORKSHOP,
        "now": timezone.now() - timedelta(days=days_ago),
        "expected_count": None,
    }


@pytest.fixture
def read(shop, let_in):
    """Return a function that gives the main part of a job's page."""

    def main_of(job):
        page = let_in(job).get(f"/job/{job.number}/").content.decode().replace("&#x27;", "'")
        return page.split("<main")[1].split("</main>")[0]

    return main_of


def unpaid(*, stage):
    job = make_job(stage=stage)
    bench.hold_job(job.number, hold=HoldKind.PAYMENT, reason="Invoice is open", expected_on=None, **who())
    return job


def test_a_unit_that_waits_for_the_payment_says_who_tells_the_sum_and_how_to_reach_them(read):
    said = read(unpaid(stage="signed_off"))
    assert "We tell you the sum and how to pay it" in said
    assert 'href="tel:' in said
    assert 'href="mailto:' in said
    assert "It is sent back as soon as the payment is here." in said


def test_a_payment_awaited_before_the_work_is_done_sends_nothing_back_yet(read):
    said = read(unpaid(stage="inspected"))
    assert "It goes on as soon as the payment is here." in said
    assert "sent back as soon as" not in said
    assert "Once it is here the unit goes to the carrier" not in said


def test_the_list_of_jobs_says_which_of_them_waits_for_the_payment(shop, let_in):
    job = unpaid(stage="signed_off")
    assert "It waits for the payment" in let_in(job).get("/jobs/").content.decode()


def test_a_declined_booking_gives_its_reason_once_before_the_way_it_went(read):
    said = read(make_job(stage="declined"))
    assert said.count("We do not rebuild this one.") == 1
    assert said.index("Why we cannot take it") < said.index("Where it is on its way")
    assert "Questions and answers" not in said


def test_a_cancelled_booking_keeps_what_was_asked_before_and_says_why_at_its_head(read):
    job = make_job()
    answers.ask_question(job.number, text="Which way does it turn?", **who())
    answers.cancel_job(job.number, reason="Sold the boat.", **who())
    said = read(job)
    assert said.count("Sold the boat.") == 1
    assert said.index("Why it was cancelled") < said.index("Which way does it turn?")


def test_the_wait_for_a_yes_or_no_is_told_once(read):
    job = make_job(stage="stripped", spend_limit_pence=0)
    lines = (ExtraLine(text="Re-bush the throttle spindle", price_pence=9000),)
    ask_extra_work(job.number, lines=lines, added_work_days=3, latest_on_if_approved=None, **who(days_ago=4))
    said = read(job)
    assert said.count("your answer since") == 1
    assert "We read your answer before it goes on" not in said


def test_while_an_answer_is_asked_for_no_next_step_is_told(read):
    job = make_job(stage="inspected")
    assert "Next it is taken apart." in read(job)
    answers.ask_question(job.number, text="Which way does it turn?", **who())
    said = read(job)
    assert "We need your answer; the question is below. We have looked at it." in said
    assert "Next it is taken apart." not in said


def test_a_booking_that_was_not_answered_in_time_says_so(read):
    said = read(make_job(now=timezone.now() - timedelta(days=9)))
    assert "meant to answer it by" in said
    assert "within one working day" not in said


def test_a_booking_of_today_is_answered_within_a_working_day(read):
    assert "within one working day" in read(make_job(now=timezone.now()))


def test_the_working_day_begins_anew_with_the_customer_s_answer(read, let_in):
    job = make_job(now=timezone.now() - timedelta(days=9))
    answers.ask_question(job.number, text="Which way does it turn?", **who(days_ago=8))
    let_in(job).post(f"/job/{job.number}/answer/", {"text": "Clockwise."})
    assert "within one working day" in read(job)


def damaged(*, cause):
    job = make_job(stage="arrived")
    mark = arrivals.MarkEntry(
        zone="flange/base",
        damage_kind=DamageKind.CRACKED,
        severity=Severity.MAJOR,
        origin=cause,
    )
    arrivals.record_inspection(
        job.number,
        inspection=replace(sound_inspection(job), marks=(mark,)),
        actor=WORKSHOP,
        now=NOW + timedelta(days=2),
        expected_count=None,
    )
    return job


@pytest.mark.parametrize("cause", [Cause.IN_TRANSIT, Cause.IN_TRANSIT_POORLY_PACKED])
def test_damage_from_the_way_here_tells_the_sender_that_the_claim_is_theirs(read, cause):
    said = read(damaged(cause=cause))
    assert said.index("tell your carrier soon") < said.index("Where it is on its way")


def test_damage_from_the_way_here_is_still_to_be_claimed_once_the_unit_goes_back_unrepaired(read):
    job = damaged(cause=Cause.IN_TRANSIT)
    dispatch.check_bench_fluid(job.number, smells=False, **who())
    parcel = {"on": timezone.localdate(), "carrier": "", "tracking_number": ""}
    dispatch.return_unrepaired(job.number, reason="The flange is cracked.", **parcel, **who())
    assert "tell your carrier soon" in read(job)


def test_damage_from_before_posting_asks_for_no_claim(read):
    said = read(damaged(cause=Cause.BEFORE_POSTING))
    assert "from before it was posted" in said
    assert "tell your carrier soon" not in said
