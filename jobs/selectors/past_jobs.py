"""The shop's own event log as the plain past that a backtest replays."""

from collections.abc import Iterable
from datetime import datetime

from jobs.domain.facts import TurnChanged, load_facts
from jobs.domain.holds import fold_holds
from jobs.domain.replay import LogEntry, standing_events
from jobs.domain.stages import EventKind, Turn
from jobs.leadtime.past import PastHold, PastJob, PastTurn
from jobs.leadtime.past_visits import fold_visits
from jobs.leadtime.state import Priority
from jobs.models import Job, JobEvent
from jobs.selectors.logs import log_of, logs_of

E = EventKind
LEAVING = (E.RETURNED_UNREPAIRED, E.CANCELLED, E.DECLINED)


def past_job(job: Job) -> PastJob | None:
    """Return what the log of one job says was done and waited for, None before it has arrived."""
    return _tell(job, log_of(job))


def past_jobs() -> tuple[PastJob, ...]:
    """Return every job that has arrived, in two queries, with what its log says was done and waited for.

    An event that a later correction takes back does not count.
    """
    jobs = {job.pk: job for job in Job.objects.exclude(arrived_at=None)}
    told = logs_of(JobEvent.objects.filter(job_id__in=list(jobs)))
    past = (_tell(jobs[job_id], entries) for job_id, entries in told)
    return tuple(sorted((job for job in past if job is not None), key=lambda job: job.arrived_at))


def _tell(job: Job, entries: Iterable[LogEntry]) -> PastJob | None:
    standing = standing_events(entries)
    first: dict[EventKind, datetime] = {}
    last: dict[EventKind, datetime] = {}
    for entry in standing:
        first.setdefault(entry.kind, entry.happened_at)
        last[entry.kind] = entry.happened_at
    if E.ARRIVED not in first:
        return None
    told = [(entry.kind, entry.facts, entry.happened_at) for entry in standing]
    return PastJob(
        job.number,
        job.family,
        first[E.ARRIVED],
        fold_visits(told),
        tuple(PastHold(span.kind, span.began_at, span.ended_at) for span in fold_holds(told)),
        last.get(E.PACKED),
        left_at=max((last[kind] for kind in LEAVING if kind in last), default=None),
        turns=tuple(_turn(entry) for entry in standing if entry.kind is E.TURN_CHANGED),
    )


def _turn(entry: LogEntry) -> PastTurn:
    changed: TurnChanged = load_facts(entry.kind, stored=entry.facts)
    priority = Priority.URGENT if changed.turn is Turn.FIRST else Priority.ORDINARY
    return PastTurn(entry.happened_at, priority)
