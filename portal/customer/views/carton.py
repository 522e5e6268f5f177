"""Will the customer's own carton do? Asked as often as they like, and packed in once they choose it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from jobs.domain.errors import JobsError
from jobs.domain.own_carton import carton_of
from jobs.domain.stages import EventKind
from jobs.models import Job
from jobs.selectors import customer_jobs, own_carton
from jobs.selectors import parcels as parcel_selector
from jobs.services import parcels
from packing.errors import PackingError
from packing.parcel.outcome import ParcelPlan, Verdict
from packing.parcel.reader import told_in
from packing.quantities import UnitChoice
from portal.customer.forms.carton import CartonForm, typed_again
from portal.customer.own_jobs import actor_of, customer_of, own_job
from portal.customer.plan_sheet import carton_title, plan_context
from portal.customer.views.sending import title_cells_of
from portal.shared.parcel_drawing import draw_frozen_plan
from portal.shared.plan_figures import margin_words, middle_words
from portal.shared.refused_forms import data_for, forget_refused, page_of, refused_here


@require_http_methods(["GET", "HEAD", "POST"])
@own_job
def carton(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Ask for the carton, judge it, and take it for the plan when the customer says so."""
    if not (customer_jobs.see_job(job).may(EventKind.DRAINED.value) and own_carton.knows_unit(job)):
        return redirect("customer:pack", number=job.number)
    form = _form(request, job=job)
    plan = mended = None
    if form.is_bound and form.is_valid() and refused_here(request) is None:
        asked, at_hand = carton_of(form.own_carton()), tuple(form.cleaned_data["materials"])
        try:
            if request.method == "POST":
                parcels.choose_carton(
                    job.number, carton=asked, materials=at_hand, actor=actor_of(job), now=timezone.now()
                )
                forget_refused(request)
                messages.success(request, _("The plan below is for your own carton now."))
                return redirect(f"{reverse('customer:pack', args=[job.number])}#packing-plan")
            plan = own_carton.judge_for(job, carton=asked, materials=at_hand, today=timezone.localdate())
            if plan is not None:
                mended = own_carton.mended_for(job, plan=plan, materials=at_hand, today=timezone.localdate())
        except (JobsError, PackingError) as refusal:
            form.add_error(None, str(refusal))

    def draw() -> HttpResponse:
        return render(request, "customer/carton.html", _context(job, form=form, plan=plan, mended=mended))

    return page_of(request, form=form, draw=draw)


def _form(request: HttpRequest, *, job: Job) -> CartonForm:
    """Return the form with what was asked, or with the carton chosen before, or empty."""
    units = UnitChoice(customer_of(job).unit_choice)
    return CartonForm(
        request.GET if request.method != "POST" and "length" in request.GET else data_for(request),
        materials=own_carton.materials_to_tick(),
        units=units,
        initial=typed_again(own_carton.chosen_carton(job), units=units),
    )


def _context(
    job: Job, *, form: CartonForm, plan: ParcelPlan | None, mended: ParcelPlan | None
) -> dict[str, Any]:
    """Return what the page shows; for a refused carton the mended plan is drawn, if any."""
    units, misfit = customer_of(job).unit_choice, ""
    refused: tuple[str, ...] = ()
    if plan is not None:
        misfit = own_carton.describe_misfit_of(
            job, carton=carton_of(form.own_carton()), choice=UnitChoice(units)
        )
        refused = own_carton.describe_refused_materials(job, materials=tuple(form.cleaned_data["materials"]))
    choice = UnitChoice(units)
    plan, mended = (told_in(each, choice=choice) if each else None for each in (plan, mended))
    drawn = mended or plan
    drawing = draw_frozen_plan(job, plan=drawn, units=units) if drawn else None
    return {
        "job": job,
        "form": form,
        "title": carton_title(plan) if plan else _("Will my own carton do?"),
        "mended": mended,
        "will_do": plan is not None and plan.verdict is not Verdict.NO,
        "misfit": misfit,
        "refused": refused,
        "margin_at_worst": margin_words(plan.limiting.margin_ratio_least) if plan else "",
        "margin_of_middle": middle_words(plan.limiting) if plan else "",
        "asked": _pairs(form) if plan else (),
        "needs_draining": parcel_selector.needs_draining(parcel_selector.family_of(job)),
        "title_cells": title_cells_of(job),
        **plan_context(plan, drawing=drawing, units=units),
    }


def _pairs(form: CartonForm) -> tuple[tuple[str, str], ...]:
    """Return what was typed as it was typed, so that the same is sent again."""
    typed = [(name, form[name].value()) for name in form.fields]
    return tuple(
        (name, str(one))
        for name, value in typed
        for one in (value if isinstance(value, list) else [value or ""])
    )
