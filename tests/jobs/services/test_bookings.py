"""A booking is written page by page, sent once, and answered yes, no, or with a question."""

from datetime import timedelta

import pytest

from jobs.domain.booking import BookingStep
from jobs.domain.errors import IllegalTransition, MissingFact, StaleEdit, SubmissionConflict, UnknownJob
from jobs.models import Customer, Job, JobEvent, OutboxMessage
from jobs.services import answers, bookings
from packing.errors import UnknownEntry
from tests.factories import MODEL, NOW, WORKSHOP, make_booking, make_job, open_shop

pytestmark = pytest.mark.django_db
WHO = {"actor": WORKSHOP, "now": NOW, "expected_count": None}


def test_an_unfinished_booking_is_not_sent_and_the_question_is_named():
    open_shop()
    booking = bookings.start_booking(now=NOW)
    bookings.save_answers(booking, step=BookingStep.FAMILY, changes={"family": "magneto"}, now=NOW)
    with pytest.raises(MissingFact, match="number"):
        bookings.send_booking(booking.reference, now=NOW)
    assert not Job.objects.exists()
    assert not Customer.objects.exists()


def test_a_reopened_page_has_to_be_answered_again():
    booking = make_booking()
    bookings.save_answers(booking, step=BookingStep.FAMILY, changes={}, now=NOW, reopen=(BookingStep.MODEL,))
    with pytest.raises(MissingFact, match="model"):
        bookings.send_booking(booking.reference, now=NOW)


def test_a_booking_that_was_sent_is_not_changed_any_more():
    booking = make_booking()
    bookings.send_booking(booking.reference, now=NOW)
    with pytest.raises(SubmissionConflict, match="sent in already"):
        bookings.save_answers(booking, step=BookingStep.FAMILY, changes={"family": "magneto"}, now=NOW)
    assert Job.objects.get().family == "carburettor"


def test_a_customer_who_is_known_is_not_asked_again_and_stays_one_customer():
    first = make_job()
    booking = bookings.start_booking(now=NOW, customer=first.customer)
    known = bookings.answers_of(booking)
    assert (known.name, known.email) == ("Ada Thornby", "ada@example.com")
    for step in BookingStep:
        bookings.save_answers(booking, step=step, changes={}, now=NOW)
    given = {"family": "carburettor", "cannot_read": True}
    bookings.save_answers(booking, step=BookingStep.NUMBER, changes=given, now=NOW)
    second = bookings.send_booking(booking.reference, now=NOW)
    assert second.customer == first.customer
    assert Customer.objects.count() == 1


def test_a_stranger_with_a_known_address_does_not_get_at_the_known_customer():
    first, second = make_job(), make_job()
    assert first.customer.email == second.customer.email
    assert first.customer != second.customer


def test_a_link_to_a_draft_is_mailed_once_a_minute_at_the_most():
    booking = make_booking()
    for seconds in (0, 20, 40, 60):
        bookings.mail_draft_link(booking, email="ada@example.com", now=NOW + timedelta(seconds=seconds))
    assert OutboxMessage.objects.filter(kind="draft_link").count() == 2


def test_a_no_carries_its_reason_and_ends_the_job():
    job = make_job()
    with pytest.raises(MissingFact):
        answers.decline_job(job.number, reason=" ", **WHO)
    job = answers.decline_job(job.number, reason="We do not rebuild this one.", **WHO)
    assert (job.stage, job.ended_at) == ("declined", NOW)
    with pytest.raises(IllegalTransition):
        answers.clear_job(job.number, unit_model=MODEL, note="", **WHO)


def test_a_yes_on_an_old_page_is_refused_and_freezes_nothing():
    job = make_job()
    answers.ask_question(job.number, text="Which engine?", **WHO)
    with pytest.raises(StaleEdit):
        answers.clear_job(
            job.number, unit_model=MODEL, note="", actor=WORKSHOP, now=NOW, expected_count=job.event_count
        )
    job.refresh_from_db()
    assert (job.stage, job.plan) == ("booked", None)


def test_a_yes_to_a_unit_that_the_catalogue_does_not_have_is_refused():
    job = make_job()
    with pytest.raises(UnknownEntry):
        answers.clear_job(job.number, unit_model="no-such-unit", note="", **WHO)
    assert JobEvent.objects.filter(job=job).count() == 1


@pytest.mark.parametrize("stage", ["booked", "cleared"])
def test_a_booking_can_be_cancelled_until_it_is_posted(stage):
    job = answers.cancel_job(make_job(stage=stage).number, reason="Sold.", **WHO)
    assert job.stage == "cancelled"


def test_what_is_on_its_way_is_not_cancelled():
    with pytest.raises(IllegalTransition):
        answers.cancel_job(make_job(stage="posted").number, reason="Sold.", **WHO)


def test_a_question_needs_words_and_an_answer_too():
    job = make_job()
    with pytest.raises(MissingFact):
        answers.ask_question(job.number, text="", **WHO)
    with pytest.raises(MissingFact):
        answers.answer_question(job.number, text=" ", actor=WORKSHOP, now=NOW)


def test_a_note_changes_nothing_but_the_log():
    job = make_job(stage="closed")
    after = answers.add_note(job.number, text="Rang to say thank you.", actor=WORKSHOP, now=NOW)
    assert (after.stage, after.event_count) == (job.stage, job.event_count + 1)


def test_a_number_nobody_has_is_refused_in_words():
    with pytest.raises(UnknownJob, match="no job of that number"):
        answers.add_note("1234567", text="x", actor=WORKSHOP, now=NOW)
