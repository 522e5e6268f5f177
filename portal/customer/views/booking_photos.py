"""The photos of a booking: saved one by one as they come, taken off again, and never asked for twice."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.domain.actors import Actor
from jobs.domain.booking import BookingStep
from jobs.domain.stages import Role
from jobs.models import Booking, Photo
from jobs.selectors import booking_help
from jobs.services import bookings
from jobs.services.photos import add_photo, withdraw_photo
from portal.customer.drafts import bound_booking, needs_draft
from portal.customer.photo_groups import (
    PhotoAddresses,
    add_each,
    group_photos,
    removed_query,
    sent_shot,
    summary_of,
)
from portal.customer.views.booking import METHODS, ORDER, back_from, keep
from portal.shared import ratelimit
from portal.shared.photo_files import photo_response
from portal.shared.refusals import too_often
from portal.shared.refused_forms import forget_refused, keep_refused, refused_here

GO_ON = "go_on"
PHOTOS_BY_ADDRESS = ratelimit.Limit("photos of bookings by address", attempts=200, window_seconds=3600)


@require_http_methods(METHODS)
@needs_draft
def photos(request: HttpRequest, *, booking: Booking) -> HttpResponse:
    """Show the wanted shots with what is saved of each; take photos for one shot, or go on."""
    if request.method != "POST":
        before = refused_here(request)
        return _page(request, booking=booking, errors=before.sentences if before else {})
    if GO_ON in request.POST:
        return keep(request, booking=booking, step=BookingStep.PHOTOS, changes={})
    attempt = ratelimit.count_attempt(
        PHOTOS_BY_ADDRESS, subject=ratelimit.client_address(request), now=timezone.now()
    )
    if not attempt.is_allowed:
        return too_often(request, attempt=attempt)
    answers = bookings.answers_of(booking)
    shot = sent_shot(request, shots=booking_help.wanted_shots(answers))
    actor = Actor(role=Role.CUSTOMER, name=answers.name or "customer")
    now = timezone.now()
    refused = add_each(
        request,
        add=lambda file: add_photo(
            file, booking=booking, job=None, role="before", shot=shot, caption="", actor=actor, now=now
        ),
    )
    if refused:
        again = keep_refused(request, said={shot: [refused]})
        return again or _page(request, booking=booking, errors={shot: refused})
    forget_refused(request)
    return redirect(f"{reverse('customer:book_photos')}#shot-{shot or 'else'}")


@require_POST
@needs_draft
def remove(request: HttpRequest, reference: UUID, *, booking: Booking) -> HttpResponse:
    """Take a photo off the booking; pressed twice, it is off once."""
    photo = booking_help.photo_ever_added(booking, reference=reference)
    if photo is None:
        raise Http404
    withdraw_photo(photo, now=timezone.now())
    shots = booking_help.wanted_shots(bookings.answers_of(booking))
    return redirect(reverse("customer:book_photos") + removed_query(photo, shots=shots))


@require_safe
def show(request: HttpRequest, reference: UUID, size: str) -> HttpResponseBase:
    """Serve a photo to the browser that is writing this booking."""
    booking = bound_booking(request)
    photo = booking_help.booking_photo(booking, reference=reference) if booking else None
    if photo is None:
        raise Http404
    return photo_response(photo, size=size)


def _page(request: HttpRequest, *, booking: Booking, errors: dict[str, str]) -> HttpResponse:
    answers = bookings.answers_of(booking)
    kept = booking_help.booking_photos(booking)
    groups = group_photos(
        kept,
        shots=booking_help.wanted_shots(answers),
        addresses=ADDRESSES,
        errors=errors,
        removed=request.GET.get("removed", ""),
    )
    context = {
        "groups": groups,
        "errors": summary_of(groups),
        "count": len(kept),
        "upload_url": reverse("customer:book_photos"),
        "back_url": back_from(BookingStep.PHOTOS, answers=answers),
        "at": ORDER.index(BookingStep.PHOTOS) + 1,
        "of": len(ORDER),
        "may_resume": True,
    }
    return render(request, "customer/book_photos.html", context)


def _show_url(photo: Photo, size: str) -> str:
    return reverse("customer:book_photo", args=[photo.reference, size])


def _remove_url(photo: Photo) -> str:
    return reverse("customer:book_photo_remove", args=[photo.reference])


ADDRESSES = PhotoAddresses(show=_show_url, remove=_remove_url)
