"""Withdrawing a photo that should not be there: its files go, its row and the reason stay.

The wrong unit, or a person in the picture. What was marked on it stands, and
the pages say that its photo is gone.
"""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.errors import IllegalTransition, JobsError, MissingFact
from jobs.domain.facts import PhotoWithdrawn
from jobs.domain.stages import EventKind, Role
from jobs.models import Job, Photo
from jobs.services._steps import lock_job

WITHDRAWN = "It was withdrawn by the shop."


class UnknownPhoto(JobsError):
    """The job has no photo of that reference."""


def withdraw_shown(
    number: str, *, photo: UUID, reason: str, actor: Actor, now: datetime, expected_count: int | None
) -> Job:
    """Withdraw any photo of the job, at any stage, whoever took it; there is no way back.

    The files go after the log has the reason: what a stopped process leaves of them, upkeep clears away.
    Raises: MissingFact without a reason; UnknownPhoto; IllegalTransition where it is withdrawn already.
    """
    if not reason.strip():
        raise MissingFact("Say why the photo is withdrawn: it stays in the log.")
    job, files = _record(
        number, photo=photo, reason=reason.strip(), actor=actor, now=now, expected_count=expected_count
    )
    storage = Photo._meta.get_field("raw").storage
    for name in files:
        storage.delete(name)
    return job


@transaction.atomic(durable=True)
def _record(
    number: str, *, photo: UUID, reason: str, actor: Actor, now: datetime, expected_count: int | None
) -> tuple[Job, list[str]]:
    """Return the job, and the names of the files that no row names any more."""
    log = lock_job(number, expected_count=expected_count)
    found = Photo.objects.select_for_update(of=("self",)).filter(job=log.job, reference=photo).first()
    if found is None:
        raise UnknownPhoto("This job has no such photo. Open its page again and look.")
    if found.withdrawn_at is not None:
        raise IllegalTransition("This photo is withdrawn already.")
    facts = PhotoWithdrawn(
        photo=found.reference.hex,
        shows=found.caption or found.shot.replace("_", " ").capitalize() or "A photo",
        reason=reason,
        is_customers=found.by_role == Role.CUSTOMER.value,
    )
    log.record(EventKind.PHOTO_WITHDRAWN, facts=facts, actor=actor, now=now)
    files = [file.name for file in (found.raw, found.page, found.thumb) if file.name]
    # Refused, so that a worker that is just reading it keeps nothing.
    found.state, found.refusal, found.withdrawn_at, found.stored_bytes = "refused", WITHDRAWN, now, 0
    found.raw = found.page = found.thumb = ""
    found.save(update_fields=["state", "refusal", "withdrawn_at", "stored_bytes", "raw", "page", "thumb"])
    return log.job, files
