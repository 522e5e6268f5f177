"""Taking back the last step, as a correcting event that names it; a match in both of its logs."""

from datetime import datetime

from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.condition import finding_shot
from jobs.domain.errors import IllegalTransition, MissingFact
from jobs.domain.facts import Corrected, Matched, load_facts
from jobs.domain.job_number import show
from jobs.domain.replay import LogEntry, last_undoable
from jobs.domain.stages import EventKind, Stage
from jobs.models import Job, JobEvent, Mark, OutboxMessage, Photo
from jobs.selectors.box_match import is_photographed_since
from jobs.services._steps import OpenLog, lock_job


@transaction.atomic(durable=True)
def take_back_last_step(
    number: str, *, reason: str, actor: Actor, now: datetime, expected_count: int | None
) -> Job:
    """Take back the last step of the job; the log keeps both the step and its correction."""
    if not reason.strip():
        raise MissingFact("Say why the step is taken back: it stays in the log.")
    # In the order of their numbers, as for the match itself, or two people could each wait for the other.
    numbers = sorted({number, *_matched_boxes(number)})
    logs = {
        each: lock_job(each, expected_count=expected_count if each == number else None) for each in numbers
    }
    log = logs[number]
    last = last_undoable(log.log.entries)
    if last is None:
        raise IllegalTransition("There is no step to take back.")
    if last.kind is EventKind.MERGED:
        found: Matched = load_facts(last.kind, stored=last.facts)
        raise IllegalTransition(
            f"This box goes on as {show(found.booking_job_number)}. Take the match back on that job's page."
        )
    if last.kind is EventKind.MATCHED:
        box = logs[load_facts(last.kind, stored=last.facts).box_job_number]
        _take_back_match(log, box, matched=last, reason=reason.strip(), actor=actor, now=now)
        return log.job
    if last.kind is EventKind.INSPECTED:
        _withdraw_inspection(log.job, now=now)
    if last.kind is EventKind.FINDING_RECORDED:
        taken = Photo.objects.filter(job=log.job, role="finding", shot=finding_shot(last.number))
        taken.filter(withdrawn_at__isnull=True).update(withdrawn_at=now)
    _correct_last(log, reason=reason.strip(), actor=actor, now=now)
    return log.job


def _matched_boxes(number: str) -> tuple[str, ...]:
    """Return the numbers of the boxes that were ever matched with this booking."""
    rows = JobEvent.objects.filter(job__number=number, kind=EventKind.MATCHED.value)
    facts = (load_facts(EventKind.MATCHED, stored=stored) for stored in rows.values_list("facts", flat=True))
    return tuple(found.box_job_number for found in facts)


def _take_back_match(
    booked: OpenLog, box: OpenLog, *, matched: LogEntry, reason: str, actor: Actor, now: datetime
) -> None:
    """Take back the match and the arrival that came with it, and open the box's own number again."""
    if is_photographed_since(booked.job, matched=matched):
        raise IllegalTransition(
            "Photos were added since this box was matched, and they would stand under the wrong number. "
            "Add a note instead."
        )
    found: Matched = load_facts(matched.kind, stored=matched.facts)
    while booked.state.stage is Stage.ARRIVED:
        # The match first, then what came with it, down to the arrival.
        step = _correct_last(booked, reason=reason, actor=actor, now=now)
    _correct_last(box, reason=reason, actor=actor, now=now)
    OutboxMessage.objects.filter(key=f"{booked.job.number}.{step.number}.arrived", state="waiting").delete()
    booked.job.name_missing, booked.job.number_found = False, ""
    booked.job.save(update_fields=["name_missing", "number_found"])
    Photo.objects.filter(job=booked.job, reference__in=found.photos).update(job=box.job)


def _correct_last(log: OpenLog, *, reason: str, actor: Actor, now: datetime) -> LogEntry:
    """Return the last step of a log, which from now on does not count."""
    step = last_undoable(log.log.entries)
    if step is None:
        raise IllegalTransition("Something was recorded since this box was matched. Add a note instead.")
    facts = Corrected(corrects=step.number, reason=reason)
    log.record(EventKind.CORRECTED, facts=facts, actor=actor, now=now)
    return step


def _withdraw_inspection(job: Job, *, now: datetime) -> None:
    """Take the marks of the inspection off the pages, so that looking again does not double them."""
    Mark.objects.filter(job=job, withdrawn_at__isnull=True).update(withdrawn_at=now)
    job.transit_damage = False
    job.save(update_fields=["transit_damage"])
