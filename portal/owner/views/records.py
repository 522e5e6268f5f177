"""The long lists: all jobs, all events, all mails, narrowed in the address, and as CSV."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from jobs.domain.stages import EVENT_LABELS, STAGE_LABELS, EventKind, Stage
from jobs.models import Job, JobEvent, OutboxMessage
from jobs.selectors import queue, shop
from jobs.selectors import records as rows
from jobs.selectors.counter import ASKED_WORDS
from jobs.selectors.questions import OpenQuestion, open_questions
from jobs.selectors.unit_names import name_unit
from jobs.services import photos
from jobs.services.messages import try_again
from packing import selectors as catalogue
from packing.selectors import Catalogue
from portal.owner.csv_export import Cell, csv_response
from portal.owner.forms import MAIL_STATES, EventFilter, JobFilter, MailFilter, RecordFilter
from portal.owner.navigation import job_url, page, record_links


@dataclass(frozen=True, slots=True)
class JobLine:
    """One job in the list."""

    job: Job
    url: str
    unit_words: str
    stage_words: str
    since: datetime


@dataclass(frozen=True, slots=True)
class EventLine:
    """One event in the list."""

    event: JobEvent
    url: str
    words: str


@dataclass(frozen=True, slots=True)
class MailLine:
    """One mail in the list."""

    mail: OutboxMessage
    url: str
    kind_words: str
    state_words: str


JOB_HEAD = (
    "number", "family", "unit_model", "number_as_read", "customer", "email", "stage", "stage_since", "hold",
    "hold_since", "priority", "transit_damage", "booked_at", "arrived_at", "ended_at", "promise_earliest_on",
    "promise_likely_on", "promise_latest_on", "spend_limit_pence", "tracking_in", "tracking_out",
)  # fmt: skip
EVENT_HEAD = ("job", "number", "kind", "happened_at", "recorded_at", "role", "by")
MAIL_HEAD = ("kind", "recipient", "job", "state", "tries", "created_at", "sent_at", "run_after", "last_error")


@require_safe
def jobs(request: HttpRequest) -> HttpResponseBase:
    """Show every job, or the CSV of those that fit."""
    form = JobFilter(request.GET, families=queue.family_choices())
    found = rows.jobs(form.narrowing())
    if _wants_csv(request):
        return _csv("jobs", head=JOB_HEAD, cells=_job_cells(rows.each_row(found)))
    published = catalogue.catalogue()
    listed = rows.one_page(found, number=request.GET.get("page", 1))
    asked = open_questions([job for job in listed if job.stage == Stage.BOOKED.value])
    lines = tuple(_job_line(job, published=published, question=asked.get(job.pk)) for job in listed)
    return _listed(request, current="jobs", title=_("Jobs"), form=form, listed=listed, lines=lines)


@require_safe
def events(request: HttpRequest) -> HttpResponseBase:
    """Show every event, or the CSV of those that fit."""
    form = EventFilter(request.GET)
    found = rows.events(form.narrowing())
    if _wants_csv(request):
        return _csv("events", head=EVENT_HEAD, cells=_event_cells(rows.each_row(found)))
    listed = rows.one_page(found, number=request.GET.get("page", 1))
    lines = tuple(
        EventLine(event, job_url(event.job.number), EVENT_LABELS[EventKind(event.kind)]) for event in listed
    )
    return _listed(request, current="events", title=_("Events"), form=form, listed=listed, lines=lines)


@require_safe
def mails(request: HttpRequest) -> HttpResponseBase:
    """Show every mail, or the CSV of those that fit."""
    form = MailFilter(request.GET, kinds=rows.mail_kinds())
    found = rows.mails(form.narrowing())
    if _wants_csv(request):
        return _csv("mails", head=MAIL_HEAD, cells=_mail_cells(rows.each_row(found)))
    listed = rows.one_page(found, number=request.GET.get("page", 1))
    lines = tuple(
        MailLine(
            mail,
            job_url(mail.job.number) if mail.job else "",
            mail.kind.replace("_", " ").capitalize(),
            str(MAIL_STATES[mail.state]),
        )
        for mail in listed
    )
    return _listed(request, current="mails", title=_("Mails"), form=form, listed=listed, lines=lines)


@require_POST
def send_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a given-up mail back among those that wait."""
    if try_again(pk, now=timezone.now()):
        messages.success(request, _("The mail is tried again now."))
    else:
        messages.warning(request, _("This mail is not given up any more; look at its state in the list."))
    back = "owner:mails" if request.POST.get("back") == "mails" else "owner:dashboard"
    return redirect(back)


@require_POST
def prepare_again(request: HttpRequest, reference: UUID) -> HttpResponse:
    """Have a photo that could not be prepared taken up again at once."""
    if photos.try_again(reference):
        messages.success(request, _("The photo is tried again now; look here in a minute."))
    else:
        messages.warning(
            request, _("This photo is ready, refused or taken off by now: nothing is left to try.")
        )
    return redirect("owner:dashboard")


def _wants_csv(request: HttpRequest) -> bool:
    return request.GET.get("as") == "csv"


def _listed(
    request: HttpRequest, *, current: str, title: str, form: RecordFilter, listed: Any, lines: Sequence[Any]
) -> HttpResponse:
    context = page(
        "records",
        lists=record_links(current),
        title=title,
        form=form,
        page=listed,
        lines=lines,
        now=timezone.now(),
        zone=shop.zone().key,
        narrowed=bool(form.narrowing() != rows.Narrowing()),
    )
    return render(request, f"owner/{current}.html", context)


def _csv(name: str, *, head: Sequence[str], cells: Iterable[Sequence[Cell]]) -> HttpResponseBase:
    zone = shop.zone()
    day = timezone.now().astimezone(zone).date().isoformat()
    return csv_response(head, cells, name=f"{name}-{day}.csv", zone=zone)


def _job_line(job: Job, *, published: Catalogue, question: OpenQuestion | None) -> JobLine:
    words, since = (ASKED_WORDS, question.asked_at) if question else ("", job.stage_since)
    return JobLine(job, job_url(job.number), name_unit(job, published=published), words, since)


def _job_cells(found: "Iterable[Job] | QuerySet[Job]") -> Iterable[Sequence[Cell]]:
    for job in found:
        customer = job.customer
        yield (
            job.number, job.family, job.unit_model, job.number_as_read, customer.name if customer else "",
            customer.email if customer else "", STAGE_LABELS[Stage(job.stage)], job.stage_since, job.hold,
            job.hold_since, job.priority, job.transit_damage, job.booked_at, job.arrived_at, job.ended_at,
            job.promise_earliest_on, job.promise_likely_on, job.promise_latest_on, job.spend_limit_pence,
            job.tracking_in, job.tracking_out,
        )  # fmt: skip


def _event_cells(found: Iterable[JobEvent]) -> Iterable[Sequence[Cell]]:
    for event in found:
        words = EVENT_LABELS[EventKind(event.kind)]
        yield (
            event.job.number, event.number, words, event.happened_at, event.recorded_at,
            event.actor_role, event.actor_name,
        )  # fmt: skip


def _mail_cells(found: Iterable[OutboxMessage]) -> Iterable[Sequence[Cell]]:
    for mail in found:
        yield (
            mail.kind, mail.recipient, mail.job.number if mail.job else "", mail.state, mail.tries,
            mail.created_at, mail.sent_at, mail.run_after, mail.last_error,
        )  # fmt: skip
