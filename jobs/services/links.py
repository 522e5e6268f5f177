"""Private links: issue, look at, redeem. Only the SHA-256 of a token is stored."""

import secrets
from datetime import datetime, timedelta
from hashlib import sha256

from django.db import transaction
from django.db.models import Q

from jobs.domain.booking import DRAFT_DAYS
from jobs.domain.errors import JobsError
from jobs.models import Booking, Customer, Job, PrivateLink

TOKEN_BYTES = 32
JOB_LINK_DAYS = 400
SIGN_IN_MINUTES = 10


class LinkRefused(JobsError):
    """The link is unknown, used, too old or revoked; the sentence says what to do."""


def hash_token(token: str) -> str:
    """Return what is stored of a token."""
    return sha256(token.encode()).hexdigest()


@transaction.atomic
def issue_job_link(job: Job, *, now: datetime) -> str:
    """Return a new token that opens the pages of this job's customer."""
    return _issue("job", now=now, lasts=timedelta(days=JOB_LINK_DAYS), job=job, customer=job.customer)


@transaction.atomic(durable=True)
def open_for_sender(job: Job, *, now: datetime) -> PrivateLink:
    """Return a link that counts as opened, for the browser that has just sent this booking in.

    Nobody is mailed and the token is thrown away: the row is what the browser's grant stands on.
    """
    token = _issue("job", now=now, lasts=timedelta(days=JOB_LINK_DAYS), job=job, customer=job.customer)
    link = look_at_link(token, now=now)
    PrivateLink.objects.filter(pk=link.pk).update(used_at=now)
    return link


@transaction.atomic
def issue_draft_link(booking: Booking, *, now: datetime) -> str:
    """Return a new token that opens this unfinished booking."""
    return _issue("draft", now=now, lasts=timedelta(days=DRAFT_DAYS), booking=booking)


@transaction.atomic
def issue_sign_in_link(customer: Customer, *, now: datetime) -> str:
    """Return a new token that lets this customer in once, within ten minutes."""
    return _issue("sign_in", now=now, lasts=timedelta(minutes=SIGN_IN_MINUTES), customer=customer)


def look_at_link(token: str, *, now: datetime) -> PrivateLink:
    """Return the link without using it, so that a mail scanner's visit changes nothing.

    Raises: LinkRefused.
    """
    link = (
        PrivateLink.objects.select_related("customer", "booking", "job")
        .filter(token_hash=hash_token(token))
        .first()
    )
    if link is None or link.revoked_at is not None:
        raise LinkRefused(
            "It may have been cut short in the mail, or the shop has closed it. Ask for a new one below."
        )
    if link.expires_at is not None and link.expires_at <= now:
        raise LinkRefused("This link is too old. Ask for a new one below.")
    if link.purpose == "sign_in" and link.used_at is not None:
        raise LinkRefused("This link has been used; it works once. Ask for a new one below.")
    return link


@transaction.atomic(durable=True)
def redeem_link(token: str, *, now: datetime) -> PrivateLink:
    """Return the link after using it; of two that redeem a single-use link at once, one is refused.

    Raises: LinkRefused.
    """
    link = look_at_link(token, now=now)
    fresh = Q(used_at__isnull=True) if link.purpose == "sign_in" else Q()
    if PrivateLink.objects.filter(fresh, pk=link.pk, revoked_at__isnull=True).update(used_at=now) != 1:
        raise LinkRefused("This link has been used; it works once. Ask for a new one below.")
    return link


def _issue(
    purpose: str,
    *,
    now: datetime,
    lasts: timedelta,
    job: Job | None = None,
    booking: Booking | None = None,
    customer: Customer | None = None,
) -> str:
    token = secrets.token_urlsafe(TOKEN_BYTES)
    PrivateLink.objects.create(
        purpose=purpose,
        token_hash=hash_token(token),
        job=job,
        booking=booking,
        customer=customer,
        created_at=now,
        expires_at=now + lasts,
    )
    return token
