"""Extra work: the agreed limit, the customer's one answer, and what the job waits for meanwhile."""

from datetime import timedelta

import pytest

from jobs.domain.errors import IllegalTransition, MissingFact
from jobs.domain.stages import HoldKind
from jobs.models import ExtraWork, JobEvent, OutboxMessage
from jobs.services import answers, arrivals, bench, extra_work
from tests.factories import NOW, WORKSHOP, make_job

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=9)
WHO = {"actor": WORKSHOP, "now": LATER, "expected_count": None}


def ask(job, *prices_pence):
    lines = tuple(extra_work.ExtraLine(text="Re-bush", price_pence=price) for price in prices_pence)
    return extra_work.ask_extra_work(
        job.number, lines=lines, added_work_days=2, latest_on_if_approved=None, **WHO
    )


def decide(job, *, number=1, decision="approved"):
    return extra_work.decide_extra_work(
        job.number, extra_work=number, decision=decision, note="", actor=WORKSHOP, now=LATER
    )


def held(job):
    job.refresh_from_db()
    return job.hold


def mails(job):
    return list(
        OutboxMessage.objects.filter(job=job, kind__startswith="extra")
        .order_by("pk")
        .values_list("kind", flat=True)
    )


def test_work_within_the_limit_is_approved_at_once_and_only_told():
    job = make_job(stage="inspected", spend_limit_pence=5000)
    extra = ask(job, 2000, 1000)
    assert (extra.decision, extra.price_pence, extra.within_limit) == ("approved", 3000, True)
    assert held(job) == ""
    assert mails(job) == ["extra_work_within"]


def test_the_limit_is_used_up():
    job = make_job(stage="inspected", spend_limit_pence=5000)
    assert ask(job, 3000).decision == "approved"
    assert ask(job, 2001).decision == ""
    assert held(job) == "answer"
    assert ask(job, 2000).decision == "approved"
    assert ask(job, 1).decision == ""


def test_a_limit_is_not_used_by_what_the_customer_approved():
    job = make_job(stage="inspected", spend_limit_pence=5000)
    ask(job, 9000)
    decide(job)
    assert ask(job, 5000).within_limit


def test_work_over_the_limit_waits_for_yes_or_no():
    job = make_job(stage="inspected", spend_limit_pence=0)
    assert ask(job, 6400).decision == ""
    assert held(job) == "answer"
    assert mails(job) == ["extra_work"]
    assert decide(job).decision == "approved"
    assert held(job) == ""
    assert mails(job) == ["extra_work", "extra_work_decided"]


def test_the_same_answer_twice_is_one_answer():
    job = make_job(stage="inspected", spend_limit_pence=0)
    ask(job, 6400)
    decide(job)
    count = JobEvent.objects.filter(job=job).count()
    decide(job)
    assert JobEvent.objects.filter(job=job).count() == count


def test_an_answer_is_never_turned_round():
    job = make_job(stage="inspected", spend_limit_pence=0)
    ask(job, 6400)
    decide(job, decision="declined")
    with pytest.raises(extra_work.AlreadyDecided, match="declined"):
        decide(job, decision="approved")
    assert ExtraWork.objects.get().decision == "declined"


@pytest.mark.parametrize("decision", ["", "maybe"])
def test_an_answer_is_yes_or_no(decision):
    job = make_job(stage="inspected", spend_limit_pence=0)
    ask(job, 6400)
    with pytest.raises(IllegalTransition, match="yes or no"):
        decide(job, decision=decision)


def test_a_request_that_is_not_there_is_refused():
    with pytest.raises(MissingFact):
        decide(make_job(stage="inspected"), number=7)


def test_a_job_waits_until_every_request_is_answered():
    job = make_job(stage="inspected", spend_limit_pence=0)
    ask(job, 100)
    ask(job, 200)
    decide(job, number=2)
    assert held(job) == "answer"
    decide(job, number=1, decision="declined")
    assert held(job) == ""


def test_a_yes_to_extra_work_does_not_answer_which_unit_it_is():
    job = make_job(stage="arrived", spend_limit_pence=0)
    other = arrivals.Inspection("complete", "KV4087B", "tolvane-kv4087", ("unit",), (), ())
    arrivals.record_inspection(job.number, inspection=other, **WHO)
    ask(job, 6400)
    decide(job)
    assert held(job) == "answer"
    answers.answer_question(job.number, text="Yes, that one.", actor=WORKSHOP, now=LATER)
    assert held(job) == ""


def test_an_answer_to_a_question_is_no_yes_to_extra_work():
    job = make_job(stage="inspected", spend_limit_pence=0)
    answers.ask_question(job.number, text="Which jet do you run?", **WHO)
    ask(job, 6400)
    answers.answer_question(job.number, text="135", actor=WORKSHOP, now=LATER)
    assert held(job) == "answer"
    decide(job)
    assert held(job) == ""


def test_a_hold_for_parts_is_not_ended_by_an_answer():
    job = make_job(stage="inspected", spend_limit_pence=0)
    bench.hold_job(job.number, hold=HoldKind.PARTS, reason="A float", expected_on=None, **WHO)
    ask(job, 6400)
    decide(job)
    assert held(job) == "parts"


@pytest.mark.parametrize("prices", [(), (-1,)], ids=["no line", "a price below nothing"])
def test_a_request_without_a_price_is_refused(prices):
    job = make_job(stage="inspected")
    with pytest.raises(MissingFact):
        ask(job, *prices)
