"""No mail is lost and none is sent twice in a normal run; a killed worker costs at most one copy."""

import os
import signal
from datetime import timedelta
from functools import partial

import pytest
from django.db import connections

from jobs.models import OutboxMessage
from jobs.services import messages
from jobs.services.sign_in_mail import queue_sign_in_mail
from tests.database import mailbox
from tests.database.crowd import at_once
from tests.factories import NOW

pytestmark = pytest.mark.django_db(transaction=True)
AFTER_LEASE = NOW + messages.LEASE + timedelta(seconds=1)


@pytest.fixture(autouse=True)
def _file_mailbox(settings, tmp_path):
    settings.MAILBOX_FILE = tmp_path / "mailbox"
    settings.EMAIL_BACKEND = "tests.database.mailbox.NotingMailbox"


def queue(count):
    for number in range(count):
        queue_sign_in_mail(
            f"p{number}@quillfeather.example", key=f"k{number}", link="http://testserver/x/", now=NOW
        )


def deliver_in_a_process_that_dies(settings, *, now):
    """Run one round in a child whose mailbox kills it after taking the mail."""
    connections.close_all()
    child = os.fork()
    if child == 0:
        try:
            settings.EMAIL_BACKEND = "tests.database.mailbox.DeadlyMailbox"
            messages.deliver_due(now=now, limit=1)
        finally:
            os._exit(1)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL


def test_eight_workers_at_once_send_each_mail_once():
    queue(60)
    crowd = at_once(*[partial(messages.deliver_due, now=NOW, limit=30)] * 8)
    assert crowd.raised == []
    assert sum(count.sent for count in crowd.answers) == len(mailbox.taken()) == 60
    assert len(set(mailbox.taken())) == 60
    assert set(OutboxMessage.objects.values_list("state", "tries")) == {("sent", 1)}


def test_a_worker_killed_between_sending_and_marking_costs_one_copy_with_the_same_id(settings):
    queue(2)
    deliver_in_a_process_that_dies(settings, now=NOW)
    first = OutboxMessage.objects.order_by("pk").first()
    assert (first.state, first.sent_at, first.tries) == ("sending", None, 1)

    before_lease = messages.deliver_due(now=NOW + timedelta(minutes=1), limit=10)
    assert before_lease.sent == 1
    assert messages.deliver_due(now=AFTER_LEASE, limit=10).sent == 1

    lines = mailbox.taken()
    assert len(lines) == 3
    assert lines[0] == lines[2] != lines[1]
    assert set(OutboxMessage.objects.values_list("state", flat=True)) == {"sent"}


def test_workers_that_are_killed_again_and_again_lose_nothing(settings):
    queue(6)
    now = NOW
    for _ in range(6):
        deliver_in_a_process_that_dies(settings, now=now)
        now += timedelta(seconds=1)
    assert messages.deliver_due(now=AFTER_LEASE + timedelta(seconds=6), limit=50).sent == 6
    lines = mailbox.taken()
    assert len(lines) == 12
    assert {lines.count(line) for line in lines} == {2}


def test_a_mail_whose_workers_always_die_is_given_up_instead_of_sent_for_ever(settings):
    queue(1)
    now = NOW
    for _ in range(messages.MOST_TRIES):
        deliver_in_a_process_that_dies(settings, now=now)
        now += messages.LEASE + timedelta(seconds=1)
    assert messages.deliver_due(now=now, limit=10) == messages.DeliveryCount(given_up=1)
    message = OutboxMessage.objects.get()
    assert message.state == "given_up"
    assert "stopped" in message.last_error
    assert len(mailbox.taken()) == messages.MOST_TRIES
