"""The walk of every entry on a job: find it, bind the form, call one service, and answer."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, TypeVar

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from jobs.domain.errors import JobsError, StaleEdit
from jobs.domain.log import ONE_PRESS
from jobs.domain.stages import EventKind
from jobs.selectors import bench
from jobs.selectors.bench import JobAtBench
from jobs.selectors.log_words import LogLine
from packing.errors import PackingError
from portal.shared.actors import staff_actor
from portal.workshop.forms.staff import JobForm
from portal.workshop.pages import nav_links, title_cells
from portal.workshop.wording import next_url, next_words

F = TypeVar("F", bound=JobForm)
METHODS = ["GET", "HEAD", "POST"]


@dataclass(frozen=True, slots=True)
class Page:
    """The words of an entry's page: heading, what it is about, its button, and what is said afterwards."""

    title: str
    button: str
    done: str
    lead: str = ""
    cautions: tuple[str, ...] = ()
    stops: bool = False
    template: str = "workshop/action.html"
    more: dict[str, Any] = field(default_factory=dict)


def find_or_404(request: HttpRequest, number: str) -> JobAtBench:
    """Return the job of that number as the workshop sees it."""
    job = bench.find_job(number)
    if job is None:
        raise Http404
    today = timezone.localdate()
    return bench.see_job(job, role=staff_actor(request).role, today=today)


def show(
    request: HttpRequest, seen: JobAtBench, *, template: str, status: int = 200, **more: Any
) -> HttpResponse:
    """Return a page about a job."""
    context = {
        "seen": seen,
        "job": seen.job,
        "nav": nav_links(request),
        "now": timezone.now(),
        "title_cells": title_cells(seen.job, unit_words=seen.unit_words),
        **more,
    }
    return render(request, template, context, status=status)


def not_now(request: HttpRequest, seen: JobAtBench, *, kind: EventKind) -> HttpResponse:
    """Return the page that says why this cannot be recorded at the job's stage, and what is next."""
    return show(
        request,
        seen,
        template="workshop/not_now.html",
        status=409,
        sentence=bench.why_not_now(seen, kind=kind),
        next_words=next_words(seen),
        next_url=next_url(seen),
    )


def sent_twice(seen: JobAtBench, *, kind: EventKind, seen_count: int, person: str, now: datetime) -> bool:
    """Return whether this person's own entry of that kind, made a moment ago, is what came between.

    A browser shows the answer to the second click of a double click: to say there that somebody else was
    quicker, and to send it again, would be how everything is recorded twice.
    """
    since = [entry for entry in seen.entries if entry.number > seen_count]
    if not since or kind not in {entry.kind for entry in since}:
        return False
    return since[0].actor_name == person and now - since[0].happened_at < ONE_PRESS


def once(request: HttpRequest, seen: JobAtBench) -> HttpResponse:
    """Go back to a job on which the same entry was recorded a moment ago."""
    messages.success(request, _("Recorded. It was sent twice and is kept once."))
    return redirect("workshop:job", seen.number)


def enter(
    request: HttpRequest,
    seen: JobAtBench,
    *,
    kind: EventKind,
    page: Page,
    make_form: Callable[[Any], F],
    send: Callable[[F, dict[str, Any]], Any],
) -> HttpResponse:
    """Show the form, or send it through its service and go back to the job.

    A stale entry answers 409 with what was recorded meanwhile beside everything that was typed.
    """
    if request.method != "POST":
        if kind not in seen.allowed:
            return not_now(request, seen, kind=kind)
        return show(request, seen, template=page.template, form=make_form(None), page=page, **page.more)
    form = make_form(request.POST)
    status = 422
    meanwhile: tuple[LogLine, ...] = ()
    me, now = staff_actor(request), timezone.now()
    if form.is_valid():
        sent = {"actor": me, "now": now, "expected_count": form.seen_count()}
        try:
            send(form, sent)
        except (JobsError, PackingError) as refusal:
            fresh = find_or_404(request, seen.number)
            if sent_twice(fresh, kind=kind, seen_count=form.seen_count(), person=me.name, now=now):
                return once(request, fresh)
            form.add_error(None, str(refusal))
            if isinstance(refusal, StaleEdit):
                status, meanwhile = 409, bench.recorded_since(fresh.job, seen=form.seen_count())
                seen = fresh
                form.see_again(seen.job)
        else:
            if page.done:
                messages.success(request, page.done)
            return redirect("workshop:job", seen.number)
    elif sent_twice(seen, kind=kind, seen_count=form.seen_count(), person=me.name, now=now):
        # What was offered to the first click is not to the second, so the form is refused before the count.
        return once(request, seen)
    return show(
        request,
        seen,
        template=page.template,
        status=status,
        form=form,
        page=page,
        meanwhile=meanwhile,
        **page.more,
    )
