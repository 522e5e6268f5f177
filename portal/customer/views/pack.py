"""What comes off, how it is drained and aired, how it is packed: one page, ticked in the garage."""

from datetime import date, datetime
from functools import partial

from django.http import HttpRequest, HttpResponse, JsonResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.domain.errors import JobsError
from jobs.domain.stages import EventKind
from jobs.models import Job
from jobs.selectors import customer_findings, customer_jobs, own_carton
from jobs.selectors.customer_jobs import JobSeen
from jobs.selectors.parcels import family_of
from jobs.selectors.shop import zone
from jobs.services import parcels as parcel_service
from packing.parcel.unit import Leg
from packing.strip.gate import GateState
from portal.customer.forms.job import DrainedForm, SmellForm
from portal.customer.own_jobs import actor_of, customer_of, own_job
from portal.customer.pack_progress import GATE
from portal.customer.pack_steps import without_deferral
from portal.customer.pack_ways import count_words, ways_on
from portal.customer.pack_work import pack_work
from portal.customer.plan_sheet import plan_context
from portal.customer.views.sending import title_cells_of
from portal.customer.wording import GATE_WORDS
from portal.shared.forms import SheetForm
from portal.shared.goods import to_declare
from portal.shared.parcel_drawing import draw_frozen_plan
from portal.shared.refused_forms import data_for, forget_refused, page_of

METHODS = ["GET", "HEAD", "POST"]


@require_http_methods(METHODS)
@own_job
def pack(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Show the steps with what is ticked, the gate, the drawing and the way to the slip; save the ticks."""
    seen = customer_jobs.see_job(job)
    if request.method == "POST":
        now = timezone.now()
        _save_ticks(request, job=job, seen=seen, now=now)
        work = pack_work(job, seen=seen, units=customer_of(job).unit_choice, now=now)
        if work is not None and "at_once" in request.POST:
            return JsonResponse(count_words(work.progress))
        way = next((way for way in ways_on(job) if way.key == request.POST.get("go")), None)
        if way is not None:
            return redirect(way.url)
        return redirect(_page_at(job, anchor=work.progress.next_key if work else GATE))
    return pack_page(request, job=job, seen=seen, drained_form=None, smell_form=None)


@require_http_methods(METHODS)
@own_job
def drained(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Record when the unit was drained and set out in the air."""
    seen, now, data = customer_jobs.see_job(job), timezone.now(), data_for(request)
    if data is None:
        return redirect(_page_at(job, anchor=GATE))
    _save_ticks(request, job=job, seen=seen, now=now)
    form = DrainedForm(data, auto_id="drained_%s", **_days(job, now=now))
    if request.method == "POST" and form.is_valid():
        try:
            parcel_service.record_drained(
                job.number, drained_at=form.drained_at(), actor=actor_of(job), now=now
            )
        except JobsError as refusal:
            form.add_error(None, str(refusal))
        else:
            forget_refused(request)
            return redirect(_page_at(job, anchor=GATE))
    smell_form = SmellForm(initial=_sent_of(SmellForm, data=data), auto_id="smell_%s")
    draw = partial(pack_page, request, job=job, seen=seen, drained_form=form, smell_form=smell_form)
    return page_of(request, form=form, draw=draw)


@require_http_methods(METHODS)
@own_job
def smell(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Record what the nose said."""
    seen, now, data = customer_jobs.see_job(job), timezone.now(), data_for(request)
    if data is None:
        return redirect(_page_at(job, anchor=GATE))
    _save_ticks(request, job=job, seen=seen, now=now)
    form = SmellForm(data, auto_id="smell_%s")
    if request.method == "POST" and form.is_valid():
        try:
            parcel_service.record_smell(job.number, smells=form.it_smells(), actor=actor_of(job), now=now)
        except JobsError as refusal:
            form.add_error(None, str(refusal))
        else:
            forget_refused(request)
            return redirect(_page_at(job, anchor=GATE))
    initial = _sent_of(DrainedForm, data=data)
    drained_form = DrainedForm(initial=initial, auto_id="drained_%s", **_days(job, now=now))
    draw = partial(pack_page, request, job=job, seen=seen, drained_form=drained_form, smell_form=form)
    return page_of(request, form=form, draw=draw)


def pack_page(
    request: HttpRequest,
    *,
    job: Job,
    seen: JobSeen,
    drained_form: DrainedForm | None,
    smell_form: SmellForm | None,
) -> HttpResponse:
    """Return the page, with the form that was refused as it was sent and the other one as it was typed."""
    now, units = timezone.now(), customer_of(job).unit_choice
    work = pack_work(job, seen=seen, units=units, now=now)
    if work is None:
        waiting = {"job": job, "needs_draining": seen.needs_draining, "title_cells": title_cells_of(job)}
        return render(request, "customer/pack_not_yet.html", waiting)
    gate, plan = work.gate, work.plan
    parcel = customer_findings.parcel_in(seen.entries)
    drawing = draw_frozen_plan(job, plan=plan, units=units) if plan else None
    started = now.astimezone(zone())
    initial = {"drained_on": started.date(), "drained_time": f"{started:%H:%M}"}
    sent: tuple[SheetForm | None, ...] = (drained_form, smell_form)
    refused = next((form for form in sent if form is not None and form.is_bound), None)
    context = {
        "job": job,
        "seen": seen,
        "work": work,
        "posted_on": parcel.on if parcel else None,
        "counts": count_words(work.progress),
        **plan_context(plan, drawing=drawing, units=units),
        "may_try_carton": seen.may(EventKind.DRAINED.value) and own_carton.knows_unit(job),
        "own_carton": own_carton.chosen_carton(job) is not None,
        "gate_title": GATE_WORDS[gate.state],
        "gate_kind": "done" if gate.may_post else "caution",
        "cautions": without_deferral(work.listed.cautions),
        "goods": to_declare(
            family_of(job), leg=Leg.TO_SHOP, gross_mass_kg=plan.gross_mass_kg if plan else None
        ),
        "asks_smell": gate.may_smell,
        "asks_drained": gate.state is GateState.NOT_DRAINED,
        "needs_draining": seen.needs_draining,
        "may_act": seen.may(EventKind.DRAINED.value),
        "drained_form": drained_form
        or DrainedForm(initial=initial, auto_id="drained_%s", **_days(job, now=now)),
        "smell_form": smell_form or SmellForm(auto_id="smell_%s"),
        "errors": refused.summary_errors() if refused is not None else (),
        "zone_name": zone().key,
        "ways": tuple(way for way in ways_on(job) if way.words),
        "title_cells": title_cells_of(job),
    }
    return render(request, "customer/pack.html", context)


def _save_ticks(request: HttpRequest, *, job: Job, seen: JobSeen, now: datetime) -> None:
    """Save the ticks that came along: every button of the page sends them."""
    sent = request.POST.getlist("shown")  # none where the page is only looked at
    if not sent or not seen.may(EventKind.DRAINED.value):
        return
    work = pack_work(job, seen=seen, units=customer_of(job).unit_choice, now=now)
    known = work.step_keys if work is not None else frozenset()
    shown = tuple(step for step in sent if step in known)
    steps = tuple(step for step in request.POST.getlist("done") if step in known)
    parcel_service.set_ticks(job.number, steps=steps, shown=shown, now=now)


def _sent_of(form: type[SheetForm], *, data: QueryDict) -> dict[str, str]:
    """Return what was typed into a form of the page that was not the one sent."""
    return {name: str(data[name]) for name in form.base_fields if name in data}


def _days(job: Job, *, now: datetime) -> dict[str, date]:
    """Return the days that a day of draining is measured by."""
    return {"booked_on": timezone.localdate(job.booked_at), "today": timezone.localdate(now)}


def _page_at(job: Job, *, anchor: str) -> str:
    return f"{reverse('customer:pack', args=[job.number])}#{anchor}"
