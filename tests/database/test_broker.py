"""With Redis, Celery drains the same outbox; a dead or deaf Redis never keeps a request waiting."""

import os
import signal
import socket
import subprocess
import sys
import time
from datetime import UTC, datetime

import pytest
from django.conf import settings
from django.db import connection

from jobs.models import OutboxMessage
from jobs.services.sign_in_mail import queue_sign_in_mail
from tests.conventions.sources import ROOT

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


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


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_celery_drains_the_same_outbox(tmp_path):
    redis_url = os.environ.get("TEST_REDIS_URL")
    if not redis_url or connection.vendor != "postgresql":
        pytest.skip("Needs TEST_REDIS_URL and TEST_DATABASE_URL; .ci/run sets both.")
    at = connection.settings_dict
    secret = f":{at['PASSWORD']}" if at["PASSWORD"] else ""
    environment = {
        "PATH": os.environ["PATH"],
        "DATA_DIR": str(tmp_path),
        "REDIS_URL": redis_url,
        "DATABASE_URL": f"postgresql://{at['USER']}{secret}@{at['HOST']}:{at['PORT']}/{at['NAME']}",
    }
    queue()
    process = subprocess.Popen(
        [sys.executable, "-m", "celery", "-A", "portal.celery", "worker", "--beat", "--concurrency", "1"],
        cwd=ROOT,
        env=environment,
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
