"""The customer's jobs with the range that each one's own page shows; queries do not grow with them."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date, datetime

from jobs.domain.stages import Stage
from jobs.models import FamilyForecast, Job
from jobs.selectors import shop
from jobs.selectors.customer_jobs import JobLine, job_lines
from jobs.selectors.customer_when import DayRange, family_range
from jobs.selectors.outlook import days_on_arrival
from jobs.selectors.shop_state import expected_at


def list_jobs(customer_id: int, *, now: datetime) -> tuple[JobLine, ...]:
    """Return the customer's jobs, the newest first, each with its promise or else today's range."""
    lines = job_lines(customer_id)
    waiting = [line.number for line in lines if line.sees_page and line.stage is Stage.BOOKED]
    if not waiting:
        return lines
    family_of = dict(Job.objects.filter(number__in=waiting).values_list("number", "family"))
    ranges = _ranges(set(family_of.values()), now=now)
    return tuple(_with_range(line, told=ranges.get(family_of.get(line.number, ""))) for line in lines)


def _ranges(families: Collection[str], *, now: datetime) -> dict[str, DayRange]:
    """Return today's range by family, which all bookings of a family share until the shop's yes."""
    zone = shop.zone()
    arrives_on = expected_at(Stage.BOOKED, since=now, now=now).astimezone(zone).date()
    days = days_on_arrival(families, arrives_on=arrives_on, now=now)
    open_day = shop.open_days()
    return {
        row.family: family_range(
            row, on_arrival=days.get(row.family), arrives_on=arrives_on, zone=zone, open_day=open_day
        )
        for row in FamilyForecast.objects.filter(family__in=families)
    }


def _with_range(line: JobLine, *, told: DayRange | None) -> JobLine:
    if told is None:
        return line
    today: tuple[date, date] = (told.earliest_on, told.latest_on)
    return replace(line, today=today, sees_page=False)
