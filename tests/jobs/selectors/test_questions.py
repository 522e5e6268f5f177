"""A question is open until it is answered, its booking gets a yes or a no, or its job has ended."""

from datetime import timedelta

import pytest

from jobs.models import Job
from jobs.selectors.customer_jobs import job_lines, see_job
from jobs.selectors.questions import open_questions
from jobs.selectors.shop_state import states_of
from jobs.services import answers, arrivals, corrections, dispatch
from tests.factories import MODEL, NOW, WORKSHOP, make_job

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=9)
WHO = {"actor": WORKSHOP, "now": LATER, "expected_count": None}


def ask(job, *, text="Which jet?"):
    answers.ask_question(job.number, text=text, **WHO)


def asked_everywhere(job):
    """Return what the log, the shop's lists, the customer's list and the customer's page ask."""
    job = Job.objects.get(pk=job.pk)
    listed = open_questions([job])
    line = next(each for each in job_lines(job.customer_id) if each.number == job.number)
    seen = see_job(job)
    return (
        states_of([job])[job.pk].question_open,
        listed[job.pk].text if job.pk in listed else "",
        line.needs_answer,
        seen.asks_customer,
    )


NOTHING = ("", "", False, False)


def clear(job):
    answers.clear_job(job.number, unit_model=MODEL, note="", **WHO)


def answer(job):
    answers.answer_question(job.number, text="135", actor=WORKSHOP, now=LATER)


def decline(job):
    answers.decline_job(job.number, reason="Too worn.", **WHO)


def cancel(job):
    answers.cancel_job(job.number, reason="Sold.", **WHO)


@pytest.mark.parametrize("settle", [clear, answer, decline, cancel])
def test_a_question_on_a_booking_is_asked_nowhere_once_it_is_settled(settle):
    job = make_job()
    ask(job)
    assert asked_everywhere(job) == ("Which jet?", "Which jet?", True, True)
    settle(job)
    assert asked_everywhere(job) == NOTHING


def test_a_question_asked_after_the_yes_stays_until_it_is_answered():
    job = make_job()
    ask(job, text="Which jet?")
    clear(job)
    ask(job, text="Which float?")
    assert asked_everywhere(job) == ("Which float?", "Which float?", True, True)
    answer(job)
    assert asked_everywhere(job) == NOTHING


def test_a_question_nobody_answered_ends_with_its_job():
    job = make_job(stage="sent_back")
    ask(job)
    dispatch.close_job(job.number, note="", actor=WORKSHOP, now=LATER)
    assert asked_everywhere(job) == NOTHING


def test_a_question_that_was_taken_back_is_not_open():
    job = make_job(stage="arrived")
    other = arrivals.Inspection("complete", "KV4087B", "tolvane-kv4087", ("unit",), (), ())
    arrivals.record_inspection(job.number, inspection=other, **WHO)
    assert open_questions([job])
    for _ in range(2):
        corrections.take_back_last_step(job.number, reason="another unit", **WHO)
    assert asked_everywhere(job) == NOTHING


def test_a_question_is_open_since_it_was_asked():
    job, quiet = make_job(), make_job(name="Bo Larkspur", email="bo@example.com")
    ask(job)
    found = open_questions(Job.objects.order_by("number"))
    assert {pk: each.asked_at for pk, each in found.items()} == {job.pk: LATER}
    assert quiet.pk not in found
