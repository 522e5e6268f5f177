"""Closing a customer's links closes every one of them, whatever it opens, and mails a new way in."""

from datetime import timedelta

import pytest
from django.core import mail

from jobs.domain.errors import IllegalTransition, MissingFact, StaleEdit, SubmissionConflict
from jobs.models import Booking, JobEvent, OutboxMessage, PrivateLink
from jobs.services import bookings, find_job, link_renewal, links, messages
from tests.factories import NOW, OWNER, WORKSHOP, make_booking, make_box, make_job, renew_links

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=1)


def second_job_of(customer):
    booking = make_booking()
    Booking.objects.filter(pk=booking.pk).update(customer=customer)
    return bookings.send_booking(booking.reference, now=NOW, let_in_as=customer.pk)


def draft_of(customer):
    return bookings.start_booking(now=NOW, customer=customer)


def waiting(**narrowed):
    return OutboxMessage.objects.filter(state="waiting", **narrowed)


@pytest.mark.parametrize("purpose", ["job", "other job", "sign_in", "draft", "draft of the first booking"])
def test_a_link_of_every_kind_stops_to_open(purpose):
    job = make_job()
    other = second_job_of(job.customer)
    token = {
        "job": lambda: links.issue_job_link(job, now=NOW),
        "other job": lambda: links.issue_job_link(other, now=NOW),
        "sign_in": lambda: links.issue_sign_in_link(job.customer, now=NOW),
        "draft": lambda: links.issue_draft_link(draft_of(job.customer), now=NOW),
        "draft of the first booking": lambda: links.issue_draft_link(job.booking, now=NOW),
    }[purpose]()
    assert links.look_at_link(token, now=NOW)
    renew_links(job)
    with pytest.raises(links.LinkRefused):
        links.redeem_link(token, now=NOW)


def test_a_booking_sent_from_a_page_that_was_shut_out_meanwhile_is_refused_in_words():
    job = make_job()
    draft = draft_of(job.customer)
    renew_links(job)
    with pytest.raises(SubmissionConflict, match="newest mail"):
        bookings.send_booking(draft.reference, now=NOW, let_in_as=job.customer.pk)


def test_the_links_of_another_customer_and_the_new_one_still_open():
    job, other = make_job(), make_job(name="Bram Dunnage")
    kept = links.issue_job_link(other, now=NOW)
    renew_links(job)
    fresh = links.issue_job_link(job, now=NOW)
    assert [links.redeem_link(token, now=NOW).job for token in (kept, fresh)] == [other, job]


def test_the_log_says_how_many_and_why_and_a_new_link_is_mailed():
    job = make_job()
    for _ in range(3):
        links.issue_job_link(job, now=NOW)
    links.issue_sign_in_link(job.customer, now=NOW - timedelta(minutes=11))
    renew_links(job)
    facts = JobEvent.objects.get(kind="links_renewed").facts
    assert (facts["closed"], facts["reason"], facts["is_mailed"]) == (3, "The phone was lost.", True)
    assert waiting(kind="links_renewed").get().recipient == "ada@example.com"
    assert PrivateLink.objects.filter(revoked_at=None).count() == 0


def test_an_unsent_booking_is_taken_from_every_browser_and_its_new_link_mailed():
    job = make_job()
    draft = draft_of(job.customer)
    bookings.mail_draft_link(draft, email="stranger@example.com", now=NOW)
    references = set(Booking.objects.values_list("reference", flat=True))
    renew_links(job)
    assert references & set(Booking.objects.values_list("reference", flat=True)) == set()
    mailed = waiting(kind="draft_link").get()
    assert (mailed.recipient, mailed.payload) == ("ada@example.com", {"booking": draft.pk})


def test_another_address_is_on_file_from_then_on_and_the_log_does_not_say_which():
    job = make_job()
    other, draft = second_job_of(job.customer), draft_of(job.customer)
    find_job.mail_sign_in_links("ada@example.com", now=NOW)
    renew_links(job, email="ada@new.example.com")
    job.customer.refresh_from_db()
    assert (job.customer.email, job.customer.version) == ("ada@new.example.com", 2)
    assert set(waiting().values_list("recipient", flat=True)) == {"ada@new.example.com"}
    assert not waiting(kind="sign_in").exists()
    draft.refresh_from_db()
    assert bookings.answers_of(draft).email == "ada@new.example.com"
    assert "example.com" not in repr(list(JobEvent.objects.values("facts")))
    assert JobEvent.objects.get(kind="details_changed").job == other


def test_without_an_address_the_links_are_closed_and_nothing_is_mailed():
    job = make_job()
    token = links.issue_job_link(job, now=NOW)
    draft_of(job.customer)
    renew_links(job, email="")
    with pytest.raises(links.LinkRefused):
        links.redeem_link(token, now=NOW)
    assert not waiting().exists()
    assert JobEvent.objects.get(kind="links_renewed").facts["is_mailed"] is False


@pytest.mark.parametrize("stage", ["booked", "inspected", "closed", "declined"])
def test_links_are_closed_at_every_stage_and_the_job_stays_where_it_stands(stage):
    job = make_job(stage=stage)
    assert renew_links(job, now=NOW + timedelta(days=60)).stage == stage


def renew(number, **changed):
    given = {"email": "ada@example.com", "reason": "Lost.", "actor": WORKSHOP, "expected_count": None}
    return link_renewal.renew_links(number, now=LATER, **(given | changed))


def test_a_reason_a_customer_and_the_page_as_it_stands_are_needed():
    job = make_job()
    with pytest.raises(MissingFact, match="why"):
        renew(job.number, reason=" ")
    with pytest.raises(MissingFact, match="no customer"):
        renew(make_box().number)
    with pytest.raises(StaleEdit):
        renew(job.number, expected_count=0)
    assert not JobEvent.objects.filter(kind="links_renewed").exists()


def test_the_shop_closes_links_and_a_customer_does_not():
    job = make_job()
    assert renew(job.number, actor=OWNER)
    with pytest.raises(IllegalTransition):
        renew(job.number, actor=bookings.Actor(role=bookings.Role.CUSTOMER, name="Ada Thornby"))


def claimed(**narrowed):
    """Return a mail as a worker read it when it took it."""
    return OutboxMessage.objects.filter(**narrowed).latest("pk")


def test_a_mail_in_a_workers_hands_while_links_are_closed_goes_to_the_new_address():
    job = make_job()
    message = claimed(job=job)
    renew_links(job, email="new@example.com")
    assert messages._send(message, now=LATER)
    assert [sent.to for sent in mail.outbox] == [["new@example.com"]]


def test_a_draft_link_in_a_workers_hands_while_links_are_closed_is_not_sent():
    job = make_job()
    bookings.mail_draft_link(draft_of(job.customer), email="ada@example.com", now=NOW)
    message = claimed(kind="draft_link")
    renew_links(job)
    assert not messages._send(message, now=LATER)
    assert mail.outbox == []
