"""With Redis, Celery drains the same outbox; a dead or deaf Redis never keeps a request waiting."""

import os
import signal
import socket
import subprocess
import sys
import time
from contextlib import contextmanager
from datetime import UTC, datetime

import pytest
from django.conf import settings
from django.db import connection

from jobs.models import OutboxMessage
from jobs.services import messages
from jobs.services.sign_in_mail import queue_sign_in_mail
from tests.conventions.sources import ROOT
from tests.database.redis_server import a_redis
from tests.factories import make_booking

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


SEND = """
import sys, time
import django
django.setup()
from django.utils import timezone
from jobs.services.bookings import send_booking
from jobs.tasks import deliver_messages
from portal.celery import app
began = time.monotonic()
send_booking(sys.argv[1], now=timezone.now())
seconds = time.monotonic() - began
try:
    deliver_messages.apply_async(retry=False)
    tick = "sent"
except Exception as fault:
    tick = type(fault).__name__
print(seconds, tick)
"""


def own_environment(folder, *, redis_url):
    """Return the environment of another process of the same site: this database, that broker."""
    at = connection.settings_dict
    address = ""
    if connection.vendor == "postgresql":
        secret = f":{at['PASSWORD']}" if at["PASSWORD"] else ""
        address = f"postgresql://{at['USER']}{secret}@{at['HOST']}:{at['PORT']}/{at['NAME']}"
    else:
        # SQLite follows the link, so both processes share one file and one write-ahead log.
        (folder / "site.sqlite3").symlink_to(at["NAME"])
    return {
        "PATH": os.environ["PATH"],
        "DJANGO_SETTINGS_MODULE": "portal.settings.development",
        "DATA_DIR": str(folder),
        "REDIS_URL": redis_url,
        "DATABASE_URL": address,
    }


def queue():
    queue_sign_in_mail("bench@quillfeather.example", key="sign-in.1", link="http://testserver/x/", now=NOON)


def test_tasks_are_acknowledged_late_and_again_when_a_worker_dies():
    assert settings.CELERY_TASK_ACKS_LATE
    assert settings.CELERY_TASK_REJECT_ON_WORKER_LOST
    options = settings.CELERY_BROKER_TRANSPORT_OPTIONS
    assert options["visibility_timeout"] == 900
    assert options["socket_timeout"] == options["socket_connect_timeout"] == 1


def test_every_tick_of_beat_is_a_task_that_exists():
    from portal.celery import app

    app.loader.import_default_modules()
    ticks = {entry["task"] for entry in settings.CELERY_BEAT_SCHEDULE.values()}
    assert ticks
    assert ticks <= set(app.tasks)


@pytest.mark.django_db(transaction=True)
def test_a_request_never_talks_to_the_broker(client, person, monkeypatch):
    """The port refuses: any attempt to reach it would raise."""
    with socket.socket() as closed:
        closed.bind(("127.0.0.1", 0))
        port = closed.getsockname()[1]
    from portal.celery import app

    monkeypatch.setattr(app.conf, "broker_url", f"redis://127.0.0.1:{port}/0")
    person("workshop", email="bench@quillfeather.example")
    began = time.monotonic()
    assert client.post("/account/sign-in/mail/", {"email": "bench@quillfeather.example"}).status_code == 302
    assert time.monotonic() - began < 2
    assert OutboxMessage.objects.get().state == "waiting"


@contextmanager
def an_address(*, answers):
    """Yield a Redis address: of a closed port, or of a socket that accepts and never says a word."""
    with socket.socket() as deaf:
        deaf.bind(("127.0.0.1", 0))
        port = deaf.getsockname()[1]
        if answers:
            deaf.listen(16)
        else:
            deaf.close()
        yield f"redis://127.0.0.1:{port}/0"


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("answers", [False, True], ids=["closed port", "deaf socket"])
def test_a_booking_is_taken_at_once_and_its_mail_kept_while_redis_is_away(answers, tmp_path):
    """In a process of its own, set up with that Redis as an installation would be."""
    booking = make_booking()
    with an_address(answers=answers) as redis_url:
        run = subprocess.run(
            [sys.executable, "-c", SEND, str(booking.reference)],
            cwd=ROOT,
            env=own_environment(tmp_path, redis_url=redis_url),
            capture_output=True,
            text=True,
            check=True,
            timeout=60,
        )
    seconds, tick = run.stdout.split()
    assert float(seconds) < 2
    assert tick == "OperationalError"
    message = OutboxMessage.objects.get()
    assert (message.kind, message.state) == ("booking_received", "waiting")
    assert messages.deliver_due(now=message.run_after, limit=5).sent == 1


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_celery_drains_the_same_outbox(tmp_path):
    queue()
    with a_redis(tmp_path) as redis_url:
        process = subprocess.Popen(
            [sys.executable, "-m", "celery", "-A", "portal.celery", "worker", "--beat", "--concurrency", "1"],
            cwd=ROOT,
            env=own_environment(tmp_path, redis_url=redis_url),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        try:
            end = time.monotonic() + 60
            while OutboxMessage.objects.get().state != "sent" and time.monotonic() < end:
                time.sleep(0.2)
            state = OutboxMessage.objects.get().state
        finally:
            process.send_signal(signal.SIGTERM)
            said, _ = process.communicate(timeout=30)
    assert state == "sent", said
    assert len(list((tmp_path / "mail").iterdir())) == 1
