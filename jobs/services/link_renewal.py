"""Closing every way into a customer's pages at once, and mailing a fresh one."""

from dataclasses import replace
from datetime import datetime
from uuid import uuid4

from django.db import transaction
from django.db.models import Q

from jobs.domain.actors import Actor
from jobs.domain.booking import BookingAnswers
from jobs.domain.errors import MissingFact
from jobs.domain.facts import LinksRenewed
from jobs.domain.stages import EventKind
from jobs.models import Booking, Customer, Job, OutboxMessage, PrivateLink
from jobs.services._steps import lock_job, note_details_changed, queue_message
from packing.plain import from_plain, to_plain


@transaction.atomic(durable=True)
def renew_links(
    number: str, *, email: str, reason: str, actor: Actor, now: datetime, expected_count: int | None
) -> Job:
    """Close every link of this job's customer, whatever it opens, and mail a new one to `email`.

    A browser that was let in by any of them is shut out at its next request, on all jobs of the customer, and
    one that writes a booking of theirs has to open it by a new link. An `email` other than the one on file is
    on file from now on; without one nothing is mailed.
    Raises: MissingFact without a reason or without a customer.
    """
    if not reason.strip():
        raise MissingFact("Say why the links are closed: the log keeps it.")
    customer = (
        Customer.objects.select_for_update(of=("self",), no_key=True).filter(jobs__number=number).first()
    )
    log = lock_job(number, expected_count=expected_count)
    if customer is None:
        raise MissingFact("This job has no customer yet, so there are no links to it.")
    old_email = customer.email
    is_moved = email.strip() != old_email
    if is_moved:
        customer.email = email.strip()
        customer.version += 1
        customer.save(update_fields=["email", "version"])
        note_details_changed(
            customer, besides=log.job, words="The mail address was changed.", actor=actor, now=now
        )
    closed = _revoke_links(customer, now=now)
    drafts = _take_bookings_back(customer, old_email=old_email)
    _redirect_waiting_mails(customer, drafts=drafts)
    facts = LinksRenewed(
        reason=reason.strip(), closed=closed, is_mailed=bool(customer.email), is_address_changed=is_moved
    )
    entry = log.record(EventKind.LINKS_RENEWED, facts=facts, actor=actor, now=now)
    for draft in drafts if customer.email else ():
        queue_message(
            "draft_link",
            key=f"renewed.{draft}.{log.job.number}.{entry.number}",
            recipient=customer.email,
            payload={"booking": draft},
            job=None,
            now=now,
        )
    return log.job


def _revoke_links(customer: Customer, *, now: datetime) -> int:
    """Return how many links were closed that had not run out."""
    theirs = Q(customer=customer) | Q(job__customer=customer) | Q(booking__customer=customer)
    standing = PrivateLink.objects.filter(theirs, revoked_at=None)
    running = standing.filter(Q(expires_at=None) | Q(expires_at__gt=now)).count()
    standing.update(revoked_at=now)
    return running


def _take_bookings_back(customer: Customer, *, old_email: str) -> list[int]:
    """Return the customer's unsent bookings; what a browser's session keeps names none of theirs any more.

    One that was sent in counts too: the browser that sent it is let in to its job. An unsent one in which the
    address on file stood takes over the new one.
    """
    bookings = list(Booking.objects.filter(customer=customer).order_by("pk"))
    drafts = [booking for booking in bookings if booking.job_id is None]
    for booking in bookings:
        booking.reference = uuid4()
    for draft in drafts:
        answers = from_plain(BookingAnswers, draft.answers)
        if customer.email and answers.email == old_email:
            draft.answers = to_plain(replace(answers, email=customer.email))
    Booking.objects.bulk_update(bookings, ["reference", "answers"])
    return [draft.pk for draft in drafts]


def _redirect_waiting_mails(customer: Customer, *, drafts: list[int]) -> None:
    """Have no mail that is still to go out carry a new link to where the old ones went."""
    unsent = OutboxMessage.objects.exclude(state="sent")
    unsent.filter(kind="draft_link", payload__booking__in=drafts).delete()
    unsent.filter(kind="sign_in", payload__customer=customer.pk).delete()
    about_jobs = unsent.filter(job__customer=customer)
    if customer.email:
        about_jobs.update(recipient=customer.email)
    else:
        about_jobs.delete()
