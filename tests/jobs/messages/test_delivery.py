"""One mail through the outbox: sent once, tried again later and later, given up in the end."""

from datetime import timedelta
from email.utils import parseaddr

import pytest
from django.core import mail
from django.core.mail.backends.base import BaseEmailBackend
from django.db import transaction

from jobs.domain.facts import Words
from jobs.domain.stages import EventKind
from jobs.models import JobEvent, OutboxMessage
from jobs.services import messages
from jobs.services._steps import lock_job, queue_message
from jobs.services.sign_in_mail import queue_sign_in_mail
from tests.factories import NOW, WORKSHOP, make_box, make_job

pytestmark = pytest.mark.django_db
ADDRESS = "bench@quillfeather.example"


class BrokenMailbox(BaseEmailBackend):
    """A mail server that is away."""

    def send_messages(self, messages):
        raise ConnectionRefusedError("the mail server is away")


class TakenOverMailbox(BaseEmailBackend):
    """A mail server so slow that the lease runs out and another worker sends the mail meanwhile."""

    def send_messages(self, messages):
        OutboxMessage.objects.update(state="sent", sent_at=NOW, lease_until=None)
        raise TimeoutError("no answer after the mail was handed over")


def queue(key="k", *, now=NOW):
    queue_sign_in_mail(ADDRESS, key=key, link="http://testserver/account/sign-in/x/", now=now)
    return OutboxMessage.objects.get(key=key)


def break_mail(settings):
    settings.EMAIL_BACKEND = f"{__name__}.BrokenMailbox"


def mend_mail(settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"


def test_a_mail_is_sent_once_and_marked():
    message = queue()
    assert messages.deliver_due(now=NOW, limit=10) == messages.DeliveryCount(sent=1)
    assert messages.deliver_due(now=NOW + timedelta(days=1), limit=10) == messages.DeliveryCount()
    message.refresh_from_db()
    assert (message.state, message.sent_at, message.tries, message.lease_until) == ("sent", NOW, 1, None)
    assert [sent.to for sent in mail.outbox] == [[ADDRESS]]


def test_what_a_sign_in_mail_carried_is_forgotten_once_it_is_out():
    message = queue()
    assert message.payload
    messages.deliver_due(now=NOW, limit=10)
    message.refresh_from_db()
    assert message.payload == {}


def test_a_round_takes_no_more_than_it_was_given():
    for number in range(5):
        queue(f"k{number}")
    assert messages.deliver_due(now=NOW, limit=3).sent == 3
    assert OutboxMessage.objects.filter(state="waiting").count() == 2


def test_a_mail_whose_log_cannot_be_read_keeps_no_other_back():
    job = make_job()
    last = JobEvent.objects.filter(job=job).latest("number")
    broken = {"kind": "corrected", "facts": {"corrects": "the last"}, "number": last.number + 1}
    JobEvent.objects.create(
        job=job, actor_role="workshop", happened_at=NOW, recorded_at=NOW, facts_version=1, **broken
    )
    queue(now=NOW + timedelta(seconds=1))
    count = messages.deliver_due(now=NOW + timedelta(minutes=1), limit=10)
    assert (count.put_off, count.sent) == (1, 1)
    assert OutboxMessage.objects.get(job=job).last_error


def test_a_mail_waits_until_its_time():
    queue(now=NOW + timedelta(seconds=1))
    assert messages.deliver_due(now=NOW, limit=10).sent == 0
    assert messages.deliver_due(now=NOW + timedelta(seconds=1), limit=10).sent == 1


def test_a_mail_another_worker_holds_is_left_alone_until_its_lease_ends():
    message = queue()
    lease_until = NOW + messages.LEASE
    OutboxMessage.objects.update(state="sending", lease_until=lease_until, tries=1)
    assert messages.deliver_due(now=lease_until - timedelta(seconds=1), limit=10).sent == 0
    assert messages.deliver_due(now=lease_until, limit=10).sent == 1
    message.refresh_from_db()
    assert (message.state, message.tries) == ("sent", 2)


def test_a_worker_that_lost_its_lease_does_not_put_back_what_another_sent(settings):
    message = queue()
    settings.EMAIL_BACKEND = f"{__name__}.TakenOverMailbox"
    messages.deliver_due(now=NOW, limit=1)
    message.refresh_from_db()
    assert message.state == "sent"


def test_every_failure_waits_four_times_as_long(settings):
    break_mail(settings)
    message, now, waits = queue(), NOW, []
    for _ in range(messages.MOST_TRIES - 1):
        assert messages.deliver_due(now=now, limit=10) == messages.DeliveryCount(put_off=1)
        message.refresh_from_db()
        waits.append((message.run_after - now).total_seconds())
        assert messages.deliver_due(now=message.run_after - timedelta(seconds=1), limit=10).put_off == 0
        now = message.run_after
    assert waits == [30, 120, 480, 1920, 7680]


def test_after_the_last_try_it_is_given_up_with_the_reason_and_can_be_sent_again(settings):
    break_mail(settings)
    message, now = queue(), NOW
    for _ in range(messages.MOST_TRIES - 1):
        messages.deliver_due(now=now, limit=10)
        message.refresh_from_db()
        now = message.run_after
    assert messages.deliver_due(now=now, limit=10) == messages.DeliveryCount(given_up=1)
    message.refresh_from_db()
    assert (message.state, message.tries) == ("given_up", messages.MOST_TRIES)
    assert message.last_error == "ConnectionRefusedError: the mail server is away"
    assert messages.deliver_due(now=now + timedelta(days=9), limit=10) == messages.DeliveryCount()

    mend_mail(settings)
    assert messages.try_again(message.pk, now=now)
    assert messages.deliver_due(now=now, limit=10).sent == 1
    assert not messages.try_again(message.pk, now=now)


def test_one_mail_that_cannot_be_sent_does_not_stop_the_others():
    queue("first")
    OutboxMessage.objects.update(payload={"customer": 999_999})
    queue("second")
    assert messages.deliver_due(now=NOW, limit=10) == messages.DeliveryCount(sent=1, put_off=1)


def test_a_second_mail_of_the_same_key_is_the_first():
    arguments = {"recipient": ADDRESS, "payload": {}, "job": None, "now": NOW}
    assert queue_message("sign_in", key="same", **arguments)
    assert not queue_message("sign_in", key="same", **arguments)
    assert OutboxMessage.objects.count() == 1


def test_the_id_of_a_mail_stays_the_same_over_all_its_tries(settings):
    message = queue()
    break_mail(settings)
    messages.deliver_due(now=NOW, limit=1)
    mend_mail(settings)
    message.refresh_from_db()
    messages.deliver_due(now=message.run_after, limit=1)
    OutboxMessage.objects.update(state="given_up", payload={"link": "http://testserver/x/"})
    messages.try_again(message.pk, now=NOW)
    messages.deliver_due(now=NOW, limit=1)
    ids = [sent.extra_headers["Message-ID"] for sent in mail.outbox]
    assert ids == [f"<outbox-{message.pk}@testserver>"] * 2


def test_a_rolled_back_step_leaves_no_mail():
    job = make_job()
    before = OutboxMessage.objects.count()
    with transaction.atomic():
        log = lock_job(job.number, expected_count=None)
        asked = Words(text="Which engine?")
        log.record(EventKind.QUESTION_ASKED, facts=asked, actor=WORKSHOP, now=NOW)
        assert OutboxMessage.objects.count() == before + 1
        transaction.set_rollback(True)
    assert OutboxMessage.objects.count() == before
    job.refresh_from_db()
    assert job.event_count == 1


def test_a_job_without_an_address_queues_nothing():
    make_box()
    assert not OutboxMessage.objects.exists()


def test_the_sender_is_the_shop(settings):
    queue()
    messages.deliver_due(now=NOW, limit=1)
    assert parseaddr(mail.outbox[0].from_email)[1] == settings.DEFAULT_FROM_EMAIL
