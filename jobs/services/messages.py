"""Delivering the outbox: claim, check, send, mark; retry with back-off; give up onto the owner's page."""

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta
from time import monotonic

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.db import transaction
from django.db.models import F, Q

from jobs.messages.catalogue import ComposedMessage
from jobs.messages.compose import compose
from jobs.models import Customer, OutboxMessage
from jobs.services._outdated import why_outdated

logger = logging.getLogger(__name__)
LEASE = timedelta(minutes=5)
MOST_TRIES = 6
FIRST_WAIT_S = 30


@dataclass(frozen=True, slots=True)
class DeliveryCount:
    """How many mails one run sent, put off, gave up, and dropped because they were no longer true."""

    sent: int = 0
    put_off: int = 0
    given_up: int = 0
    dropped: int = 0


def deliver_due(*, now: datetime, limit: int) -> DeliveryCount:
    """Return the count of what happened to at most `limit` due mails.

    Each mail is sent first and marked after: a crash between the two sends it twice, never loses it; both
    copies carry the same Message-ID. What was taken back or ended meanwhile is not sent; its row says so.
    """
    sent = put_off = dropped = 0
    given_up = _give_up_stopped(now=now)
    began = monotonic()
    for _ in range(limit):
        # Leases count from `now`: a slow mail server must not make this run outlive those it still takes.
        message = _claim(now=now) if monotonic() - began < LEASE.total_seconds() / 2 else None
        if message is None:
            break
        try:
            if _drop(message) or not _send(message, now=now):
                dropped += 1
                continue
        except Exception as fault:
            logger.exception("mail %s failed", message.pk)
            if _put_off(message, fault=fault, now=now):
                put_off += 1
            else:
                given_up += 1
        else:
            # The payload may hold a sign-in link: nothing of it is needed once the mail is out.
            OutboxMessage.objects.filter(pk=message.pk).update(
                state="sent", sent_at=now, lease_until=None, last_error="", payload={}
            )
            sent += 1
    return DeliveryCount(sent=sent, put_off=put_off, given_up=given_up, dropped=dropped)


@transaction.atomic(durable=True)
def try_again(message_id: int, *, now: datetime) -> bool:
    """Return whether a given-up mail was put back in the queue."""
    return bool(
        OutboxMessage.objects.filter(pk=message_id, state="given_up").update(
            state="waiting", tries=0, run_after=now, last_error=""
        )
    )


def _claim(*, now: datetime) -> OutboxMessage | None:
    """Return one due mail that is now this worker's for the length of the lease."""
    due = Q(state="waiting", run_after__lte=now) | Q(state="sending", lease_until__lte=now)
    for pk in OutboxMessage.objects.filter(due).order_by("run_after", "pk").values_list("pk", flat=True)[:20]:
        claimed = OutboxMessage.objects.filter(due, pk=pk).update(
            state="sending", lease_until=now + LEASE, tries=F("tries") + 1
        )
        if claimed == 1:
            return OutboxMessage.objects.select_related("job", "job__customer").get(pk=pk)
    return None


def _give_up_stopped(*, now: datetime) -> int:
    """Return how many mails were given up because every worker that took them was stopped on the way."""
    return OutboxMessage.objects.filter(state="sending", lease_until__lte=now, tries__gte=MOST_TRIES).update(
        state="given_up",
        lease_until=None,
        last_error="Every worker that took this mail was stopped before it could say that it was sent.",
    )


def _drop(message: OutboxMessage) -> bool:
    """Return whether the mail is not to be sent any more; its row keeps the reason."""
    reason = why_outdated(message)
    if reason:
        OutboxMessage.objects.filter(pk=message.pk).update(
            state="dropped", lease_until=None, last_error=reason, payload={}
        )
    return bool(reason)


def _send(message: OutboxMessage, *, now: datetime) -> bool:
    """Return whether the mail was sent; False where it was taken out of the outbox meanwhile."""
    addressed = _compose_for(message, now=now)
    if addressed is None:
        return False
    composed, recipient = addressed
    mail = EmailMultiAlternatives(
        subject=composed.subject,
        body=composed.text,
        to=[recipient],
        headers={"Message-ID": f"<outbox-{message.pk}@{_mail_domain()}>"},
    )
    mail.attach_alternative(composed.html, "text/html")
    mail.send()
    return True


@transaction.atomic(durable=True)
def _compose_for(message: OutboxMessage, *, now: datetime) -> tuple[ComposedMessage, str] | None:
    """Return the mail with where it goes now, None where its row is gone.

    Under the customer's lock: when their links are closed, the one made here is either closed with them or
    goes to the address that stands then.
    """
    of_booking = Q(bookings=message.payload["booking"]) if "booking" in message.payload else Q(pk__in=[])
    theirs = Q(jobs=message.job_id) if message.job_id else Q(pk=message.payload.get("customer"))
    rows = Customer.objects.select_for_update(of=("self",), no_key=True)
    rows.filter(pk__in=Customer.objects.filter(theirs | of_booking).values("pk")).first()
    recipient = OutboxMessage.objects.filter(pk=message.pk).values_list("recipient", flat=True).first()
    return None if recipient is None else (compose(message, now=now), recipient)


def _put_off(message: OutboxMessage, *, fault: Exception, now: datetime) -> bool:
    """Return whether the mail will be tried again."""
    again = message.tries < MOST_TRIES
    wait = timedelta(seconds=FIRST_WAIT_S * 4 ** (message.tries - 1))
    # Only while the lease is still this worker's: another may have taken the mail over and sent it.
    OutboxMessage.objects.filter(pk=message.pk, state="sending", lease_until=message.lease_until).update(
        state="waiting" if again else "given_up",
        run_after=now + wait,
        lease_until=None,
        last_error=f"{type(fault).__name__}: {fault}"[:300],
    )
    return again


def _mail_domain() -> str:
    return settings.SITE_URL.split("//")[-1].split(":")[0].split("/")[0]
