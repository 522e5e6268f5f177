"""The photos a customer adds to a job before it arrives, and every photo of it they may see."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.models import Job
from jobs.photos.limits import PHOTOS_PER_JOB_FROM_CUSTOMER
from jobs.selectors import customer_jobs
from jobs.selectors.logs import log_of
from jobs.selectors.withdrawn_photos import withdrawn_photos
from jobs.services.photos import add_photo, withdraw_photo
from portal.customer.job_photos import FROM_CUSTOMER, addresses_of
from portal.customer.own_jobs import actor_of, own_job
from portal.customer.photo_groups import add_each, group_photos, removed_query, sent_shot, summary_of
from portal.customer.views.sending import title_cells_of
from portal.shared.photo_files import photo_response
from portal.shared.refused_forms import forget_refused, keep_refused, refused_here


@require_http_methods(["GET", "HEAD", "POST"])
@own_job
def photos(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Show the customer's photos by shot; take more of them until the unit has arrived."""
    seen = customer_jobs.see_job(job)
    if request.method == "POST" and not seen.awaits_parcel:
        return redirect("customer:job_photos", number=job.number)
    if request.method != "POST":
        before = refused_here(request)
        return _page(request, job=job, may_add=seen.awaits_parcel, errors=before.sentences if before else {})
    shot = sent_shot(request, shots=customer_jobs.job_shots(job))
    count = len(customer_jobs.job_photos(job, roles=FROM_CUSTOMER))
    if count >= PHOTOS_PER_JOB_FROM_CUSTOMER:
        refused = _("There are %d photos already: remove one, then add this one.") % count
        return _again(request, job=job, shot=shot, refused=refused)
    now = timezone.now()
    refused = add_each(
        request,
        add=lambda file: add_photo(
            file, booking=None, job=job, role="before", shot=shot, caption="", actor=actor_of(job), now=now
        ),
    )
    if refused:
        return _again(request, job=job, shot=shot, refused=refused)
    forget_refused(request)
    return redirect(f"{reverse('customer:job_photos', args=[job.number])}#shot-{shot or 'else'}")


@require_POST
@own_job
def remove(request: HttpRequest, reference: UUID, *, job: Job) -> HttpResponse:
    """Take one of the customer's own photos off, while the unit has not arrived; pressed twice, once."""
    photo = customer_jobs.photo_ever_added(job, reference=reference)
    is_own = photo is not None and photo.role in FROM_CUSTOMER
    if photo is None or not is_own or not customer_jobs.see_job(job).awaits_parcel:
        raise Http404
    withdraw_photo(photo, now=timezone.now())
    query = removed_query(photo, shots=customer_jobs.job_shots(job))
    return redirect(reverse("customer:job_photos", args=[job.number]) + query)


@require_safe
@own_job
def show(request: HttpRequest, reference: UUID, size: str, *, job: Job) -> HttpResponseBase:
    """Serve one photo of the customer's own job."""
    photo = customer_jobs.job_photo(job, reference=reference)
    if photo is None:
        raise Http404
    return photo_response(photo, size=size)


def _again(request: HttpRequest, *, job: Job, shot: str, refused: str) -> HttpResponse:
    """Return the way to the page with the refusal beside its shot."""
    again = keep_refused(request, said={shot: [refused]})
    return again or _page(request, job=job, may_add=True, errors={shot: refused})


def _page(request: HttpRequest, *, job: Job, may_add: bool, errors: dict[str, str]) -> HttpResponse:
    kept = customer_jobs.job_photos(job, roles=FROM_CUSTOMER)
    addresses = addresses_of(job, may_remove=FROM_CUSTOMER if may_add else frozenset())
    groups = group_photos(
        kept,
        shots=customer_jobs.job_shots(job),
        addresses=addresses,
        errors=errors,
        removed=request.GET.get("removed", ""),
    )
    context = {
        "job": job,
        "groups": groups,
        "errors": summary_of(groups),
        "count": len(kept),
        "may_add": may_add,
        "withdrawn": withdrawn_photos(log_of(job)),
        "upload_url": reverse("customer:job_photos", args=[job.number]),
        "title_cells": title_cells_of(job),
    }
    return render(request, "customer/job_photos.html", context)
