"""An inspection taken back leaves the job with the unit that it had before, so that looking again is fair."""

from datetime import timedelta

import pytest
from django.db import transaction

from jobs.domain.facts import Inspected
from jobs.domain.stages import EventKind
from jobs.models import JobEvent, OutboxMessage
from jobs.selectors.customer_jobs import job_lines
from jobs.selectors.logs import log_of
from jobs.selectors.shop_state import states_of
from jobs.selectors.timeline import exchanges
from jobs.services import answers, arrivals, corrections
from jobs.services._steps import lock_job
from jobs.services._telling import freeze_instructions
from tests.factories import MODEL, NOW, WORKSHOP, make_job

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=6)
WHO = {"actor": WORKSHOP, "now": LATER, "expected_count": None}
OTHER_MODEL = "tolvane-kv4087"


def inspect(job, *, unit_model, number_read="KV4087B"):
    entry = arrivals.Inspection("complete", number_read, unit_model, ("unit",), (), ())
    arrivals.record_inspection(job.number, inspection=entry, **WHO)
    job.refresh_from_db()


def take_back(job, *, times):
    for _ in range(times):
        corrections.take_back_last_step(job.number, reason="the wrong model was chosen", **WHO)
    job.refresh_from_db()


def told_about(job):
    """Return everything about the unit that an inspection may change."""
    job.refresh_from_db()
    return job.family, job.unit_model, job.number_found, job.strip_list, job.plan, job.plan_back


def kinds(job):
    return list(JobEvent.objects.filter(job=job).order_by("number").values_list("kind", flat=True))


def test_the_wrong_model_taken_back_leaves_the_unit_that_was_booked():
    job = make_job(stage="arrived")
    before = told_about(job)
    inspect(job, unit_model="brennick-bm4-a25", number_read="BM4-A25")
    assert told_about(job)[:3] == ("magneto", "brennick-bm4-a25", "BM4-A25")
    take_back(job, times=2)
    assert (job.stage, told_about(job)) == ("arrived", before)


def test_a_unit_that_was_booked_without_its_model_has_none_again():
    job = make_job(stage="arrived", unit_model="")
    before = told_about(job)
    inspect(job, unit_model=OTHER_MODEL)
    assert told_about(job)[1] == OTHER_MODEL
    take_back(job, times=1)
    assert told_about(job) == before


def test_the_booked_unit_after_a_mistake_asks_the_customer_nothing_and_is_not_held():
    job = make_job(stage="arrived")
    inspect(job, unit_model=OTHER_MODEL)
    take_back(job, times=2)
    inspect(job, unit_model=MODEL, number_read="KV4081B")
    assert (job.stage, job.hold, kinds(job)[-1]) == ("inspected", "", "inspected")
    assert OutboxMessage.objects.filter(job=job, kind="question").count() == 1


def test_a_question_that_came_out_of_an_inspection_is_taken_back_with_it():
    job = make_job(stage="arrived")
    inspect(job, unit_model=OTHER_MODEL)
    assert [line.needs_answer for line in job_lines(job.customer_id)] == [True]
    take_back(job, times=2)
    assert kinds(job)[-6:] == ["inspected", "question_asked", "held", "corrected", "corrected", "corrected"]
    assert states_of([job])[job.pk].question_open == ""
    assert [line.needs_answer for line in job_lines(job.customer_id)] == [False]


def test_a_question_that_was_answered_stays_when_its_inspection_is_taken_back():
    job = make_job(stage="arrived")
    inspect(job, unit_model=OTHER_MODEL)
    answers.answer_question(job.number, text="No, mine says KV4081B.", actor=WORKSHOP, now=LATER)
    take_back(job, times=3)
    assert (job.stage, kinds(job).count("corrected")) == ("arrived", 3)
    assert [said.kind.value for said in exchanges(log_of(job))] == ["question_asked", "question_answered"]


def test_another_question_stays_when_an_inspection_is_taken_back():
    job = make_job(stage="arrived")
    inspect(job, unit_model=MODEL)
    later = {**WHO, "now": LATER + timedelta(minutes=1)}
    answers.ask_question(job.number, text="Which jet do you run?", **later)
    take_back(job, times=1)
    assert (job.stage, states_of([job])[job.pk].question_open) == ("arrived", "Which jet do you run?")


def test_an_inspection_of_the_time_before_its_unit_was_kept_goes_back_to_what_was_booked():
    job = make_job(stage="arrived")
    older = Inspected("complete", "KV4087B", unit_model=OTHER_MODEL, same_as_booked=False)
    with transaction.atomic():
        log = lock_job(job.number, expected_count=None)
        freeze_instructions(log.job, unit_model=OTHER_MODEL, now=LATER)
        log.record(EventKind.INSPECTED, facts=older, actor=WORKSHOP, now=LATER)
    assert told_about(job)[1] == OTHER_MODEL
    take_back(job, times=1)
    assert told_about(job)[1] == MODEL
