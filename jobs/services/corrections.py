"""Taking back the last step, as a correcting event that names it; a match in both of its logs."""

from datetime import datetime

from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.condition import finding_shot
from jobs.domain.errors import IllegalTransition, MissingFact
from jobs.domain.facts import BookingSent, Corrected, Inspected, Matched, UnitBefore, load_facts
from jobs.domain.job_number import show
from jobs.domain.replay import LogEntry
from jobs.domain.stages import EventKind, Stage
from jobs.domain.undoing import last_undoable, steps_undone
from jobs.models import Job, JobEvent, Mark, Photo
from jobs.selectors.undoing import NO_STEP, why_it_stays
from jobs.services._steps import OpenLog, lock_job
from jobs.services._telling import freeze_instructions


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
    stays = why_it_stays(log.job, entries=tuple(log.log.entries))
    if last is None or stays:
        raise IllegalTransition(stays or NO_STEP)
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
        _withdraw_inspection(log, inspected=last, now=now)
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
    found: Matched = load_facts(matched.kind, stored=matched.facts)
    while booked.state.stage is Stage.ARRIVED:
        # The match first, then what came with it, down to the arrival.
        _correct_last(booked, reason=reason, actor=actor, now=now)
    _correct_last(box, reason=reason, actor=actor, now=now)
    booked.job.name_missing, booked.job.number_found = False, ""
    booked.job.save(update_fields=["name_missing", "number_found"])
    Photo.objects.filter(job=booked.job, reference__in=found.photos).update(job=box.job)


def _correct_last(log: OpenLog, *, reason: str, actor: Actor, now: datetime) -> None:
    """Record that the last step of a log does not count."""
    steps = steps_undone(log.log.entries)
    if not steps:
        raise IllegalTransition("Something was recorded since this box was matched. Add a note instead.")
    for step in steps:
        facts = Corrected(corrects=step.number, reason=reason)
        log.record(EventKind.CORRECTED, facts=facts, actor=actor, now=now)


def _withdraw_inspection(log: OpenLog, *, inspected: LogEntry, now: datetime) -> None:
    """Take the marks of the inspection off the pages, and the unit for what it was taken for before.

    Without the first, looking again would double them; without the second, the right unit would be
    "not the one that was booked".
    """
    job = log.job
    Mark.objects.filter(job=job, withdrawn_at__isnull=True).update(withdrawn_at=now)
    before = _unit_before(log, inspected=inspected)
    job.transit_damage, job.number_found = False, before.number_found
    job.save(update_fields=["transit_damage", "number_found"])
    if before.unit_model != job.unit_model:
        job.family = before.family
        freeze_instructions(job, unit_model=before.unit_model, now=now)


def _unit_before(log: OpenLog, *, inspected: LogEntry) -> UnitBefore:
    """Return what the job said until it was inspected; where it was not kept, what was booked is the best."""
    job = log.job
    facts: Inspected = load_facts(inspected.kind, stored=inspected.facts)
    if facts.before is not None:
        return facts.before
    unit_model, first = job.unit_model, log.log.entries[0]
    if not facts.same_as_booked and first.kind is EventKind.BOOKING_SENT:
        booked: BookingSent = load_facts(first.kind, stored=first.facts)
        unit_model = booked.unit_model or unit_model
    return UnitBefore(job.family, unit_model, job.number_found)
