"""Receiving a box with proof: photos in their order, the box as it came, then the unit that was in it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from jobs.domain.errors import JobsError, StaleEdit
from jobs.domain.stages import EventKind
from jobs.selectors import bench, receiving
from jobs.selectors.bench import JobAtBench
from jobs.selectors.withdrawn_photos import withdrawn_photos
from jobs.services import arrivals
from packing.errors import PackingError
from packing.strip.safety import DEFERRAL
from portal.shared.actors import staff_actor
from portal.shared.forms import SummaryError
from portal.workshop.arrival_photos import PhotosTaken, take_photos
from portal.workshop.forms.arrival import ArrivalForm
from portal.workshop.forms.staff import typed_values
from portal.workshop.inspection import InspectionSheet, read_sheet, still_written
from portal.workshop.pages import photo_views
from portal.workshop.views._acting import METHODS, Page, enter, find_or_404, not_now, once, sent_twice, show

BACK_TO = ("receive", "inspect", "photos")
NO_PHOTOS = PhotosTaken()


@require_http_methods(METHODS)
def receive(request: HttpRequest, number: str) -> HttpResponse:
    """Record the box as it came, before anything else happens to it; photos chosen on the page are kept."""
    seen = find_or_404(request, number)
    sent_photos = take_photos(request, seen, now=timezone.now())
    page = Page(
        title=_("Receive this box"),
        button=_("The box is recorded"),
        done=_("Received. Now look at the unit itself."),
        template="workshop/receive.html",
        more={
            "shots": sent_photos.rows(receiving.shot_states(receiving.shop_photos(seen.job))),
            "back_to": "receive",
        },
    )
    if sent_photos.refused or "photos" in request.POST:
        form = ArrivalForm(None, job=seen.job, initial=typed_values(ArrivalForm(request.POST, job=seen.job)))
        errors = _photo_errors(sent_photos)
        more = page.more | {"form": form, "page": page, "errors": errors}
        return show(request, seen, template=page.template, status=422 if errors else 200, **more)
    return enter(
        request,
        seen,
        kind=EventKind.ARRIVED,
        page=page,
        make_form=lambda data: ArrivalForm(
            data, job=seen.job, initial={"parcel_number": seen.job.tracking_in}
        ),
        send=lambda form, sent: arrivals.record_arrival(number, arrived=form.arrived(), **sent),
    )


@require_http_methods(METHODS)
def photos(request: HttpRequest, number: str) -> HttpResponse:
    """Show the photos of the arrival, and add some; before the box is recorded only the next in turn."""
    seen = find_or_404(request, number)
    sent_photos = take_photos(request, seen, now=timezone.now())
    errors = _photo_errors(sent_photos) if request.method == "POST" else ()
    if request.method == "POST" and not errors:
        back_to = request.POST.get("back_to", "photos")
        return redirect(f"workshop:{back_to if back_to in BACK_TO else 'photos'}", number)
    taken, before = receiving.shop_photos(seen.job), receiving.photos_before(seen.job)
    return show(
        request,
        seen,
        template="workshop/photos.html",
        status=422 if errors else 200,
        errors=errors,
        withdrawn=withdrawn_photos(seen.entries),
        shots=sent_photos.rows(receiving.shot_states(taken)),
        close_shots=sent_photos.rows(receiving.shot_states(taken, shots=receiving.CLOSE_SHOTS)),
        taken=photo_views(taken, title=_("Taken here"), job_number=seen.number),
        before=photo_views(before, title=_("From the customer"), job_number=seen.number),
        score=receiving.evidence(taken, before=before),
        back_to="photos",
    )


@require_http_methods(METHODS)
def inspect(request: HttpRequest, number: str) -> HttpResponse:
    """Record the unit as it was found, with its marks; nothing is kept until it is sent whole."""
    seen = find_or_404(request, number)
    if request.method != "POST" and EventKind.INSPECTED not in seen.allowed:
        return not_now(request, seen, kind=EventKind.INSPECTED)
    sent_photos = take_photos(request, seen, now=timezone.now())
    data = request.POST if request.method == "POST" else None
    sheet = read_sheet(still_written(data) if data and sent_photos.refused else data, seen=seen)
    if not sheet.is_sent:
        errors = _photo_errors(sent_photos) if sent_photos.refused or "photos" in request.POST else ()
        status = 200 if sheet.is_draft and not errors else 422
        return _inspection_page(
            request, seen, sheet=sheet, status=status, sent_photos=sent_photos, refused=errors
        )
    try:
        arrivals.record_inspection(
            number,
            inspection=sheet.inspection(),
            actor=staff_actor(request),
            now=timezone.now(),
            expected_count=sheet.form.seen_count(),
        )
    except StaleEdit as stale:
        count, me = sheet.form.seen_count(), staff_actor(request).name
        meanwhile = bench.recorded_since(seen.job, seen=count)
        sheet.form.add_error(None, str(stale))
        seen = find_or_404(request, number)
        if sent_twice(seen, kind=EventKind.INSPECTED, seen_count=count, person=me, now=timezone.now()):
            return once(request, seen)
        sheet.form.see_again(seen.job)
        return _inspection_page(request, seen, sheet=sheet, status=409, meanwhile=meanwhile)
    except (JobsError, PackingError) as refusal:
        sheet.form.add_error(None, str(refusal))
        return _inspection_page(request, seen, sheet=sheet, status=422)
    messages.success(request, _("Inspected. What was found stands below."))
    return redirect("workshop:job", number)


def _inspection_page(
    request: HttpRequest,
    seen: JobAtBench,
    *,
    sheet: InspectionSheet,
    status: int,
    sent_photos: PhotosTaken = NO_PHOTOS,
    refused: tuple[SummaryError, ...] = (),
    **more: Any,
) -> HttpResponse:
    taken, before = receiving.shop_photos(seen.job), receiving.photos_before(seen.job)
    return show(
        request,
        seen,
        template="workshop/inspect.html",
        status=status,
        form=sheet.form,
        sheet=sheet,
        errors=(*refused, *sheet.summary_errors()),
        arrival=receiving.arrival_seen(seen.entries),
        close_shots=sent_photos.rows(receiving.shot_states(taken, shots=receiving.CLOSE_SHOTS)),
        waiting=sum(photo.state == "waiting" for photo in taken),
        before=photo_views(before, title=_("From the customer")),
        score=receiving.evidence(taken, before=before),
        deferral=DEFERRAL,
        back_to="inspect",
        **more,
    )


def _photo_errors(taken: PhotosTaken) -> tuple[SummaryError, ...]:
    """Return what was refused; a button for photos that was pressed without one says so."""
    if taken.refused or taken.saved:
        return taken.errors()
    return (SummaryError("", _("Choose a photo first, then save it.")),)
