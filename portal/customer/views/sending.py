"""Checking and sending a booking, and going on with it later."""

from collections.abc import Iterable
from functools import partial

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.booking import BookingStep, missing_steps
from jobs.domain.errors import JobsError
from jobs.models import Booking, Job, Photo
from jobs.selectors import booking_help, customer_jobs, customer_when
from jobs.services import bookings, links
from packing.errors import PackingError
from portal.customer.drafts import (
    bound_booking,
    mailed_to,
    needs_draft,
    remember_mailed,
    remember_sent,
    sent_here,
)
from portal.customer.forms.contact import EmailForm
from portal.customer.known_contact import answers_as_sent, outdated_fields
from portal.customer.own_jobs import customer_of, own_job
from portal.customer.summary import person_rows, unit_rows
from portal.customer.views.booking import METHODS, back_from, url_of
from portal.customer.when_words import when_words
from portal.shared import ratelimit
from portal.shared.forms import SummaryError
from portal.shared.grants import current_grant, give_grant
from portal.shared.refusals import too_often
from portal.shared.refused_forms import data_for, forget_refused, keep_refused, page_of, refused_here


@require_http_methods(METHODS)
@needs_draft
def check(request: HttpRequest, *, booking: Booking) -> HttpResponse:
    """Show every answer with a way to change it; send the booking in, once however often it is pressed."""
    now = timezone.now()
    grant = current_grant(request, now=now)
    let_in_as = grant.customer_id if grant else None
    answers = answers_as_sent(booking, let_in_as=let_in_as)
    missing = missing_steps(answers)
    if missing:
        return redirect(url_of(missing[0]))
    before = refused_here(request)
    errors = tuple(SummaryError("", said) for said in before.sentences.values()) if before else ()
    if request.method == "POST":
        try:
            bookings.send_booking(booking.reference, now=now, let_in_as=let_in_as)
        except (JobsError, PackingError) as refusal:
            again = keep_refused(request, said={"": [str(refusal)]})
            if again is not None:
                return again
            errors = (SummaryError("", str(refusal)),)
        else:
            forget_refused(request)
            remember_sent(request, booking)
            return redirect("customer:book_sent")
    photos = booking_help.booking_photos(booking)
    photo_count = _count_kept(photos)
    refused_count = len(photos) - photo_count
    context = {
        "unit_rows": unit_rows(answers, photo_count=photo_count, refused_count=refused_count),
        "person_rows": person_rows(answers, outdated=outdated_fields(booking, let_in_as=let_in_as), now=now),
        "errors": errors,
        "photo_count": photo_count,
        "back_url": back_from(BookingStep.CHECK, answers=answers),
        "at": len(BookingStep),
        "of": len(BookingStep),
        "may_resume": True,
    }
    return render(request, "customer/book_check.html", context)


@never_cache
@require_safe
def sent(request: HttpRequest) -> HttpResponse:
    """Let the browser that sent the booking in to its job; any other is told to open the mailed link.

    The grant is given here and not where the booking is sent: it changes the session's key, and of two
    presses of the button the answer to the first is thrown away by the browser.
    """
    booking = bound_booking(request)
    if booking is None or booking.job is None:
        return redirect("customer:start")
    now = timezone.now()
    grant = current_grant(request, now=now)
    customer = customer_of(booking.job)
    if grant is not None and grant.customer_id == customer.pk:
        return redirect("customer:job_sent", number=booking.job.number)
    if sent_here(request, booking) and len(customer_jobs.job_lines(customer.pk)) == 1:
        link = links.open_for_sender(booking.job, now=now)
        give_grant(request, customer_id=customer.pk, link_id=link.pk, now=now)
        return redirect("customer:job_sent", number=booking.job.number)
    return render(request, "customer/sent_elsewhere.html", {"number": booking.job.number})


@require_safe
@own_job
def confirmation(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Confirm the booking: number, what happens next and when, and how to come back."""
    seen = customer_jobs.see_job(job)
    customer = customer_of(job)
    context = {
        "seen": seen,
        "customer": customer,
        "when": when_words(customer_when.see_when(seen, now=timezone.now()), hold=seen.hold),
        "today": timezone.localdate(),
        "photo_count": _count_kept(customer_jobs.job_photos(job, roles=frozenset({"before"}))),
        "title_cells": title_cells_of(job),
    }
    return render(request, "customer/confirmation.html", context)


@require_http_methods(METHODS)
@needs_draft
def later(request: HttpRequest, *, booking: Booking) -> HttpResponse:
    """Mail a private link with which the booking can be gone on with, on any device."""
    answers = bookings.answers_of(booking)
    form = EmailForm(data_for(request), initial={"email": answers.email})
    context = {"form": form, "back_url": url_of(_next(booking))}
    if request.method != "POST" or not form.is_valid():
        return page_of(request, form=form, draw=partial(render, request, "customer/later.html", context))
    forget_refused(request)
    now, email = timezone.now(), form.cleaned_data["email"]
    for limit, subject in (
        (ratelimit.LINK_BY_ADDRESS, ratelimit.client_address(request)),
        (ratelimit.LINK_BY_MAILBOX, email),
    ):
        attempt = ratelimit.count_attempt(limit, subject=subject, now=now)
        if not attempt.is_allowed:
            return too_often(request, attempt=attempt)
    bookings.mail_draft_link(booking, email=email, now=now)
    remember_mailed(request, email=email)
    return redirect("customer:book_later_sent")


@require_safe
@needs_draft
def later_sent(request: HttpRequest, *, booking: Booking) -> HttpResponse:
    """Say where the link went; a browser that asked for none is led to where it is asked for."""
    email = mailed_to(request)
    if not email:
        return redirect("customer:book_later")
    return render(request, "customer/later_sent.html", {"email": email, "next_url": url_of(_next(booking))})


def title_cells_of(job: Job) -> tuple[dict[str, str], ...]:
    """Return the cells of the title block at the foot of a job's pages."""
    shown = f"{job.number[:3]}\u00a0{job.number[3:6]}-{job.number[6:]}"
    return (
        {"label": _("Job"), "value": shown},
        {"label": _("Unit"), "value": customer_jobs.unit_words(job)},
    )


def _count_kept(photos: Iterable[Photo]) -> int:
    """Return how many photos are here; one that was refused is not."""
    return sum(photo.state != "refused" for photo in photos)


def _next(booking: Booking) -> BookingStep:
    missing = missing_steps(bookings.answers_of(booking))
    return missing[0] if missing else BookingStep.CHECK
