"""Yes or no to extra work: the lines and the new date first, then one page to confirm the answer."""

from datetime import date
from functools import partial

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.errors import JobsError
from jobs.models import Job
from jobs.selectors import customer_jobs
from jobs.selectors.bench import latest_if_added
from jobs.selectors.customer_jobs import ExtraWorkSeen
from jobs.services.extra_work import decide_extra_work
from portal.customer.forms.job import DecisionForm
from portal.customer.own_jobs import actor_of, own_job
from portal.customer.views.sending import title_cells_of
from portal.shared.refused_forms import data_for, forget_refused, page_of

DECISIONS = {"approved", "declined"}


@require_safe
@own_job
def extra_work(request: HttpRequest, extra: int, *, job: Job) -> HttpResponse:
    """Show one request with its price, its new date and both answers."""
    found = customer_jobs.extra_work(job, number=extra)
    if found is None:
        raise Http404
    context = {
        "job": job,
        "extra": found,
        "day_if_yes": _day_if_yes(job, extra=found),
        "title_cells": title_cells_of(job),
    }
    return render(request, "customer/extra_work.html", context)


def _day_if_yes(job: Job, *, extra: ExtraWorkSeen) -> date | None:
    """Return by when it goes back with a yes now, as things stand; None once no answer is waited for."""
    if not extra.is_open:
        return None
    return latest_if_added(job, added_work_days=extra.added_work_days, now=timezone.now())


@require_http_methods(["GET", "HEAD", "POST"])
@own_job
def decide(request: HttpRequest, extra: int, decision: str, *, job: Job) -> HttpResponse:
    """Confirm the yes or no; the same answer sent twice is one answer."""
    found = customer_jobs.extra_work(job, number=extra)
    if found is None or decision not in DECISIONS:
        raise Http404
    if not found.is_open:
        return redirect("customer:extra_work", number=job.number, extra=extra)
    form = DecisionForm(data_for(request))
    if request.method == "POST" and form.is_valid():
        try:
            decide_extra_work(
                job.number,
                extra_work=extra,
                decision=decision,
                note=form.cleaned_data["note"],
                actor=actor_of(job),
                now=timezone.now(),
            )
        except JobsError as refusal:
            form.add_error(None, str(refusal))
        else:
            forget_refused(request)
            return redirect("customer:extra_work", number=job.number, extra=extra)
    context = {
        "job": job,
        "extra": found,
        "day_if_yes": _day_if_yes(job, extra=found),
        "decision": decision,
        "form": form,
        "title_cells": title_cells_of(job),
    }
    return page_of(request, form=form, draw=partial(render, request, "customer/decide.html", context))
