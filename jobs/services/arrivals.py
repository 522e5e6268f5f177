"""Boxes at the counter: receive, record one nobody announced, match it, inspect what is in it."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.errors import MissingFact, SubmissionConflict
from jobs.domain.facts import (
    Arrived,
    BoxRecorded,
    Held,
    Inspected,
    Matched,
    TurnChanged,
    UnitBefore,
    Words,
    load_facts,
)
from jobs.domain.holds import Hold
from jobs.domain.job_number import show
from jobs.domain.log import JobLog
from jobs.domain.stages import EventKind, HoldKind, Stage, Turn
from jobs.domain.tracking import read_tracking
from jobs.models import Job, JobEvent, Mark, Photo
from jobs.services._steps import OpenLog, fresh_job_number, lock_job
from jobs.services._telling import freeze_instructions


@dataclass(frozen=True, slots=True)
class MarkEntry:
    """One piece of damage as entered: where, what, how bad, and where it seems to come from."""

    zone: str
    damage_kind: str
    severity: int
    origin: str = "cannot_tell"
    note: str = ""
    photo_id: int | None = None
    x_share: float | None = None
    y_share: float | None = None


@dataclass(frozen=True, slots=True)
class Inspection:
    """The receiving inspection as entered."""

    grade: str
    number_read: str
    unit_model: str
    contents_found: tuple[str, ...]
    contents_missing: tuple[str, ...]
    marks: tuple[MarkEntry, ...]
    note: str = ""


@transaction.atomic(durable=True)
def record_arrival(
    number: str, *, arrived: Arrived, actor: Actor, now: datetime, expected_count: int | None
) -> Job:
    """Receive an announced parcel: the state of carton and packing before it is unpacked."""
    log = lock_job(number, expected_count=expected_count)
    log.job.name_missing = not arrived.name_inside
    log.job.save(update_fields=["name_missing"])
    log.record(EventKind.ARRIVED, facts=arrived, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def record_box(
    *, box: BoxRecorded, family: str, number_found: str, submission_key: UUID, actor: Actor, now: datetime
) -> Job:
    """Return the job of a box that nobody announced; the same form sent twice returns the same job.

    Raises: SubmissionConflict where the number on this box was recorded for one that is here already, or
    where this form has recorded another box.
    """
    _check_parcel(box.parcel_number, submission_key=submission_key)
    job, is_new = Job.objects.get_or_create(
        submission_key=submission_key,
        defaults={
            "number": fresh_job_number(),
            "family": family,
            "number_found": number_found[:120],
            "stage": Stage.ARRIVED.value,
            "stage_since": now,
            "event_count": 1,
            "booked_at": now,
            "name_missing": True,
        },
    )
    if is_new:
        OpenLog(job, log=JobLog()).record(EventKind.BOX_RECORDED, facts=box, actor=actor, now=now)
    elif (box, family, number_found[:120]) != _recorded_before(job):
        raise SubmissionConflict(
            f"This page has recorded a box already, as job {show(job.number)}, and this one differs from it. "
            "If it is another box, send it again: it becomes a job of its own. If the first record was "
            "wrong, add a note to that job."
        )
    return job


def _recorded_before(job: Job) -> tuple[BoxRecorded, str, str]:
    """Return what was sent when this box was recorded."""
    first = JobEvent.objects.get(job=job, number=1)
    return load_facts(EventKind.BOX_RECORDED, stored=first.facts), job.family, job.number_found


@transaction.atomic(durable=True)
def match_box(box_number: str, *, booking_number: str, actor: Actor, now: datetime) -> Job:
    """Carry an unannounced box on under its booking's number, with its photos and its arrival.

    `corrections.take_back_last_step` takes all of it back.

    Raises: IllegalTransition unless the box has arrived and the booking's parcel has not.
    """
    first, second = sorted((box_number, booking_number))
    logs = {number: lock_job(number, expected_count=None) for number in (first, second)}
    box, booked = logs[box_number], logs[booking_number]
    if box.job.customer_id is not None or box_number == booking_number:
        raise MissingFact("Choose a box that came without a booking, and the booking it belongs to.")
    # Only these are moved: what is added meanwhile stays, or taking the match back would miss it.
    photos = tuple(Photo.objects.filter(job=box.job).values_list("reference", flat=True))
    found = Matched(
        box_job_number=box_number,
        booking_job_number=booking_number,
        photos=tuple(photo.hex for photo in photos),
    )
    arrived_at = box.state.entered_at[Stage.ARRIVED.value]
    seen = load_facts(EventKind.BOX_RECORDED, stored=box.log.entries[0].facts)
    arrived = Arrived(
        carton_state=seen.carton_state,
        packing_found=seen.packing_found,
        smells_of_fuel=seen.smells_of_fuel,
        parcel_number=seen.parcel_number,
        name_inside=False,
        note=seen.note,
    )
    booked.job.name_missing = True
    booked.job.number_found = box.job.number_found
    booked.job.save(update_fields=["name_missing", "number_found"])
    booked.record(EventKind.ARRIVED, facts=arrived, actor=actor, now=now, happened_at=arrived_at)
    if box.state.turn is Turn.FIRST and booked.state.turn is not Turn.FIRST:
        turn = TurnChanged(Turn.FIRST, box.state.turn_reason)
        booked.record(EventKind.TURN_CHANGED, facts=turn, actor=actor, now=now)
    if box.state.held_by is not None:
        _carry_over(box.state.held_by, to=booked, actor=actor, now=now)
    # The match comes last: it may be taken back only while nothing was recorded after it.
    booked.record(EventKind.MATCHED, facts=found, actor=actor, now=now)
    box.record(EventKind.MERGED, facts=found, actor=actor, now=now)
    Photo.objects.filter(reference__in=photos).update(job=booked.job)
    return booked.job


@transaction.atomic(durable=True)
def record_inspection(
    number: str, *, inspection: Inspection, actor: Actor, now: datetime, expected_count: int | None
) -> Job:
    """Record what was in the box; another unit than booked, or a missing part, holds the job.

    A hold that stands already steps aside for the question and stands again once it is answered.
    """
    log = lock_job(number, expected_count=expected_count)
    job = log.job
    same = not job.unit_model or not inspection.unit_model or inspection.unit_model == job.unit_model
    worst = max((mark.severity for mark in inspection.marks), default=0)
    facts = Inspected(
        grade=inspection.grade,
        number_read=inspection.number_read,
        unit_model=inspection.unit_model,
        same_as_booked=same,
        contents_found=inspection.contents_found,
        contents_missing=inspection.contents_missing,
        worst_severity=worst,
        note=inspection.note,
        before=UnitBefore(job.family, job.unit_model, job.number_found),
    )
    Mark.objects.bulk_create([_mark_row(job, entry=mark, actor=actor, now=now) for mark in inspection.marks])
    job.number_found = inspection.number_read[:120]
    job.transit_damage = any(mark.origin.startswith("in_transit") for mark in inspection.marks)
    job.save(update_fields=["number_found", "transit_damage"])
    if inspection.unit_model and inspection.unit_model != job.unit_model:
        freeze_instructions(job, unit_model=inspection.unit_model, now=now)
    log.record(EventKind.INSPECTED, facts=facts, actor=actor, now=now)
    question = _question(facts)
    if question and job.customer_id is not None:
        log.record(EventKind.QUESTION_ASKED, facts=Words(text=question), actor=actor, now=now)
        held = Held(hold=HoldKind.ANSWER, reason=question)
        log.record(EventKind.HELD, facts=held, actor=actor, now=now)
    return job


def _carry_over(hold: Hold, *, to: OpenLog, actor: Actor, now: datetime) -> None:
    """Hold the booking for what its box waits for; its customer can have kept nobody waiting before now."""
    facts = Held(hold=hold.kind, reason=hold.reason, expected_on=hold.expected_on)
    since = now if hold.kind is HoldKind.ANSWER else hold.since
    to.record(EventKind.HELD, facts=facts, actor=actor, now=now, happened_at=since)


def _question(facts: Inspected) -> str:
    """Return what has to be asked before work can start, or nothing."""
    if not facts.same_as_booked:
        return (
            f"The unit in the box is not the one that was booked: we read “{facts.number_read}” on it. "
            "Is this the unit you want rebuilt?"
        )
    if facts.grade == "incomplete_cannot_start":
        missing = ", ".join(facts.contents_missing) or "parts we need"
        return f"We cannot start: {missing} did not come with the unit. Can you send what is missing?"
    return ""


def _mark_row(job: Job, *, entry: MarkEntry, actor: Actor, now: datetime) -> Mark:
    return Mark(
        job=job,
        photo_id=entry.photo_id,
        zone=entry.zone,
        damage_kind=entry.damage_kind,
        severity=entry.severity,
        x_share=entry.x_share,
        y_share=entry.y_share,
        origin=entry.origin,
        note=entry.note,
        recorded_at=now,
        recorded_by=actor.name,
    )


def _check_parcel(parcel_number: str, *, submission_key: UUID) -> None:
    """Refuse the number of a box that is here already: a box recorded twice is looked for for ever."""
    compact = read_tracking(parcel_number).compact[:60] if parcel_number.strip() else ""
    here = Job.objects.filter(parcel_seen=compact, ended_at=None).exclude(submission_key=submission_key)
    known = here.first() if compact else None
    if known is not None:
        raise SubmissionConflict(
            f"Parcel {compact} was recorded already, as job {show(known.number)}. Another box under the same "
            "number is recorded without it: leave the number out and say so in the note."
        )
