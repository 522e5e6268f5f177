"""Taking back the last step, as a correcting event that names it."""

from datetime import datetime

from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.errors import IllegalTransition, MissingFact
from jobs.domain.facts import Corrected
from jobs.domain.replay import last_undoable
from jobs.domain.stages import EventKind
from jobs.models import Job, Mark
from jobs.services._steps import lock_job


@transaction.atomic(durable=True)
def take_back_last_step(
    number: str, *, reason: str, actor: Actor, now: datetime, expected_count: int | None
) -> Job:
    """Take back the last step of the job; the log keeps both the step and its correction."""
    if not reason.strip():
        raise MissingFact("Say why the step is taken back: it stays in the log.")
    log = lock_job(number, expected_count=expected_count)
    last = last_undoable(log.log.entries)
    if last is None:
        raise IllegalTransition("There is no step to take back.")
    if last.kind is EventKind.ARRIVED and any(
        entry.kind is EventKind.MATCHED and entry.number > last.number for entry in log.log.entries
    ):
        raise IllegalTransition(
            "This arrival came with a box that was matched to the booking, and the box's own number "
            "is closed. Add a note instead."
        )
    if last.kind is EventKind.INSPECTED:
        _withdraw_inspection(log.job, now=now)
    facts = Corrected(corrects=last.number, reason=reason.strip())
    log.record(EventKind.CORRECTED, facts=facts, actor=actor, now=now)
    return log.job


def _withdraw_inspection(job: Job, *, now: datetime) -> None:
    """Take the marks of the inspection off the pages, so that looking again does not double them."""
    Mark.objects.filter(job=job, withdrawn_at__isnull=True).update(withdrawn_at=now)
    job.transit_damage = False
    job.save(update_fields=["transit_damage"])
