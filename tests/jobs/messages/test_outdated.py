"""A mail whose step was taken back, or whose question or wait is over, is not sent, and its row says so."""

from datetime import timedelta

import pytest
from django.core import mail

from jobs.domain.facts import BenchWork
from jobs.domain.stages import HoldKind
from jobs.models import OutboxMessage
from jobs.services import answers, arrivals, bench, corrections, extra_work, messages, upkeep
from tests.factories import MODEL, NOW, WORKSHOP, make_job, walk_to

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=20)
WHO = {"actor": WORKSHOP, "now": LATER, "expected_count": None}


def take_back(job, *, times=1):
    for _ in range(times):
        corrections.take_back_last_step(job.number, reason="pressed on the wrong job", **WHO)
    job.refresh_from_db()


def deliver():
    """Return what one round did, with the subjects that went out in it."""
    mail.outbox.clear()
    count = messages.deliver_due(now=LATER, limit=50)
    return count, [sent.subject for sent in mail.outbox]


def row(job, kind):
    return OutboxMessage.objects.filter(job=job, kind=kind).latest("pk")


STEPS = [
    ("posted", "arrived", "arrived"),
    ("arrived", "inspected", "inspected"),
    ("tested", "signed_off", "ready"),
    ("packed", "sent_back", "sent_back"),
]


@pytest.mark.parametrize(("before", "after", "kind"), STEPS)
def test_a_step_taken_back_before_its_mail_went_out_is_not_told(before, after, kind):
    job = make_job(stage=before)
    deliver()
    walk_to(job, stage=after, now=LATER - timedelta(hours=1))
    take_back(job)
    count, subjects = deliver()
    assert (count, subjects) == (messages.DeliveryCount(dropped=1), [])
    dropped = row(job, kind)
    assert (dropped.state, dropped.sent_at, dropped.payload) == ("dropped", None, {})
    assert "taken back" in dropped.last_error


def test_a_mail_that_was_put_off_meanwhile_is_looked_at_again():
    job = make_job(stage="packed")
    deliver()
    walk_to(job, stage="sent_back", now=LATER - timedelta(hours=1))
    OutboxMessage.objects.filter(kind="sent_back").update(tries=3, last_error="the mail server is away")
    take_back(job)
    assert deliver()[1] == []
    assert row(job, "sent_back").state == "dropped"


def test_the_step_made_again_is_told_once():
    job = make_job(stage="packed")
    deliver()
    walk_to(job, stage="sent_back", now=LATER - timedelta(hours=1))
    take_back(job)
    walk_to(job, stage="sent_back", now=LATER - timedelta(hours=1))
    count, subjects = deliver()
    assert (count.sent, count.dropped, len(subjects)) == (1, 1, 1)


def test_a_question_of_an_inspection_that_was_taken_back_is_not_asked():
    job = make_job(stage="arrived")
    deliver()
    other = arrivals.Inspection("complete", "KV4087B", "tolvane-kv4087", ("unit",), (), ())
    arrivals.record_inspection(job.number, inspection=other, **WHO)
    take_back(job, times=2)
    assert deliver() == (messages.DeliveryCount(dropped=2), [])
    assert row(job, "question").state == "dropped"


def answered(job):
    answers.answer_question(job.number, text="135", actor=WORKSHOP, now=LATER)


def cleared(job):
    answers.clear_job(job.number, unit_model=MODEL, note="", **WHO)


def declined(job):
    answers.decline_job(job.number, reason="It is too worn.", **WHO)


@pytest.mark.parametrize("settle", [answered, cleared, declined])
def test_a_question_that_was_settled_before_its_mail_went_out_is_not_asked(settle):
    job = make_job(stage="booked")
    deliver()
    answers.ask_question(job.number, text="Which jet?", **WHO)
    settle(job)
    deliver()
    dropped = row(job, "question")
    assert (dropped.state, dropped.payload) == ("dropped", {})
    assert "settled" in dropped.last_error


def test_a_question_after_an_answer_is_asked():
    job = make_job(stage="booked")
    answers.ask_question(job.number, text="Which jet?", **WHO)
    answered(job)
    answers.ask_question(job.number, text="Which float?", **WHO)
    deliver()
    states = OutboxMessage.objects.filter(job=job, kind="question").order_by("pk")
    assert list(states.values_list("state", flat=True)) == ["dropped", "sent"]


def test_extra_work_that_was_decided_before_its_mail_went_out_is_not_asked():
    job = make_job(stage="inspected")
    for text in ("Re-bush the spindle", "A new body"):
        lines = (extra_work.ExtraLine(text=text, price_pence=90_000),)
        extra_work.ask_extra_work(
            job.number, lines=lines, added_work_days=3, latest_on_if_approved=None, **WHO
        )
    extra_work.decide_extra_work(
        job.number, extra_work=1, decision="declined", note="by phone", actor=WORKSHOP, now=LATER
    )
    deliver()
    states = OutboxMessage.objects.filter(job=job, kind="extra_work").order_by("pk")
    assert list(states.values_list("state", flat=True)) == ["dropped", "sent"]
    assert row(job, "extra_work_decided").state == "sent"


def test_another_step_taken_back_leaves_the_mail_alone():
    job = make_job(stage="inspected")
    bench.start_work(job.number, work=BenchWork(step="strip"), **WHO)
    take_back(job)
    count, subjects = deliver()
    assert (count.dropped, len(subjects)) == (0, count.sent)
    assert row(job, "inspected").state == "sent"


def remind(job):
    bench.hold_job(
        job.number,
        hold=HoldKind.ANSWER,
        reason="Which jet?",
        expected_on=None,
        actor=WORKSHOP,
        now=LATER - timedelta(days=3),
        expected_count=None,
    )
    upkeep.queue_reminders(now=LATER - timedelta(days=1))


def test_a_reminder_goes_out_while_the_answer_is_awaited():
    job = make_job(stage="inspected")
    deliver()
    remind(job)
    assert deliver()[0] == messages.DeliveryCount(sent=1)


def test_a_reminder_of_an_answer_that_has_come_is_not_sent():
    job = make_job(stage="inspected")
    deliver()
    remind(job)
    answers.ask_question(job.number, text="Which jet?", **WHO)
    answers.answer_question(job.number, text="135", actor=WORKSHOP, now=LATER)
    deliver()
    dropped = row(job, "reminder")
    assert dropped.state == "dropped"
    assert "wait" in dropped.last_error


def test_a_reminder_of_an_earlier_wait_is_not_sent_in_a_later_one():
    job = make_job(stage="inspected")
    deliver()
    remind(job)
    bench.release_job(job.number, note="", **WHO)
    bench.hold_job(job.number, hold=HoldKind.ANSWER, reason="Which float?", expected_on=None, **WHO)
    assert deliver() == (messages.DeliveryCount(dropped=1), [])


def remind_of_booking(job):
    asked_at = LATER - timedelta(days=3)
    answers.ask_question(job.number, text="Which float?", actor=WORKSHOP, now=asked_at, expected_count=None)
    deliver()
    upkeep.queue_reminders(now=LATER - timedelta(days=1))


def test_a_reminder_of_a_question_on_a_booking_goes_out_while_it_is_open():
    job = make_job(stage="booked")
    remind_of_booking(job)
    assert deliver()[0] == messages.DeliveryCount(sent=1)


@pytest.mark.parametrize("settle", [answered, cleared, declined])
def test_a_reminder_of_a_question_on_a_booking_that_was_settled_is_not_sent(settle):
    job = make_job(stage="booked")
    remind_of_booking(job)
    settle(job)
    deliver()
    assert row(job, "reminder").state == "dropped"
