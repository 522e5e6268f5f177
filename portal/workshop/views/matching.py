"""A box without a name: which booking it belongs to, looked at side by side before anything is recorded."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.errors import JobsError
from jobs.domain.stages import EventKind
from jobs.selectors import box_match, receiving, shop
from jobs.selectors.awaited import BoxSigns, find_awaited
from jobs.selectors.bench import JobAtBench
from jobs.services import arrivals
from portal.shared.actors import staff_actor
from portal.templatetags.portal_format import job_number
from portal.workshop.forms.counter import ScanForm
from portal.workshop.pages import counter_rows, photo_views
from portal.workshop.views._acting import METHODS, find_or_404, not_now, show


@require_safe
def match(request: HttpRequest, number: str) -> HttpResponse:
    """Show the bookings that a box without a name may belong to; each is compared with it on a page."""
    seen = find_or_404(request, number)
    if _is_no_box(seen):
        return not_now(request, seen, kind=EventKind.MATCHED)
    return _candidates(request, seen)


@require_http_methods(METHODS)
def match_with(request: HttpRequest, number: str, booking: str) -> HttpResponse:
    """Show a box beside one booking; once confirmed, carry the box on under the booking's number."""
    seen = find_or_404(request, number)
    if seen.merged_into and seen.merged_into == booking:
        messages.info(request, _("The box goes on under this booking already. Change the number on it."))
        return redirect("workshop:job", booking)
    if _is_no_box(seen):
        return not_now(request, seen, kind=EventKind.MATCHED)
    found = box_match.compare_box(seen.job, booking_number=booking)
    if found is None:
        error = _("No parcel is awaited under that number any more. Choose among those below.")
        return _candidates(request, seen, status=422, error=error)
    if request.method == "POST":
        try:
            job = arrivals.match_box(
                number, booking_number=booking, actor=staff_actor(request), now=timezone.now()
            )
        except JobsError as refusal:
            return _candidates(request, seen, status=422, error=str(refusal))
        messages.success(request, _("The box now goes on under its booking. Change the number on it."))
        return redirect("workshop:job", job.number)
    return show(
        request,
        seen,
        template="workshop/match_with.html",
        found=found,
        came=receiving.arrival_seen(seen.entries),
        taken=photo_views(receiving.shop_photos(seen.job), title=_("Taken here")),
        before=photo_views(receiving.photos_before(found.booking), title=_("From the customer")),
        booking_url=reverse("workshop:job", args=[booking]),
        zone_name=shop.zone().key,
    )


def match_lead(seen: JobAtBench) -> str:
    """Return what taking back the match of this job does."""
    assert seen.undoable is not None  # noqa: S101 - asked only about a match that may be taken back
    return _(
        "The last step is the match with box %(box)s. This job waits for its parcel again, and the box's "
        "own number is open again, with its photos. Change the number on the box back."
    ) % {"box": job_number(box_match.box_of_match(seen.undoable))}


def _is_no_box(seen: JobAtBench) -> bool:
    return EventKind.MATCHED not in seen.allowed or seen.job.customer_id is not None


def _candidates(request: HttpRequest, seen: JobAtBench, **more: Any) -> HttpResponse:
    """Return the page with the bookings whose parcel has not come yet, the likeliest first."""
    typed = request.GET.get("q", seen.job.number_found)
    came = receiving.arrival_seen(seen.entries)
    signs = BoxSigns(
        words=came.sender_on_box if came else "",
        number=seen.job.number_found,
        parcel_number=came.parcel_number if came else "",
        family=seen.job.family,
    )
    now = timezone.now()
    hits = find_awaited(typed, box=signs, now=now)
    # What was typed told nothing where the same bookings stand there for the same reasons without it.
    tells_nothing = bool(request.GET.get("q")) and hits == find_awaited("", box=signs, now=now)
    return show(
        request,
        seen,
        template="workshop/match.html",
        form=ScanForm(initial={"q": typed}),
        typed=typed,
        hits=counter_rows(hits),
        tells_nothing=tells_nothing,
        action_url=reverse("workshop:match", args=[seen.number]),
        **more,
    )
