"""How often may somebody try something?

Counted in the database by one statement, so that any number of processes together let through exactly the
limit; works the same on SQLite and PostgreSQL, without Redis.

Whom a counter counts (a network address, a mailbox) is kept only as a keyed hash. Call it outside a
transaction: a rolled-back attempt would not count.
"""

from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.db import connection
from django.http import HttpRequest
from django.utils.crypto import salted_hmac

from portal.accounts.models import AttemptCount


@dataclass(frozen=True, slots=True)
class Limit:
    """At most `attempts` within each window of `window_seconds`, for one kind of trying."""

    scope: str
    attempts: int
    window_seconds: int


@dataclass(frozen=True, slots=True)
class Attempt:
    """One counted attempt: whether it may go on, and if not, when the next one may."""

    is_allowed: bool
    wait_seconds: int


SIGN_IN_BY_ADDRESS = Limit("sign-in by address", attempts=30, window_seconds=900)
SIGN_IN_BY_PERSON = Limit("sign-in by person and address", attempts=8, window_seconds=900)
LINK_BY_ADDRESS = Limit("link by address", attempts=20, window_seconds=3600)
LINK_BY_MAILBOX = Limit("link by mailbox", attempts=5, window_seconds=3600)
FIND_JOB_BY_ADDRESS = Limit("find my job by address", attempts=20, window_seconds=3600)
FIND_JOB_BY_MAILBOX = Limit("find my job by mailbox", attempts=5, window_seconds=3600)
OPEN_LINK_BY_ADDRESS = Limit("open a private link by address", attempts=60, window_seconds=3600)


def count_attempt(limit: Limit, *, subject: str, now: datetime) -> Attempt:
    """Count one attempt of `subject` and return whether it stays within the limit."""
    seconds = int(now.timestamp())
    window_number = seconds // limit.window_seconds
    hashed = salted_hmac(f"attempt:{limit.scope}", subject.strip().lower(), algorithm="sha256").hexdigest()
    table = AttemptCount._meta.db_table
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {table} (scope, subject_sha256, window_number, attempts) VALUES (%s, %s, %s, 1) "  # noqa: S608 - the name of our own table
            f"ON CONFLICT (scope, subject_sha256, window_number) "
            f"DO UPDATE SET attempts = {table}.attempts + 1 RETURNING attempts",
            [limit.scope, hashed, window_number],
        )
        attempts = int(cursor.fetchone()[0])
    if attempts == 1:
        AttemptCount.objects.filter(scope=limit.scope, window_number__lt=window_number - 1).delete()
    if attempts <= limit.attempts:
        return Attempt(is_allowed=True, wait_seconds=0)
    return Attempt(is_allowed=False, wait_seconds=(window_number + 1) * limit.window_seconds - seconds)


def client_address(request: HttpRequest) -> str:
    """Return the network address of the caller, believing only the shop's own proxies about it."""
    direct = str(request.META.get("REMOTE_ADDR", "")) or "unknown"
    proxies: int = settings.TRUSTED_PROXIES
    if not proxies:
        return direct
    forwarded = [
        part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",") if part.strip()
    ]
    return forwarded[-proxies] if len(forwarded) >= proxies else direct
