"""A hold that another stands before comes back; an ended job is held by nothing."""

from datetime import date, timedelta

import pytest

from jobs.domain.stages import HoldKind
from jobs.models import Job
from jobs.selectors.learned import wait_visits
from jobs.selectors.records import Narrowing, jobs
from jobs.selectors.shop_state import states_of
from jobs.services import answers, arrivals, bench, corrections, dispatch
from jobs.services._steps import CACHED, set_cache
from tests.factories import NOW, WORKSHOP, make_box, make_job

pytestmark = pytest.mark.django_db
HELD_AT = NOW + timedelta(days=6)
LATER = NOW + timedelta(days=9)
WHO = {"actor": WORKSHOP, "now": LATER, "expected_count": None}
OTHER = arrivals.Inspection("complete", "KV4087B", "tolvane-kv4087", ("unit",), (), ())


def hold(job, kind, *, reason="Invoice 12 is open", expected_on=None):
    who = {"actor": WORKSHOP, "now": HELD_AT, "expected_count": None}
    bench.hold_job(job.number, hold=kind, reason=reason, expected_on=expected_on, **who)


def held(job):
    """Return the hold, its reason and since when, once the row is known to say what the log says."""
    job = Job.objects.get(pk=job.pk)
    kept = {name: getattr(job, name) for name in CACHED}
    set_cache(job, state=states_of([job])[job.pk])
    assert {name: getattr(job, name) for name in CACHED} == kept
    return job.hold, job.hold_reason, job.hold_since


@pytest.mark.parametrize("kind", [HoldKind.PAYMENT, HoldKind.PARTS, HoldKind.OUTSIDE])
def test_a_hold_stands_again_once_the_question_of_the_inspection_is_answered(kind):
    job = make_job(stage="arrived")
    hold(job, kind)
    arrivals.record_inspection(job.number, inspection=OTHER, **WHO)
    assert held(job)[0] == "answer"
    answers.answer_question(job.number, text="Yes, that one.", actor=WORKSHOP, now=LATER)
    assert held(job) == (kind.value, "Invoice 12 is open", HELD_AT)


def test_an_unpaid_unit_does_not_go_back_after_an_answer():
    job = make_job(stage="arrived")
    hold(job, HoldKind.PAYMENT)
    arrivals.record_inspection(job.number, inspection=OTHER, **WHO)
    answers.answer_question(job.number, text="Yes, that one.", actor=WORKSHOP, now=LATER)
    bench.release_job(job.number, note="paid", **WHO)
    assert held(job) == ("", "", None)


def test_one_answer_ends_everything_that_waited_for_an_answer():
    job = make_job(stage="arrived")
    hold(job, HoldKind.ANSWER, reason="Where did you buy it?")
    arrivals.record_inspection(job.number, inspection=OTHER, **WHO)
    answers.answer_question(job.number, text="Yes, that one.", actor=WORKSHOP, now=LATER)
    assert held(job) == ("", "", None)


def test_a_hold_stands_again_when_the_one_before_it_is_taken_back():
    job = make_job(stage="arrived")
    hold(job, HoldKind.PAYMENT)
    arrivals.record_inspection(job.number, inspection=OTHER, **WHO)
    corrections.take_back_last_step(job.number, reason="the wrong model was chosen", **WHO)
    assert held(job) == ("payment", "Invoice 12 is open", HELD_AT)


def unpaid_and_returned():
    job = make_job(stage="inspected")
    dispatch.check_bench_fluid(job.number, smells=False, **WHO)
    hold(job, HoldKind.PAYMENT)
    parcel = {"on": LATER.date(), "carrier": "", "tracking_number": "", "reason": "cracked"}
    dispatch.return_unrepaired(job.number, **parcel, **WHO)
    return job


def merged_box():
    box = make_box()
    hold(box, HoldKind.PARTS)
    arrivals.match_box(box.number, booking_number=make_job(stage="posted").number, actor=WORKSHOP, now=LATER)
    return box


@pytest.mark.parametrize("end", [unpaid_and_returned, merged_box])
def test_an_ended_job_is_held_by_nothing(end):
    job = end()
    assert held(job) == ("", "", None)
    assert job.number not in {row.number for row in jobs(Narrowing(hold="any"))}


def test_the_forecast_counts_no_wait_of_a_job_that_has_ended():
    unpaid_and_returned()
    a_year_later = list(wait_visits(now=LATER + timedelta(days=300)))
    assert [(each.kind, each.open, round(each.days)) for each in a_year_later] == [("payment", False, 3)]


def test_the_forecast_counts_the_wait_of_a_merged_box_once():
    merged_box()
    assert [(each.kind, each.open) for each in wait_visits(now=LATER)] == [("parts", True)]


def test_a_booking_takes_over_what_its_box_waits_for():
    box, booked = make_box(), make_job(stage="posted")
    hold(box, HoldKind.PARTS, reason="A float, ordered", expected_on=date(2026, 4, 1))
    arrivals.match_box(box.number, booking_number=booked.number, actor=WORKSHOP, now=LATER)
    assert held(booked) == ("parts", "A float, ordered", HELD_AT)
    assert states_of([booked])[booked.pk].held_by.expected_on == date(2026, 4, 1)
    corrections.take_back_last_step(booked.number, reason="another booking", **WHO)
    assert held(booked) == ("", "", None)
    assert held(box) == ("parts", "A float, ordered", HELD_AT)


def test_a_customer_is_awaited_only_from_when_their_box_was_known():
    box, booked = make_box(), make_job(stage="posted")
    hold(box, HoldKind.ANSWER, reason="What is to be done with it?")
    arrivals.match_box(box.number, booking_number=booked.number, actor=WORKSHOP, now=LATER)
    assert held(booked) == ("answer", "What is to be done with it?", LATER)
