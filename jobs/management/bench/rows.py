"""How does a throw-away database get exactly so many jobs? The demo's history is multiplied."""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import TypeVar
from uuid import uuid4

from django.db import connection, models

from jobs.demo.opening import open_demo_shop
from jobs.demo.seeding import seed_history
from jobs.domain import job_number
from jobs.models import Customer, ExtraWork, Job, JobEvent, Mark
from jobs.services import forecasts

Row = TypeVar("Row", bound=models.Model)
BATCH = 500
FIRST_NUMBER = 100_000
EMPTIED = (
    "jobs_outboxmessage",
    "jobs_privatelink",
    "jobs_jobforecast",
    "jobs_keptquote",
    "jobs_mark",
    "jobs_photo",
    "jobs_steptick",
    "jobs_booking",
    "jobs_extrawork",
    "jobs_jobevent",
    "jobs_job",
    "jobs_customer",
)


@dataclass(frozen=True, slots=True)
class Pattern:
    """One told job with everything that hangs on it, to be written again and again."""

    job: Job
    customer: Customer
    hanging: tuple[models.Model, ...]


def tell_patterns(*, now: datetime) -> tuple[Pattern, ...]:
    """Return the demo's jobs, those still open first, after writing them once."""
    seed_history(staff=open_demo_shop(now=now), now=now)
    hanging: dict[int, list[models.Model]] = {}
    for model in (JobEvent, Mark, ExtraWork):
        for row in model._default_manager.order_by("pk").iterator():
            hanging.setdefault(row.job_id, []).append(row)
    jobs = Job.objects.select_related("customer").order_by(models.F("ended_at").desc(nulls_first=True), "-pk")
    return tuple(
        Pattern(job=job, customer=job.customer, hanging=tuple(hanging.get(job.pk, ())))
        for job in jobs
        if job.customer is not None
    )


def write_jobs(patterns: Sequence[Pattern], *, count: int, now: datetime) -> Customer:
    """Return a customer with a job at each stage and one in ten, 50 at most, after leaving `count` jobs.

    A job at each stage, so that pages with few jobs take the same paths as those with many.
    """
    with connection.cursor() as cursor:
        for table in EMPTIED:
            cursor.execute(f"DELETE FROM {table}")  # noqa: S608 - names of our own tables
    chosen = [patterns[at % len(patterns)] for at in range(count)]
    customers = Customer.objects.bulk_create([_again(each.customer) for each in chosen], batch_size=BATCH)
    owner = customers[0]
    first_at = {each.job.stage: at for at, each in reversed(list(enumerate(chosen)))}
    owned = {*first_at.values(), *range(min(50, count // 10))}
    jobs = []
    for at, each in enumerate(chosen):
        job = _again(each.job)
        job.number = job_number.make(FIRST_NUMBER + at)
        job.submission_key = uuid4()
        job.customer = owner if at in owned else customers[at]
        jobs.append(job)
    Job.objects.bulk_create(jobs, batch_size=BATCH)
    for model in (JobEvent, Mark, ExtraWork):
        rows = (
            _again(row, job=job)
            for job, each in zip(jobs, chosen, strict=True)
            for row in each.hanging
            if isinstance(row, model)
        )
        while batch := list(islice(rows, BATCH)):
            model._default_manager.bulk_create(batch)  # type: ignore[arg-type]
    forecasts.refresh(now=now)
    return owner


def _again(row: Row, *, job: Job | None = None) -> Row:
    fresh = copy(row)
    fresh._state = copy(row._state)
    fresh._state.fields_cache = {}
    fresh.pk = None
    if job is not None:
        fresh.job = job  # type: ignore[attr-defined]
    return fresh
