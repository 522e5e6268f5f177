"""The logs of jobs as the domain reads them, of one job or of many, in one query."""

from collections.abc import Iterator
from datetime import datetime
from itertools import groupby
from typing import Any

from django.db.models import QuerySet

from jobs.domain.replay import LogEntry
from jobs.domain.stages import EventKind, Role
from jobs.models import Job, JobEvent

COLUMNS = ("job_id", "number", "kind", "facts", "actor_role", "actor_name", "happened_at", "actor_id")


def log_of(job: Job) -> tuple[LogEntry, ...]:
    """Return the log of one job."""
    rows = JobEvent.objects.filter(job=job).order_by("number")
    return tuple(_entry(*row) for row in rows.values_list(*COLUMNS))


def logs_of(rows: "QuerySet[JobEvent]") -> Iterator[tuple[int, list[LogEntry]]]:
    """Yield the key of each job that has any of the events, with those in order."""
    in_order = rows.order_by("job_id", "number").values_list(*COLUMNS)
    for job_id, told in groupby(in_order.iterator(), key=lambda row: row[0]):
        yield job_id, [_entry(*row) for row in told]


def _entry(
    _job_id: int,
    number: int,
    kind: str,
    facts: dict[str, Any],
    actor_role: str,
    actor_name: str,
    happened_at: datetime,
    actor_user_id: int | None,
) -> LogEntry:
    return LogEntry(
        number=number,
        kind=EventKind(kind),
        facts=facts,
        actor_role=Role(actor_role),
        actor_name=actor_name,
        happened_at=happened_at,
        actor_user_id=actor_user_id,
    )
