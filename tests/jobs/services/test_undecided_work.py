"""While the customer owes a yes or no to extra work, nothing lets the unit go past it."""

from datetime import timedelta

import pytest
from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.errors import IllegalTransition
from jobs.domain.facts import NoFacts
from jobs.domain.stages import EventKind, HoldKind, Role
from jobs.models import ExtraWork, Job, JobEvent, OutboxMessage
from jobs.selectors.shop_state import states_of
from jobs.services import answers, arrivals, bench, corrections, extra_work, upkeep
from jobs.services._steps import CACHED, lock_job, set_cache
from tests.factories import NO_SETTINGS, NOW, SECOND, WORKSHOP, make_job

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=20)
WHO = {"actor": WORKSHOP, "now": LATER, "expected_count": None}
LINES = (extra_work.ExtraLine(text="Re-bush", price_pence=6400),)
OTHER = arrivals.Inspection("complete", "KV4087B", "tolvane-kv4087", ("unit",), (), ())


def a_job(*, stage="inspected"):
    return make_job(stage=stage, spend_limit_pence=0)


def ask(job):
    extra_work.ask_extra_work(job.number, lines=LINES, added_work_days=1, latest_on_if_approved=None, **WHO)


def decide(job, decision="declined"):
    extra_work.decide_extra_work(
        job.number, extra_work=1, decision=decision, note="", actor=customer(job), now=LATER
    )


def customer(job):
    return Actor(role=Role.CUSTOMER, name="Ada Thornby", customer_id=job.customer_id)


def hold(job, kind):
    bench.hold_job(job.number, hold=kind, reason="A float", expected_on=None, **WHO)


def release(job):
    bench.release_job(job.number, note="", **WHO)


def sign_off(job):
    bench.sign_off(
        job.number, note="", without_settings=NO_SETTINGS, actor=SECOND, now=LATER, expected_count=None
    )


def take_back(job):
    corrections.take_back_last_step(job.number, reason="wrong job", **WHO)


def held(job):
    """Return the hold and its reason, once the row is known to say what the log says."""
    job = Job.objects.get(pk=job.pk)
    kept = {name: getattr(job, name) for name in CACHED}
    set_cache(job, state=states_of([job])[job.pk])
    assert {name: getattr(job, name) for name in CACHED} == kept
    return job.hold, job.hold_reason


YES_OR_NO = ("answer", "Your yes or no to the extra work")


@pytest.mark.parametrize("kind", [HoldKind.PARTS, HoldKind.OUTSIDE])
def test_when_the_shops_own_hold_ends_the_answer_is_waited_for(kind):
    job = a_job()
    hold(job, kind)
    ask(job)
    assert held(job)[0] == kind
    release(job)
    assert held(job) == YES_OR_NO
    decide(job)
    assert held(job) == ("", "")


def test_the_customer_is_reminded_once_the_answer_is_waited_for():
    job = a_job()
    hold(job, HoldKind.PARTS)
    ask(job)
    release(job)
    assert upkeep.queue_reminders(now=LATER + timedelta(days=2)) == 1
    assert OutboxMessage.objects.get(kind="reminder").payload == {"asked": YES_OR_NO[1]}


def test_an_open_invoice_stands_aside_for_the_answer():
    job = a_job()
    hold(job, HoldKind.PAYMENT)
    ask(job)
    assert held(job) == YES_OR_NO
    decide(job, "approved")
    assert held(job) == ("payment", "A float")


def test_after_the_answer_to_a_question_the_yes_or_no_is_waited_for():
    job = a_job(stage="arrived")
    arrivals.record_inspection(job.number, inspection=OTHER, **WHO)
    ask(job)
    answers.answer_question(job.number, text="Yes, that one.", actor=customer(job), now=LATER)
    assert held(job) == YES_OR_NO
    last = JobEvent.objects.filter(job=job).latest("number")
    assert (last.kind, last.actor_role) == ("held", "system")
    decide(job)
    assert held(job) == ("", "")


def test_an_undecided_unit_is_not_signed_off():
    job = a_job(stage="tested")
    ask(job)
    hold_of_an_older_shop_ended(job)
    with pytest.raises(IllegalTransition, match="yes or no to the extra work"):
        sign_off(job)
    decide(job)
    sign_off(job)
    assert Job.objects.get(pk=job.pk).stage == "signed_off"


def hold_of_an_older_shop_ended(job):
    """End the hold in the log as it could be ended before, with the request left open."""
    with transaction.atomic():
        log = lock_job(job.number, expected_count=None)
        log.record(EventKind.RELEASED, facts=NoFacts(), actor=WORKSHOP, now=LATER)


def test_the_hold_for_the_answer_is_not_taken_back():
    job = a_job()
    ask(job)
    with pytest.raises(IllegalTransition, match="Record their answer first"):
        take_back(job)
    assert held(job) == YES_OR_NO


def test_the_hold_for_the_answer_is_not_taken_back_to_one_that_lets_work_go_on():
    job = a_job()
    hold(job, HoldKind.PAYMENT)
    ask(job)
    with pytest.raises(IllegalTransition, match="Record their answer first"):
        take_back(job)


def test_a_hold_for_parts_that_the_request_came_under_is_not_taken_back():
    job = a_job()
    hold(job, HoldKind.PARTS)
    ask(job)
    with pytest.raises(IllegalTransition, match="Record their answer first"):
        take_back(job)


def test_an_inspection_is_not_taken_back_from_under_a_request():
    job = a_job(stage="arrived")
    hold(job, HoldKind.PARTS)
    arrivals.record_inspection(
        job.number,
        inspection=arrivals.Inspection("complete", "KV4081B", job.unit_model, ("unit",), (), ()),
        **WHO,
    )
    ask(job)
    with pytest.raises(IllegalTransition, match="Record their answer first"):
        take_back(job)


def test_once_it_is_decided_the_hold_may_be_taken_back():
    job = a_job()
    hold(job, HoldKind.PARTS)
    ask(job)
    decide(job)
    take_back(job)
    assert held(job) == ("", "")


def test_a_unit_signed_off_before_its_answer_came_may_be_taken_back_to_be_decided():
    job = a_job(stage="tested")
    sign_off(job)
    ExtraWork.objects.create(job=job, number=1, lines=[], price_pence=6400, asked_at=LATER)
    with pytest.raises(IllegalTransition):
        decide(job)
    take_back(job)
    decide(job)
    assert ExtraWork.objects.get().decision == "declined"
