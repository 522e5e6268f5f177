"""The first page: what is rebuilt here, for how much, how long it takes, and the one way to begin."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from jobs.selectors import booking_help, outlook
from jobs.selectors.shop import identity
from packing import selectors as catalogue
from portal.customer.drafts import BegunTooOften, begin_booking, bound_booking, unbind_booking
from portal.customer.forms.booking import UNSUITABLE
from portal.shared.grants import current_grant, end_grant
from portal.shared.refusals import too_often


@require_safe
def start(request: HttpRequest) -> HttpResponse:
    """Show what the shop rebuilds, with today's range and the price of each family."""
    now, booking = timezone.now(), bound_booking(request)
    return render(
        request,
        "customer/start.html",
        {
            "offers": booking_help.family_offers(now=now),
            "hold_on": outlook.families_to_hold_on(published=catalogue.catalogue(), now=now),
            "identity": identity(),
            "today": timezone.localdate(now),
            "is_known": current_grant(request, now=now) is not None,
            "has_draft": booking is not None and booking.job_id is None,
        },
    )


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def begin(request: HttpRequest) -> HttpResponse:
    """Go on with the booking of this browser or begin a new one; a sent one is left behind."""
    booking = bound_booking(request)
    if not identity().intake_open:
        return redirect("customer:start" if booking is None or booking.job_id else "customer:book_check")
    if request.method == "POST":
        try:
            begin_booking(request, now=timezone.now())
        except BegunTooOften as refusal:
            return too_often(request, attempt=refusal.attempt)
        return redirect("customer:book_family")
    if booking is None or booking.job_id is not None:
        unbind_booking(request)
        return redirect("customer:book_family")
    return render(request, "customer/begin.html", {"booking": booking})


@require_safe
def unsuitable(request: HttpRequest, reason: str) -> HttpResponse:
    """Say why the shop cannot take something, and what to do with it instead."""
    if reason not in UNSUITABLE:
        raise Http404
    offers = booking_help.family_offers(now=timezone.now())
    return render(
        request,
        "customer/unsuitable.html",
        {"reason": reason, "words": UNSUITABLE[reason], "offers": offers},
    )


@never_cache
@require_http_methods(["POST"])
def leave(request: HttpRequest) -> HttpResponse:
    """Forget the customer on this browser, for phones that are shared."""
    end_grant(request)
    return redirect("customer:start")
