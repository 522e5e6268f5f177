"""Receiving a box with proof: photos in their order, the box as it came, then the unit that was in it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from jobs.domain.errors import JobsError, StaleEdit
from jobs.domain.lifecycle import BEFORE_ARRIVAL
from jobs.domain.stages import EventKind
from jobs.selectors import bench, receiving
from jobs.selectors.bench import JobAtBench
from jobs.services import arrivals
from jobs.services import photos as photo_service
from packing.errors import PackingError
from packing.strip.safety import DEFERRAL
from portal.shared.actors import staff_actor
from portal.workshop.forms.arrival import ArrivalForm
from portal.workshop.inspection import InspectionSheet, read_sheet
from portal.workshop.pages import photo_views
from portal.workshop.views._acting import METHODS, Page, enter, find_or_404, not_now, show

BACK_TO = ("receive", "inspect", "photos")
INPUT_NAME = "photo"


@require_http_methods(METHODS)
def receive(request: HttpRequest, number: str) -> HttpResponse:
    """Record the box as it came, before anything else happens to it."""
    seen = find_or_404(request, number)
    taken = receiving.shop_photos(seen.job)
    page = Page(
        title=_("Receive this box"),
        button=_("The box is recorded"),
        done=_("Received. Now look at the unit itself."),
        template="workshop/receive.html",
        more={"shots": receiving.shot_states(taken), "back_to": "receive"},
    )
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
    if request.method == "POST":
        error = _add_photos(request, seen)
        if error:
            messages.error(request, error)
        back_to = request.POST.get("back_to", "photos")
        return redirect(f"workshop:{back_to if back_to in BACK_TO else 'photos'}", number)
    taken, before = receiving.shop_photos(seen.job), receiving.photos_before(seen.job)
    return show(
        request,
        seen,
        template="workshop/photos.html",
        shots=receiving.shot_states(taken),
        close_shots=receiving.shot_states(taken, shots=receiving.CLOSE_SHOTS),
        taken=photo_views(taken, title=_("Taken here")),
        before=photo_views(before, title=_("From the customer")),
        score=receiving.evidence(taken, before=before),
        back_to="photos",
    )


@require_http_methods(METHODS)
def inspect(request: HttpRequest, number: str) -> HttpResponse:
    """Record the unit as it was found, with its marks; nothing is kept until it is sent whole."""
    seen = find_or_404(request, number)
    if request.method != "POST" and EventKind.INSPECTED not in seen.allowed:
        return not_now(request, seen, kind=EventKind.INSPECTED)
    sheet = read_sheet(request.POST if request.method == "POST" else None, seen=seen)
    if not sheet.is_sent:
        return _inspection_page(request, seen, sheet=sheet, status=200 if sheet.is_draft else 422)
    try:
        arrivals.record_inspection(
            number,
            inspection=sheet.inspection(),
            actor=staff_actor(request),
            now=timezone.now(),
            expected_count=sheet.form.seen_count(),
        )
    except StaleEdit as stale:
        meanwhile = bench.recorded_since(seen.job, seen=sheet.form.seen_count())
        sheet.form.add_error(None, str(stale))
        seen = find_or_404(request, number)
        sheet.form.see_again(seen.job)
        return _inspection_page(request, seen, sheet=sheet, status=409, meanwhile=meanwhile)
    except (JobsError, PackingError) as refusal:
        sheet.form.add_error(None, str(refusal))
        return _inspection_page(request, seen, sheet=sheet, status=422)
    messages.success(request, _("Inspected. What was found stands below."))
    return redirect("workshop:job", number)


def _inspection_page(
    request: HttpRequest, seen: JobAtBench, *, sheet: InspectionSheet, status: int, **more: Any
) -> HttpResponse:
    taken, before = receiving.shop_photos(seen.job), receiving.photos_before(seen.job)
    return show(
        request,
        seen,
        template="workshop/inspect.html",
        status=status,
        form=sheet.form,
        sheet=sheet,
        errors=sheet.summary_errors(),
        arrival=receiving.arrival_seen(seen.entries),
        close_shots=receiving.shot_states(taken, shots=receiving.CLOSE_SHOTS),
        before=photo_views(before, title=_("From the customer")),
        score=receiving.evidence(taken, before=before),
        deferral=DEFERRAL,
        back_to="inspect",
        **more,
    )


def _add_photos(request: HttpRequest, seen: JobAtBench) -> str:
    """Add the photos that were sent and return what stood against it, in words."""
    states = {
        state.shot.slug: state
        for state in (
            *receiving.shot_states(receiving.shop_photos(seen.job)),
            *receiving.shot_states((), shots=receiving.CLOSE_SHOTS),
        )
    }
    state = states.get(request.POST.get("shot", ""))
    files = request.FILES.getlist(INPUT_NAME)
    if state is None or not files:
        return _("Choose a photo first, then save it.")
    in_order = state.is_done or state.is_next or state.shot in receiving.CLOSE_SHOTS
    if seen.stage in BEFORE_ARRIVAL and not in_order:
        first = next(each.shot.title for each in states.values() if each.is_next)
        return _("First photograph: %s. It cannot be taken later.") % first
    for file in files:
        try:
            photo_service.add_photo(
                file,
                booking=None,
                job=seen.job,
                role=state.shot.role,
                shot=state.shot.slug,
                caption=state.shot.title,
                actor=staff_actor(request),
                now=timezone.now(),
            )
        except JobsError as refusal:
            return f"{file.name}: {refusal}"
    saved = ngettext("%d photo is saved.", "%d photos are saved.", len(files)) % len(files)
    messages.success(request, saved)
    return ""
