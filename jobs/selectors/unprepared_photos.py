"""Which photos could the worker not prepare, and what stood in its way?"""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Q, QuerySet

from jobs.models import Photo
from jobs.photos.limits import MOST_FAULTS, TOLD_FROM_FAULTS

SHOWN_MOST = 20


@dataclass(frozen=True, slots=True)
class UnpreparedPhoto:
    """A photo kept as it was sent, and what the last try said; `is_given_up` when none follows by itself.

    `job_number` is "" for a photo of a booking that is still being written.
    """

    reference: UUID
    job_number: str
    by_name: str
    last_fault: str
    is_given_up: bool
    uploaded_at: datetime


def unprepared() -> "QuerySet[Photo]":
    """Return the photos that are put off again and again or were given up; all still have their file."""
    put_off = Q(state="waiting", faults__gte=TOLD_FROM_FAULTS)
    # A refusal that is about the photo itself has taken its file away.
    given_up = Q(state="refused") & ~Q(raw="")
    return Photo.objects.filter(put_off | given_up, withdrawn_at__isnull=True)


def unprepared_photos() -> tuple[UnpreparedPhoto, ...]:
    """Return the newest of them for the owner, in one query."""
    rows = unprepared().select_related("job").only(
        "job__number", "reference", "by_name", "last_fault", "state", "faults", "uploaded_at"
    )  # fmt: skip
    return tuple(
        UnpreparedPhoto(
            reference=row.reference,
            job_number=row.job.number if row.job else "",
            by_name=row.by_name,
            last_fault=row.last_fault,
            is_given_up=row.state == "refused" or row.faults >= MOST_FAULTS,
            uploaded_at=row.uploaded_at,
        )
        for row in rows.order_by("-uploaded_at", "-pk")[:SHOWN_MOST]
    )
