"""Which booking is this browser writing? The session names it; no address and no form ever does."""

from collections.abc import Callable
from datetime import datetime
from functools import wraps

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.cache import add_never_cache_headers

from jobs.models import Booking
from jobs.selectors import customer_jobs
from jobs.services import bookings
from portal.shared import ratelimit
from portal.shared.grants import current_grant
from portal.shared.refused_forms import forget_all_refused

BOOKING_KEY = "booking"
SENT_KEY = "booking_sent_here"
MAILED_KEY = "booking_link_mailed_to"
BEGIN_BY_ADDRESS = ratelimit.Limit("begin a booking by address", attempts=40, window_seconds=3600)
View = Callable[..., HttpResponse]


class BegunTooOften(Exception):
    """So many bookings were begun from this network address that it has to wait."""

    def __init__(self, attempt: ratelimit.Attempt) -> None:
        super().__init__()
        self.attempt = attempt


def bound_booking(request: HttpRequest) -> Booking | None:
    """Return the booking that this browser is writing or has sent in, or None."""
    reference = request.session.get(BOOKING_KEY)
    if not reference:
        return None
    return Booking.objects.select_related("job", "customer").filter(reference=reference).first()


def bind_booking(request: HttpRequest, booking: Booking) -> None:
    """Let this browser go on with the booking."""
    if request.session.get(BOOKING_KEY) != str(booking.reference):
        forget_all_refused(request)
        request.session.pop(MAILED_KEY, None)
    request.session[BOOKING_KEY] = str(booking.reference)
    request.session.pop(SENT_KEY, None)


def unbind_booking(request: HttpRequest) -> None:
    """Forget the booking on this browser; it stays and can be opened again by its mailed link."""
    forget_all_refused(request)
    for key in (BOOKING_KEY, SENT_KEY, MAILED_KEY):
        request.session.pop(key, None)


def remember_sent(request: HttpRequest, booking: Booking) -> None:
    """Note that this very browser sent the booking in, so that it may see the job at once."""
    request.session[SENT_KEY] = str(booking.reference)


def sent_here(request: HttpRequest, booking: Booking) -> bool:
    """Return whether this very browser sent the booking in."""
    return request.session.get(SENT_KEY) == str(booking.reference)


def remember_mailed(request: HttpRequest, *, email: str) -> None:
    """Note where the link to go on later was mailed: the page that says so can be loaded again."""
    request.session[MAILED_KEY] = email


def mailed_to(request: HttpRequest) -> str:
    """Return where the link to this browser's booking was mailed last, or nothing."""
    return str(request.session.get(MAILED_KEY, ""))


def begin_booking(request: HttpRequest, *, now: datetime) -> Booking:
    """Return a new booking bound to this browser; a customer who is let in is not asked for their address.

    Raises: BegunTooOften.
    """
    attempt = ratelimit.count_attempt(BEGIN_BY_ADDRESS, subject=ratelimit.client_address(request), now=now)
    if not attempt.is_allowed:
        raise BegunTooOften(attempt)
    grant = current_grant(request, now=now)
    known = customer_jobs.customer(grant.customer_id) if grant else None
    booking = bookings.start_booking(now=now, customer=known)
    bind_booking(request, booking)
    return booking


def needs_draft(view: View) -> View:
    """Give the view the open booking of this browser as `booking`; nothing of it is ever cached.

    A browser without one goes to the first question, one whose booking was sent in goes to its confirmation.
    """

    @wraps(view)
    def with_draft(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        booking = bound_booking(request)
        if booking is None:
            return redirect("customer:book_family")
        if booking.job_id is not None:
            return redirect("customer:book_sent")
        response = view(request, *args, booking=booking, **kwargs)
        add_never_cache_headers(response)
        return response

    return with_draft
