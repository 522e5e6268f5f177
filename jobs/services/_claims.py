"""Taking a piece of background work, so that of several workers only one is at it.

A claim is a conditional update with a lease, as the outbox takes its mails: a worker that dies leaves a claim
that runs out by itself.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from uuid import uuid4

from django.db.models import Q

from jobs.models import WorkClaim

LEASE = timedelta(minutes=10)


@contextmanager
def claimed(name: str, *, now: datetime) -> Iterator[bool]:
    """Tell whether this work is now the caller's, and let go of it at the end of the block."""
    WorkClaim.objects.get_or_create(name=name)
    holder = uuid4()
    free = Q(lease_until=None) | Q(lease_until__lte=now)
    taken = WorkClaim.objects.filter(free, name=name).update(holder=holder, lease_until=now + LEASE)
    try:
        yield bool(taken)
    finally:
        if taken:
            WorkClaim.objects.filter(name=name, holder=holder).update(lease_until=None)
