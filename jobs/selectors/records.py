"""All jobs, all events, all mails: the rows of long lists, narrowed by what stands in the address."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Q, QuerySet

from jobs.models import Customer, Job, JobEvent, OutboxMessage
from jobs.selectors import shop
from jobs.selectors.listing import as_lines
from jobs.selectors.merged_boxes import arrived_units

PAGE_ROWS = 50
AT_ONCE = 500
EVENT_COLUMNS = (
    "job__number", "number", "kind", "happened_at", "recorded_at", "actor_role", "actor_name",
)  # fmt: skip
MAIL_COLUMNS = (
    "job__number", "kind", "recipient", "state", "tries", "created_at", "sent_at", "run_after", "last_error",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Narrowing:
    """What a list is narrowed to; empty values narrow nothing. The days are the shop's, both included."""

    text: str = ""
    stage: str = ""
    hold: str = ""
    family: str = ""
    kind: str = ""
    state: str = ""
    since: date | None = None
    until: date | None = None


def jobs(narrowing: Narrowing) -> "QuerySet[Job]":
    """Return the jobs that fit, the newest first; narrowed to a hold, what is held longest first.

    A box that goes on under its booking is told there alone.
    """
    rows = as_lines(arrived_units()).order_by("-booked_at", "-pk")
    if narrowing.text:
        people = Q(name__icontains=narrowing.text) | Q(email__icontains=narrowing.text)
        units = Q(unit_model__icontains=narrowing.text) | Q(number_as_read__icontains=narrowing.text)
        found = Q(customer__in=Customer.objects.filter(people)) | Q(
            pk__in=Job.objects.filter(units).values("pk")
        )
        if digits := _digits(narrowing.text):
            found |= Q(number__startswith=digits)
        rows = rows.filter(found)
    rows = _equal(rows, stage=narrowing.stage, family=narrowing.family)
    if narrowing.hold:
        rows = rows.exclude(hold="") if narrowing.hold == "any" else rows.filter(hold=narrowing.hold)
        rows = rows.order_by("hold_since", "pk")
    return _between(rows, "booked_at", narrowing)


def events(narrowing: Narrowing) -> "QuerySet[JobEvent]":
    """Return the events that fit, the newest first."""
    rows = JobEvent.objects.select_related("job").only(*EVENT_COLUMNS).order_by("-happened_at", "-pk")
    if narrowing.text:
        found = Q(actor_name__icontains=narrowing.text)
        if digits := _digits(narrowing.text):
            found |= Q(job__number__startswith=digits)
        rows = rows.filter(found)
    return _between(_equal(rows, kind=narrowing.kind), "happened_at", narrowing)


def mails(narrowing: Narrowing) -> "QuerySet[OutboxMessage]":
    """Return the mails that fit, the newest first."""
    rows = OutboxMessage.objects.select_related("job").only(*MAIL_COLUMNS).order_by("-created_at", "-pk")
    if narrowing.text:
        found = Q(recipient__icontains=narrowing.text)
        if digits := _digits(narrowing.text):
            found |= Q(job__number__startswith=digits)
        rows = rows.filter(found)
    return _between(_equal(rows, kind=narrowing.kind, state=narrowing.state), "created_at", narrowing)


def one_page(rows: "QuerySet[Any]", *, number: str | int) -> "Page[Any]":
    """Return one page of a list, the nearest one there is."""
    return Paginator(rows, PAGE_ROWS).get_page(number)


def each_row(rows: "QuerySet[Any]") -> Iterator[Any]:
    """Yield every row of a list, some hundreds read at a time."""
    yield from rows.iterator(chunk_size=AT_ONCE)


def mail_kinds() -> tuple[str, ...]:
    """Return the kinds of mail that were ever queued."""
    return tuple(OutboxMessage.objects.order_by("kind").values_list("kind", flat=True).distinct())


def _digits(text: str) -> str:
    """Return the digits of a job number typed with or without separators; nothing for any other words."""
    compact = "".join(sign for sign in text if sign.isalnum())
    return compact if compact.isdecimal() else ""


def _equal(rows: "QuerySet[Any]", **columns: str) -> "QuerySet[Any]":
    return rows.filter(**{name: value for name, value in columns.items() if value})


def _between(rows: "QuerySet[Any]", column: str, narrowing: Narrowing) -> "QuerySet[Any]":
    zone = shop.zone()

    def midnight(day: date) -> datetime:
        return datetime.combine(day, time(0), zone)

    if narrowing.since:
        rows = rows.filter(**{f"{column}__gte": midnight(narrowing.since)})
    if narrowing.until:
        rows = rows.filter(**{f"{column}__lt": midnight(narrowing.until + timedelta(days=1))})
    return rows
