"""How does the whole site run from one command?

The web server and the worker are children of one parent, which starts the worker again when it dies, and
stops both cleanly when it is told to stop.

If the parent itself is killed, the system tells both children to stop, so that none is left behind.
"""

import ctypes
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from types import FrameType

from django.conf import settings
from django.core.management import call_command

from packing.services import FirstEntries, publish_first_revisions

WEB_WORKERS = 2
WEB_THREADS = 8
STOP_SECONDS = 35.0
LOOK_EVERY_SECONDS = 0.2
FIRST_WAIT_SECONDS = 0.5
LONGEST_WAIT_SECONDS = 30.0
STEADY_AFTER_SECONDS = 60.0
LOOPBACK = ("127.0.0.1:", "localhost:")
SIGNAL_WHEN_PARENT_DIES = 1  # PR_SET_PDEATHSIG of Linux, prctl(2)

Write = Callable[[str], object]


@dataclass(slots=True)
class Child:
    """One child process that is kept running."""

    command: Sequence[str]
    process: "subprocess.Popen[bytes]"
    started_at: float
    wait_seconds: float = FIRST_WAIT_SECONDS
    start_again_at: float | None = None


def prepare_site(*, write: Write, now: datetime) -> None:
    """Bring the database up to date, with the usual catalogue entries, and collect the static files.

    Safe to run again: what the owner changed or withdrew stays as it is.
    """
    call_command("migrate", interactive=False, verbosity=0)
    publish_first_revisions(FirstEntries.USUAL, now=now)
    call_command("collectstatic", interactive=False, verbosity=0)
    write("The database and the static files are up to date.")


def run_site(*, bind: str, write: Write, with_worker: bool = True) -> int:
    """Serve the site at `bind` ("host:port") until a signal says stop; return the exit status.

    Call `prepare_site` first. Status 0 is a wanted stop, 1 a web server that could not go on.
    """
    if bind.startswith(LOOPBACK):
        # On one machine the links in mails lead to where the site listens, unless somebody said otherwise.
        os.environ.setdefault("SITE_URL", f"http://{bind}")
    stopping = _StopFlag()
    stopping.listen()
    web = _start(web_command(bind))
    worker = _start(worker_command()) if with_worker else None
    write(f"The site is at http://{bind}/ - stop it with Ctrl-C.")
    status = 0
    try:
        while not stopping.is_set:
            if web.process.poll() is not None:
                write(f"The web server stopped by itself. Is something else listening at {bind}?")
                status = 1
                break
            if worker is not None:
                _keep_running(worker, write=write)
            time.sleep(LOOK_EVERY_SECONDS)
    finally:
        _stop([child for child in (web, worker) if child is not None])
    return status


def web_command(bind: str) -> list[str]:
    """Return the command line of the web server: threads, so that slow phones do not block the counter."""
    module, _, name = str(settings.WSGI_APPLICATION).rpartition(".")
    return [
        *(sys.executable, "-m", "gunicorn", f"{module}:{name}", "--bind", bind),
        *("--worker-class", "gthread", "--workers", str(WEB_WORKERS), "--threads", str(WEB_THREADS)),
        *("--graceful-timeout", "30", "--timeout", "60", "--keep-alive", "5"),
        *("--log-level", "warning", "--no-control-socket"),
    ]


def worker_command() -> list[str]:
    """Return the command line of the worker."""
    return [sys.executable, "-m", "django", "worker"]


class _StopFlag:
    """Becomes set when the process is told to stop."""

    def __init__(self) -> None:
        self.is_set = False

    def listen(self) -> None:
        """Take SIGTERM and SIGINT."""
        signal.signal(signal.SIGTERM, self._set)
        signal.signal(signal.SIGINT, self._set)

    def _set(self, _number: int, _frame: FrameType | None) -> None:
        self.is_set = True


def _start(command: Sequence[str]) -> Child:
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": os.environ["DJANGO_SETTINGS_MODULE"]}
    process = subprocess.Popen(  # noqa: S603 - our own command line
        command,
        cwd=Path(settings.BASE_DIR),
        env=environment,
        start_new_session=True,  # Ctrl-C reaches the parent only, which then stops both in order
        preexec_fn=_stop_with_parent,  # noqa: PLW1509 - the parent has no threads
    )
    return Child(command=command, process=process, started_at=time.monotonic())


def _stop_with_parent() -> None:
    with suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(SIGNAL_WHEN_PARENT_DIES, signal.SIGTERM)


def _keep_running(child: Child, *, write: Write) -> None:
    now = time.monotonic()
    if child.process.poll() is None:
        if now - child.started_at > STEADY_AFTER_SECONDS:
            child.wait_seconds = FIRST_WAIT_SECONDS
        return
    if child.start_again_at is None:
        child.start_again_at = now + child.wait_seconds
        write(f"The worker stopped; it starts again in {child.wait_seconds:g} s. Nothing is lost.")
    elif now >= child.start_again_at:
        fresh = _start(child.command)
        child.process, child.started_at = fresh.process, fresh.started_at
        child.start_again_at = None
        child.wait_seconds = min(child.wait_seconds * 2, LONGEST_WAIT_SECONDS)


def _stop(children: Sequence[Child]) -> None:
    for child in children:
        if child.process.poll() is None:
            child.process.send_signal(signal.SIGTERM)
    give_up_at = time.monotonic() + STOP_SECONDS
    for child in children:
        try:
            child.process.wait(timeout=max(0.1, give_up_at - time.monotonic()))
        except subprocess.TimeoutExpired:
            child.process.kill()
            child.process.wait()
