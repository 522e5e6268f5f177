"""The steps every write shares, always in this order: lock, decide, write, log, queue the mail."""

import secrets
from datetime import date, datetime
from typing import Any

from django.db import connection

from jobs.domain import job_number
from jobs.domain.actors import Actor
from jobs.domain.errors import StaleEdit, UnknownJob
from jobs.domain.facts import FACTS_VERSION, Sent, Words, load_facts
from jobs.domain.log import JobLog
from jobs.domain.replay import JobState, LogEntry
from jobs.domain.stages import ENDED, OPEN_STAGES, EventKind, Turn
from jobs.domain.tracking import read_tracking
from jobs.messages.catalogue import MESSAGE_OF_EVENT
from jobs.models import Customer, Job, JobEvent, OutboxMessage
from jobs.selectors.logs import log_of

CACHED = (
    "stage",
    "stage_since",
    "hold",
    "hold_reason",
    "hold_since",
    "working_step",
    "priority",
    "event_count",
    "worst_severity",
    "tracking_in",
    "tracking_out",
    "parcel_seen",
    "arrived_at",
    "ended_at",
    "promise_earliest_on",
    "promise_likely_on",
    "promise_latest_on",
)


class OpenLog:
    """A locked job with its log; every event of a service goes through `record`."""

    def __init__(self, job: Job, *, log: JobLog) -> None:
        self.job = job
        self.log = log

    @property
    def state(self) -> JobState:
        """The state after everything recorded so far."""
        return self.log.state

    def record(
        self,
        kind: EventKind,
        *,
        facts: Any,
        actor: Actor,
        now: datetime,
        happened_at: datetime | None = None,
    ) -> LogEntry:
        """Return the entry, written to the log, with the job's caches and the mail it causes."""
        entry = self.log.record(kind, facts=facts, actor=actor, happened_at=happened_at or now)
        event_row(self.job, entry=entry, actor=actor, recorded_at=now).save()
        set_cache(self.job, state=self.state)
        self.job.save(update_fields=CACHED)
        queue_event_message(self.job, entry=entry, now=now)
        return entry


def lock_job(number: str, *, expected_count: int | None) -> OpenLog:
    """Return the job of that number, locked until the transaction ends, with its log.

    `expected_count` is the event count that the person saw; None where a race cannot do harm.
    Raises: UnknownJob; StaleEdit when something was recorded since the page was opened.
    """
    if not connection.in_atomic_block:
        msg = "lock_job belongs inside a transaction"
        raise RuntimeError(msg)
    # No key of a job ever changes: photos, links and forecasts beside it are written meanwhile.
    # What the customer was told is large, and written by services but never read by them.
    rows = Job.objects.select_for_update(no_key=True).defer("strip_list", "plan", "plan_back")
    job = rows.filter(number=number).first()
    if job is None:
        raise UnknownJob("There is no job of that number.")
    if expected_count is not None and expected_count != job.event_count:
        raise StaleEdit(
            "Somebody recorded something on this job since you opened the page. "
            "Look at what changed, then send your entry again."
        )
    return OpenLog(job, log=JobLog(log_of(job)))


def event_row(job: Job, *, entry: LogEntry, actor: Actor, recorded_at: datetime) -> JobEvent:
    """Return the unsaved row for an entry."""
    return JobEvent(
        job=job,
        number=entry.number,
        kind=entry.kind.value,
        facts=entry.facts,
        facts_version=FACTS_VERSION,
        actor_id=actor.user_id,
        actor_role=entry.actor_role.value,
        actor_name=entry.actor_name,
        happened_at=entry.happened_at,
        recorded_at=recorded_at,
    )


def set_cache(job: Job, *, state: JobState) -> None:
    """Copy what the log says onto the job row; the caller saves the `CACHED` fields."""
    if state.stage is None or state.stage_since is None:
        msg = "a job without a first event has no stage"
        raise RuntimeError(msg)
    job.stage = state.stage.value
    job.stage_since = state.stage_since
    held = state.held_by
    job.hold = held.kind.value if held else ""
    job.hold_reason = held.reason[:240] if held else ""
    job.hold_since = held.since if held else None
    job.working_step = state.working_step
    job.priority = state.turn is Turn.FIRST
    job.event_count = state.event_count
    job.worst_severity = min(state.worst_severity, 5)
    job.tracking_in = state.tracking_in[:60]
    job.tracking_out = state.tracking_out[:60]
    job.parcel_seen = read_tracking(state.parcel_seen).compact[:60]
    job.arrived_at = state.entered_at.get("arrived")
    job.promise_earliest_on = state.promise.earliest_on if state.promise else None
    job.promise_likely_on = state.promise.likely_on if state.promise else None
    job.promise_latest_on = state.promise.latest_on if state.promise else None
    job.ended_at = state.stage_since if state.stage in ENDED else None


def queue_event_message(job: Job, *, entry: LogEntry, now: datetime) -> None:
    """Queue the customer's mail for this event, if the table asks for one and there is an address."""
    kind = message_kind(job, entry=entry)
    if kind is None or job.customer is None or not job.customer.email:
        return
    queue_message(
        kind,
        key=f"{job.number}.{entry.number}.{kind}",
        recipient=job.customer.email,
        payload={"event": entry.number},
        job=job,
        now=now,
    )


def message_kind(job: Job, *, entry: LogEntry) -> str | None:
    """Return which mail this event causes, if any; work within the agreed limit is told, not asked."""
    kind = MESSAGE_OF_EVENT.get(entry.kind)
    if entry.kind in {EventKind.EXTRA_WORK_ASKED, EventKind.EXTRA_WORK_APPROVED}:
        number = load_facts(entry.kind, stored=entry.facts).extra_work
        if job.extra_work.filter(number=number, within_limit=True).exists():
            return None if entry.kind is EventKind.EXTRA_WORK_ASKED else "extra_work_within"
    return kind


def queue_message(
    kind: str, *, key: str, recipient: str, payload: dict[str, Any], job: Job | None, now: datetime
) -> bool:
    """Return whether an outbox row was written; a second one with the same key is quietly the first."""
    _, is_new = OutboxMessage.objects.get_or_create(
        key=key,
        defaults={
            "kind": kind,
            "recipient": recipient,
            "payload": payload,
            "job": job,
            "run_after": now,
            "created_at": now,
        },
    )
    return is_new


def note_details_changed(
    customer: Customer, *, besides: Job | None, words: str, actor: Actor, now: datetime
) -> None:
    """Record on every open job of the customer, but `besides`, that the contact was changed elsewhere.

    The caller holds the customer's row, so that two changes lock the jobs one after the other.
    """
    stages = [stage.value for stage in OPEN_STAGES]
    others = Job.objects.filter(customer=customer, stage__in=stages).order_by("pk")
    if besides is not None:
        others = others.exclude(pk=besides.pk)
    for number in others.values_list("number", flat=True):
        log = lock_job(number, expected_count=None)
        log.record(EventKind.DETAILS_CHANGED, facts=Words(text=words), actor=actor, now=now)


def sent_facts(*, on: date, carrier: str, tracking_number: str) -> Sent:
    """Return the facts of a parcel handed over; a doubtful tracking number is kept, with a note."""
    reading = read_tracking(tracking_number) if tracking_number.strip() else None
    return Sent(
        on=on,
        carrier=carrier.strip()[:60],
        tracking_number=reading.compact if reading else "",
        tracking_note=f"{reading.sentence} {reading.look_alike_warning}".strip() if reading else "",
    )


def fresh_job_number() -> str:
    """Return a job number that is not taken; numbers are drawn, so they tell nothing about volume."""
    while True:
        number = job_number.make(100_000 + secrets.randbelow(900_000))
        if not Job.objects.filter(number=number).exists():
            return number
