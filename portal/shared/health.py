"""Is the site alive, and can it do its work? Two addresses for a watchdog, without details for strangers."""

import shutil
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from jobs.backups.keeping import newest_in
from jobs.backups.nightly import LATE_AFTER
from portal.shared.ratelimit import Limit, count_attempt

DISK_LEAST_BYTES = 1_000_000_000
OUTBOX_OLDEST = timedelta(minutes=15)
WRITE_PROBE = Limit("write probe", attempts=1, window_seconds=86400)


@require_safe
def healthz(request: HttpRequest) -> HttpResponse:
    """Answer that the process runs; looks at nothing else."""
    return HttpResponse("ok\n", content_type="text/plain")


@require_safe
def readyz(request: HttpRequest) -> HttpResponse:
    """Answer 200 when the database takes writes and the disk has room, else 503.

    The shop's people, signed in, also see each check; mail that waits and an old back-up are told there
    but do not take the site off the air.
    """
    now = timezone.now()
    needed = {"database": database_takes_writes(now=now), "disk": disk_has_room()}
    answer: dict[str, object] = {"ready": all(needed.values())}
    if needed["database"] and request.user.is_authenticated:
        answer["checks"] = {
            **needed,
            "outbox": attempt_check(lambda: outbox_is_drained(now=now)),
            "backup": backup_is_fresh(now=now),
        }
    response = JsonResponse(answer, status=200 if answer["ready"] else 503)
    response.headers["Cache-Control"] = "no-store"
    return response


def database_takes_writes(*, now: datetime) -> bool:
    """Say whether a row can be written and committed."""
    try:
        count_attempt(WRITE_PROBE, subject="probe", now=now)
    except DatabaseError:
        return False
    return True


def disk_has_room() -> bool:
    """Say whether the data folder has at least 1 GB left."""
    folder = Path(settings.DATA_DIR)
    if not folder.exists():
        return False
    return shutil.disk_usage(folder).free >= DISK_LEAST_BYTES


def outbox_is_drained(*, now: datetime) -> bool:
    """Say whether no mail that is due has waited longer than a quarter of an hour."""
    waiting = apps.get_model("jobs", "OutboxMessage").objects.filter(state__in=["waiting", "sending"])
    return not waiting.filter(run_after__lt=now - OUTBOX_OLDEST).exists()


def backup_is_fresh(*, now: datetime) -> bool:
    """Say whether the newest complete back-up is younger than a day and a half."""
    newest = newest_in(Path(settings.BACKUP_DIR))
    return newest is not None and now - newest <= LATE_AFTER


def attempt_check(check: Callable[[], bool]) -> bool:
    """Return what the check says, and False when the database refuses to answer."""
    try:
        return check()
    except DatabaseError:
        return False
