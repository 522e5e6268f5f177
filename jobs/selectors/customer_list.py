"""The customer's jobs with the range that each one's own page shows; queries do not grow with them."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime

from jobs.domain.stages import Stage
from jobs.models import Job
from jobs.selectors.customer_jobs import JobLine, job_lines, see_job
from jobs.selectors.customer_when import see_when


def list_jobs(customer_id: int, *, now: datetime) -> tuple[JobLine, ...]:
    """Return the customer's jobs, the newest first, each with its promise or else today's range."""
    lines = job_lines(customer_id)
    waiting = [line.number for line in lines if line.sees_page and line.stage is Stage.BOOKED]
    if not waiting:
        return lines
    jobs = tuple(Job.objects.filter(number__in=waiting).order_by("pk"))
    family_of, ranges = {job.number: job.family for job in jobs}, _ranges(jobs, now=now)
    return tuple(_with_range(line, today=ranges.get(family_of.get(line.number, ""))) for line in lines)


def _ranges(jobs: Iterable[Job], *, now: datetime) -> dict[str, tuple[date, date]]:
    """Return today's range by family: until the shop says yes, all bookings of one family have the same."""
    found: dict[str, tuple[date, date]] = {}
    for family, job in {job.family: job for job in jobs}.items():
        today = see_when(see_job(job), now=now).today
        if today is not None:
            found[family] = (today.earliest_on, today.latest_on)
    return found


def _with_range(line: JobLine, *, today: tuple[date, date] | None) -> JobLine:
    return replace(line, today=today, sees_page=False) if today else line
