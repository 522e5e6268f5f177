"""Taking back the last step, as a correcting event that names it."""

from datetime import datetime

from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.errors import IllegalTransition, MissingFact
from jobs.domain.facts import Corrected
from jobs.domain.replay import last_undoable
from jobs.domain.stages import EventKind
from jobs.models import Job
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
    facts = Corrected(corrects=last.number, reason=reason.strip())
    log.record(EventKind.CORRECTED, facts=facts, actor=actor, now=now)
    return log.job
