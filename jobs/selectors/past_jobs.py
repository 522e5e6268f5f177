"""The shop's own event log as the plain past that a backtest replays."""

from collections.abc import Iterable
from datetime import datetime
from itertools import groupby

from jobs.domain.facts import load_facts
from jobs.domain.holds import fold_holds
from jobs.domain.replay import STEP_OF_EVENT, LogEntry, standing_events
from jobs.domain.stages import EventKind, Role
from jobs.leadtime.past import PastHold, PastJob, PastVisit
from jobs.leadtime.routes import REDONE_STEPS, BenchStep
from jobs.leadtime.state import Priority
from jobs.models import Job, JobEvent

E = EventKind


def past_job(job: Job) -> PastJob | None:
    """Return what the log of one job says was done and waited for, None before it has arrived."""
    rows = JobEvent.objects.filter(job=job).order_by("number")
    return _tell(job, [_entry(row) for row in rows])


def past_jobs() -> tuple[PastJob, ...]:
    """Return every job that has arrived, in two queries, with what its log says was done and waited for.

    An event that a later correction takes back does not count.
    """
    jobs = {job.pk: job for job in Job.objects.exclude(arrived_at=None)}
    rows = JobEvent.objects.filter(job_id__in=list(jobs)).order_by("job_id", "number")
    told = groupby(rows.iterator(), key=lambda row: row.job_id)
    past = (_tell(jobs[pk], [_entry(row) for row in listed]) for pk, listed in told)
    return tuple(sorted((job for job in past if job is not None), key=lambda job: job.arrived_at))


def _entry(row: JobEvent) -> LogEntry:
    return LogEntry(
        number=row.number,
        kind=EventKind(row.kind),
        facts=row.facts,
        actor_role=Role(row.actor_role),
        actor_name=row.actor_name,
        happened_at=row.happened_at,
    )


class _Told:
    """What a job's log has told so far."""

    def __init__(self) -> None:
        self.visits: list[PastVisit] = []
        self.started: tuple[str, datetime] | None = None
        self.arrived_at: datetime | None = None
        self.packed_at: datetime | None = None
        self.left_at: datetime | None = None
        self.failed = False

    def hear(self, entry: LogEntry) -> None:
        """Take in one event."""
        at = entry.happened_at
        match entry.kind:
            case E.ARRIVED:
                self.arrived_at = self.arrived_at or at
            case E.WORK_STARTED:
                self.started = (load_facts(entry.kind, stored=entry.facts).step, at)
            case E.WORK_PAUSED:
                self.started = None
            case E.RETURNED_UNREPAIRED | E.CANCELLED | E.DECLINED:
                self.left_at = at
            case kind if kind is E.TEST_FAILED or kind in STEP_OF_EVENT:
                self._finish(entry)

    def _finish(self, entry: LogEntry) -> None:
        self.visits.append(_visit(entry, started=self.started, failed=self.failed))
        self.failed = self.failed or entry.kind is E.TEST_FAILED
        self.started = None
        if entry.kind is E.PACKED:
            self.packed_at = entry.happened_at


def _tell(job: Job, entries: Iterable[LogEntry]) -> PastJob | None:
    told, standing = _Told(), standing_events(entries)
    for entry in standing:
        told.hear(entry)
    if told.arrived_at is None:
        return None
    visits = told.visits
    spans = fold_holds((entry.kind, entry.facts, entry.happened_at) for entry in standing)
    if told.started is not None:
        step = BenchStep(told.started[0])
        visits.append(PastVisit(step, told.started[1], None, again=told.failed and step in REDONE_STEPS))
    return PastJob(
        job.number,
        job.family,
        told.arrived_at,
        tuple(visits),
        tuple(PastHold(span.kind, span.began_at, span.ended_at) for span in spans),
        told.packed_at,
        Priority.URGENT if job.priority else Priority.ORDINARY,
        told.left_at,
    )


def _visit(entry: LogEntry, *, started: tuple[str, datetime] | None, failed: bool) -> PastVisit:
    passed = entry.kind is not E.TEST_FAILED
    step = BenchStep(STEP_OF_EVENT[entry.kind]) if passed else BenchStep.TEST
    begun = started[1] if started is not None and started[0] == step.value else None
    again = failed and step in REDONE_STEPS
    return PastVisit(step, begun, entry.happened_at, passed=passed, again=again)
