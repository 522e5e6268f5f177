"""Links closed while the customer sends a booking in: either comes first, and nobody meets a fault."""

from functools import partial

import pytest

from jobs.domain.booking import BookingStep
from jobs.domain.errors import JobsError
from jobs.models import Customer, Job
from jobs.services import bookings
from tests.database.crowd import at_once
from tests.factories import NOW, make_job, renew_links

pytestmark = pytest.mark.django_db(transaction=True)


def draft_of(customer, *, phone):
    """Return a booking that a known customer has begun, with another telephone number in it."""
    booking = bookings.start_booking(now=NOW, customer=customer)
    unit = {"family": "carburettor", "cannot_read": True, "fitted_to": "A launch", "own_words": "It floods."}
    for step in BookingStep:
        bookings.save_answers(booking, step=step, changes={**unit, "phone": phone}, now=NOW)
    return booking


def test_of_links_closed_and_bookings_sent_in_at_once_none_meets_a_fault():
    job = make_job()
    customer = Customer.objects.get()
    drafts = [draft_of(customer, phone=f"01632 960 {number}") for number in range(100, 130)]
    sent = [
        partial(bookings.send_booking, draft.reference, now=NOW, let_in_as=customer.pk) for draft in drafts
    ]
    closed = [partial(renew_links, Job.objects.get(pk=job.pk)) for _ in range(8)]
    crowd = at_once(*sent[:15], *closed, *sent[15:])
    assert [fault for fault in crowd.raised if not isinstance(fault, JobsError)] == []
    taken = [answer for answer in crowd.answers if answer.pk != job.pk]
    assert Job.objects.exclude(pk=job.pk).count() == len(taken)
