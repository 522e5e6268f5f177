"""One job as its customer sees it, and what they may do about it."""

import re
from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.errors import JobsError, StaleEdit
from jobs.domain.stages import EventKind
from jobs.models import Customer, Job
from jobs.selectors import customer_findings, customer_jobs, customer_when
from jobs.selectors.parcels import gate_for
from jobs.selectors.withdrawn_photos import withdrawn_photos
from jobs.services import answers, dispatch, parcels
from portal.customer.forms.job import AnswerForm, CancelForm, DetailsForm
from portal.customer.hold_words import hold_words
from portal.customer.job_photos import bench_photos, marked_photos
from portal.customer.own_jobs import actor_of, customer_of, own_job
from portal.customer.views.sending import title_cells_of
from portal.customer.when_words import when_words
from portal.customer.wording import (
    came_on_the_way,
    end_words,
    late_words,
    mark_words,
    now_words,
    talk_words,
    timeline_words,
    turn_words,
)
from portal.shared.forms import SheetForm
from portal.shared.refused_forms import data_for, forget_refused, page_of

METHODS = ["GET", "HEAD", "POST"]
VERSION = re.compile(r"[0-9]{1,9}")


@require_safe
@own_job
def job(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Show where the unit is, when it will be back and why, what was found, and what waits for an answer."""
    seen, now = customer_jobs.see_job(job), timezone.now()
    condition = customer_findings.condition(job, entries=seen.entries)
    readings = customer_findings.readings(job, entries=seen.entries)
    parcel_in = customer_findings.parcel_in(seen.entries)
    track_open = seen.may(EventKind.TRACKING_ADDED.value)
    gate = gate_for(job, state=seen.state, now=now) if seen.is_draining else None
    context = {
        "seen": seen,
        "now": now,
        "today": timezone.localdate(),
        "now_words": now_words(seen, today=timezone.localdate(now), gate=gate),
        "end": end_words(seen),
        "talk": talk_words(seen),
        "turn_words": turn_words(seen.stage, needs_answer=seen.asks_customer),
        "why_unrepaired": customer_findings.why_unrepaired(seen.entries),
        "hold": hold_words(seen),
        "steps": timeline_words(seen.steps),
        "pack_open": seen.may(EventKind.DRAINED.value),
        "is_aired": gate is not None and gate.may_post,
        "track_open": track_open,
        "late_words": late_words(parcel_in, today=timezone.localdate(now)) if track_open else "",
        "close_open": seen.may(EventKind.CLOSED.value),
        "cancel_open": seen.may(EventKind.CANCELLED.value),
        "details_open": seen.may(EventKind.DETAILS_CHANGED.value),
        "condition": condition,
        "marks": mark_words(condition.marks) if condition else (),
        "from_the_way": came_on_the_way(condition.marks) if condition else False,
        "marked_photos": marked_photos(job, marks=condition.marks) if condition else (),
        "bench_photos": bench_photos(job),
        "has_lost_photo": any(photo.is_customers for photo in withdrawn_photos(seen.entries)),
        "settings_rows": customer_findings.settings_sheet(seen.entries),
        "readings": readings,
        "reading_count": len(readings),
        "outside_count": sum(reading.is_outside for reading in readings),
        "parcel_in": parcel_in,
        "parcel_back": customer_findings.parcel_back(seen.entries),
        "when": when_words(customer_when.see_when(seen, now=now), hold=seen.hold),
        "customer": customer_of(job),
        "form": AnswerForm(),
        "title_cells": title_cells_of(job),
    }
    return render(request, "customer/job.html", context)


@require_http_methods(METHODS)
@own_job
def answer(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Take the answer to the shop's question, also one written while the shop settled it."""
    seen = customer_jobs.see_job(job)
    given = data_for(request)
    question = seen.state.question_open if given is None else seen.unanswered
    if not question:
        return redirect("customer:job", number=job.number)
    form = AnswerForm(given)
    if request.method == "POST" and form.is_valid():
        try:
            answers.answer_question(
                job.number, text=form.cleaned_data["text"], actor=actor_of(job), now=timezone.now()
            )
        except JobsError as refusal:
            form.add_error(None, str(refusal))
        else:
            forget_refused(request)
            return redirect("customer:job", number=job.number)
    return _page(request, job=job, form=form, template="answer", question=question)


@require_http_methods(METHODS)
@own_job
def details(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Change where the unit goes back to."""
    names = ("name", "phone", "address_lines", "postal_code", "country")
    customer = customer_of(job)
    form = DetailsForm(
        data_for(request),
        initial={name: getattr(customer, name) for name in names},
    )
    sent = str(form.data.get("version", "")) if form.is_bound else ""
    version = int(sent) if VERSION.fullmatch(sent) else 0 if form.is_bound else customer.version
    if request.method == "POST" and form.is_valid():
        given = {name: form.cleaned_data[name] for name in names}
        try:
            parcels.change_details(
                job.number,
                **given,
                expected_version=version,
                actor=actor_of(job),
                now=timezone.now(),
            )
        except StaleEdit:
            customer.refresh_from_db()
            form.add_error(None, _changed_meanwhile(customer))
        except JobsError as refusal:
            form.add_error(None, str(refusal))
        else:
            forget_refused(request)
            return redirect("customer:job", number=job.number)
    return _page(request, job=job, form=form, template="details", customer=customer, version=version)


@require_http_methods(METHODS)
@own_job
def cancel(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Cancel a booking that was not posted yet, on a page of its own."""
    if not customer_jobs.see_job(job).may(EventKind.CANCELLED.value):
        return redirect("customer:job", number=job.number)
    form = CancelForm(data_for(request))
    if request.method == "POST" and form.is_valid():
        try:
            answers.cancel_job(
                job.number,
                reason=form.cleaned_data["reason"],
                actor=actor_of(job),
                now=timezone.now(),
                expected_count=None,
            )
        except JobsError as refusal:
            form.add_error(None, str(refusal))
        else:
            forget_refused(request)
            return redirect("customer:job", number=job.number)
    return _page(request, job=job, form=form, template="cancel")


@require_http_methods(METHODS)
@own_job
def received(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Close the job: the customer has the unit in hand and found it in order."""
    if not customer_jobs.see_job(job).may(EventKind.CLOSED.value):
        return redirect("customer:job", number=job.number)
    form = SheetForm(data_for(request))
    if request.method == "POST":
        try:
            dispatch.close_job(
                job.number, note=_("The customer has it."), actor=actor_of(job), now=timezone.now()
            )
        except JobsError as refusal:
            form.add_error(None, str(refusal))
        else:
            forget_refused(request)
            return redirect("customer:job", number=job.number)
    return _page(request, job=job, form=form, template="received")


def _changed_meanwhile(customer: Customer) -> str:
    """Return the sentence with what is kept now; what was typed stays in the form below it."""
    lines = (customer.name, *customer.address_lines.splitlines(), customer.postal_code, customer.country)
    kept = ", ".join(line for line in (*lines, customer.phone) if line)
    return _(
        "These details were changed meanwhile, perhaps on another device. We have now: %(kept)s. Look at "
        "what stands below, and save it again if it is right."
    ) % {"kept": kept}


def _page(request: HttpRequest, *, job: Job, form: SheetForm, template: str, **more: object) -> HttpResponse:
    context = {"job": job, "form": form, "title_cells": title_cells_of(job)}
    draw = partial(render, request, f"customer/{template}.html", context | more)
    return page_of(request, form=form, draw=draw)
