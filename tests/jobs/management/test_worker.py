"""The worker goes on when one kind of work fails, and waits longer each time before it tries that again."""

from datetime import UTC, datetime, timedelta

import pytest
from django.core import mail
from django.core.management import call_command

from jobs.management.commands.worker import LONGEST_WAIT, Work, do_round
from jobs.models import OutboxMessage
from jobs.services.sign_in_mail import queue_sign_in_mail

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


class Clock:
    def __init__(self):
        self.now = NOON

    def __call__(self):
        return self.now


def failing(_now):
    raise OSError("the mail server is away")


def test_one_failing_kind_does_not_stop_the_others():
    done = []
    work = [Work("bad", failing), Work("good", lambda now: done.append(now) or False)]
    assert do_round(work, clock=Clock()) is False
    assert done == [NOON]
    assert work[0].failures == 1


def test_a_failing_kind_is_left_alone_longer_each_time():
    clock, bad = Clock(), Work("bad", failing)
    waits = []
    for _ in range(12):
        do_round([bad], clock=clock)
        waits.append(bad.not_before - clock.now)
        clock.now = bad.not_before - timedelta(seconds=1)
        failures = bad.failures
        do_round([bad], clock=clock)
        assert bad.failures == failures
        clock.now = bad.not_before
    assert waits[:3] == [timedelta(seconds=2), timedelta(seconds=4), timedelta(seconds=8)]
    assert waits[-1] == LONGEST_WAIT


def test_a_success_forgets_the_failures():
    work = Work("mended", lambda _now: True, failures=3)
    assert do_round([work], clock=Clock()) is True
    assert (work.failures, work.not_before) == (0, None)


@pytest.mark.django_db(transaction=True)
def test_a_queued_mail_is_sent_once_by_a_worker(monkeypatch):
    queue_sign_in_mail(
        "bench@quillfeather.example", key="sign-in.1", link="http://testserver/account/sign-in/x/", now=NOON
    )
    for _ in range(2):
        call_command("worker", "--once")
    assert [message.to for message in mail.outbox] == [["bench@quillfeather.example"]]
    assert "http://testserver/account/sign-in/x/" in mail.outbox[0].body
    assert OutboxMessage.objects.get().state == "sent"
