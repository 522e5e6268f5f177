"""What happens because time passes: reminders, jobs that close by themselves, drafts and sessions let go."""

from datetime import datetime, timedelta
from uuid import uuid4

from django.contrib.sessions.models import Session
from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet

from jobs.domain.actors import system_actor
from jobs.domain.booking import DRAFT_DAYS
from jobs.domain.errors import JobsError
from jobs.domain.facts import NoFacts
from jobs.domain.stages import EventKind, HoldKind, Stage
from jobs.models import Booking, Job, OutboxMessage, Photo, PrivateLink
from jobs.selectors import shop
from jobs.selectors.listing import PAPERS
from jobs.selectors.questions import answer_waits
from jobs.services._outdated import reminder_stem
from jobs.services._steps import lock_job, queue_message

DRAFTS_A_ROUND = 20


def do_upkeep(*, now: datetime) -> int:
    """Return how many reminders were queued and jobs closed; safe to run at any time and twice."""
    count = queue_reminders(now=now) + close_returned(now=now)
    forget_sessions(now=now)
    delete_old_drafts(now=now)
    return count


def queue_reminders(*, now: datetime) -> int:
    """Return how many reminders were queued; each day count is reminded of once a wait for an answer.

    A held unit waits for it, and a booking on which the shop has asked.
    """
    count = 0
    reminder_days = shop.identity().reminder_days
    may_wait = Q(hold=HoldKind.ANSWER.value) | Q(stage=Stage.BOOKED.value)
    jobs = list(Job.objects.filter(may_wait).defer(*PAPERS).select_related("customer"))
    for job, wait in answer_waits(jobs):
        if job.customer is None or not job.customer.email:
            continue
        passed = [days for days in reminder_days if now - wait.asked_at >= timedelta(days)]
        if not passed:
            continue
        with transaction.atomic(durable=True):
            count += queue_message(
                "reminder",
                key=f"{reminder_stem(job, wait=wait)}{max(passed)}",
                recipient=job.customer.email,
                payload={"asked": wait.text},
                job=job,
                now=now,
            )
    return count


def close_returned(*, now: datetime) -> int:
    """Return how many jobs were closed because their unit has been back long enough without a word."""
    count = 0
    before = now - timedelta(days=shop.identity().close_after_days)
    for number in Job.objects.filter(stage=Stage.SENT_BACK.value, stage_since__lt=before).values_list(
        "number", flat=True
    ):
        with transaction.atomic(durable=True):
            try:
                log = lock_job(number, expected_count=None)
                facts = NoFacts(note="closed by itself")
                log.record(EventKind.CLOSED, facts=facts, actor=system_actor("upkeep"), now=now)
            except JobsError:
                continue
        count += 1
    return count


def forget_sessions(*, now: datetime) -> int:
    """Return how many sessions were deleted whose time is over; they may hold what somebody typed."""
    return Session.objects.filter(expire_date__lt=now).delete()[0]


def delete_old_drafts(*, now: datetime) -> int:
    """Return how many bookings were deleted that nobody sent in and no link opens any more; a few a round."""
    opening = PrivateLink.objects.filter(booking=OuterRef("pk"), expires_at__gt=now, revoked_at=None)
    before = now - timedelta(days=DRAFT_DAYS)
    old = Booking.objects.filter(~Exists(opening), job=None, saved_at__lt=before)
    found = list(old.order_by("saved_at").values_list("pk", flat=True)[:DRAFTS_A_ROUND])
    return sum(_delete_draft(booking_id, old=old) for booking_id in found)


def _delete_draft(booking_id: int, *, old: "QuerySet[Booking]") -> bool:
    """Return whether the booking was deleted; files go first: a crash leaves none that no row names."""
    with transaction.atomic(durable=True):
        # Under a new reference no browser finds it: nothing is added or sent in while its files go.
        if not old.filter(pk=booking_id).update(reference=uuid4()):
            return False
    for photo in Photo.objects.filter(booking=booking_id):
        for file in (photo.raw, photo.page, photo.thumb):
            if file:
                file.delete(save=False)
    with transaction.atomic(durable=True):
        # In the order of whoever closes a customer's links: its links, the booking, its mails.
        Booking.objects.filter(pk=booking_id, job=None).delete()
        mails = OutboxMessage.objects.filter(kind="draft_link", payload__booking=booking_id)
        mails.exclude(state="sent").delete()
    return True
