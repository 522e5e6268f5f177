"""The parcel is with the carrier: the day, the carrier, and the tracking number, now or later."""

from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from jobs.domain.errors import JobsError
from jobs.domain.stages import EventKind
from jobs.domain.tracking import read_tracking
from jobs.models import Job
from jobs.selectors import customer_findings, customer_jobs, parcels
from jobs.selectors.customer_findings import ParcelSeen
from jobs.services import parcels as parcel_service
from packing import selectors as catalogue
from portal.customer.forms.job import PostedForm, TrackingForm, carrier_names
from portal.customer.own_jobs import actor_of, own_job
from portal.customer.views.sending import title_cells_of
from portal.customer.wording import late_words
from portal.shared.forms import SheetForm
from portal.shared.refused_forms import data_for, forget_refused, page_of


@require_http_methods(["GET", "HEAD", "POST"])
@own_job
def posted(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Take the posting, then a tracking number that came later; elsewhere lead to the job page."""
    seen = customer_jobs.see_job(job)
    if seen.may(EventKind.POSTED.value):
        return _take_posting(request, job=job)
    if seen.may(EventKind.TRACKING_ADDED.value):
        return _take_tracking(request, job=job)
    return redirect("customer:job", number=job.number)


def _take_posting(request: HttpRequest, *, job: Job) -> HttpResponse:
    now = timezone.now()
    today = timezone.localdate(now)
    form = PostedForm(data_for(request), today=today, initial={"posted_on": today})
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            parcel_service.record_posted(
                job.number,
                on=given["posted_on"],
                carrier=given["carrier"],
                tracking_number=given["tracking_number"],
                actor=actor_of(job),
                now=now,
            )
        except parcel_service.PostedTooEarly as refusal:
            form.add_error("posted_on", str(refusal))
        except JobsError as refusal:
            form.add_error(None, str(refusal))
        else:
            forget_refused(request)
            return redirect("customer:posted", number=job.number)
    state = customer_jobs.see_job(job).state
    gate = parcels.gate_for(job, state=state, now=now)
    smelt_on = parcels.day_it_could_go(job, state=state, today=today)
    return _page(request, job=job, form=form, gate=gate, smelt_on=smelt_on, parcel=None, late_words="")


def _take_tracking(request: HttpRequest, *, job: Job) -> HttpResponse:
    entries = customer_jobs.see_job(job).entries
    parcel = customer_findings.parcel_in(entries)
    if "posted_on" in request.POST and parcel is not None and _says_nothing_new(request, parcel=parcel):
        return redirect("customer:posted", number=job.number)
    initial = {"carrier": parcel.carrier, "tracking_number": parcel.tracking_number} if parcel else {}
    form = TrackingForm(data_for(request), initial=initial)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            parcel_service.add_tracking(
                job.number,
                carrier=given["carrier"],
                tracking_number=given["tracking_number"],
                actor=actor_of(job),
                now=timezone.now(),
            )
        except JobsError as refusal:
            form.add_error(None, str(refusal))
        else:
            forget_refused(request)
            return redirect("customer:posted", number=job.number)
    late = late_words(parcel, today=timezone.localdate())
    return _page(request, job=job, form=form, gate=None, parcel=parcel, late_words=late)


def _says_nothing_new(request: HttpRequest, *, parcel: ParcelSeen) -> bool:
    """Return whether a posting that is recorded was sent once more, as by a double press."""
    number = read_tracking(request.POST.get("tracking_number", "")).compact
    return (request.POST.get("carrier", "").strip(), number) == (parcel.carrier, parcel.tracking_number)


def _page(request: HttpRequest, *, job: Job, form: SheetForm, **more: object) -> HttpResponse:
    context = {
        "job": job,
        "form": form,
        "carriers": carrier_names(tuple(catalogue.catalogue().carriers.values())),
        "title_cells": title_cells_of(job),
    }
    draw = partial(render, request, "customer/posted.html", context | more)
    return page_of(request, form=form, draw=draw)
