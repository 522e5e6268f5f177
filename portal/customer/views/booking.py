"""The questions of a booking, one a page, each saved as it is answered."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from jobs.domain.booking import BookingAnswers, BookingStep, next_step
from jobs.domain.errors import SubmissionConflict
from jobs.models import Booking
from jobs.selectors import booking_help, outlook
from jobs.selectors.shop import identity
from jobs.services import bookings
from portal.customer.drafts import BegunTooOften, begin_booking, bound_booking, needs_draft
from portal.customer.forms.booking import UNSUITABLE, FamilyForm, FittedToForm, NumberForm, SymptomsForm
from portal.customer.forms.contact import ContactForm, LimitForm, WishForm
from portal.customer.known_contact import answers_as_sent
from portal.customer.wording import wish_words
from portal.shared.forms import SheetForm
from portal.shared.grants import current_grant
from portal.shared.refusals import too_often
from portal.shared.refused_forms import data_for, forget_refused, page_of

METHODS = ["GET", "HEAD", "POST"]
ORDER = list(BookingStep)


def url_of(step: BookingStep) -> str:
    """Return the address of a booking page."""
    return reverse(f"customer:book_{step.value}")


def go_on(answers: BookingAnswers) -> HttpResponse:
    """Return the way to the first question still open, or to the check page: also after a change."""
    return redirect(url_of(next_step(answers)))


def back_from(step: BookingStep, *, answers: BookingAnswers) -> str:
    """Return where Back leads: the check page once everything is answered, else the page before."""
    if next_step(answers) is BookingStep.CHECK and step is not BookingStep.CHECK:
        return url_of(BookingStep.CHECK)
    at = ORDER.index(step)
    return url_of(ORDER[at - 1]) if at else reverse("customer:start")


def ask(
    request: HttpRequest, *, step: BookingStep, form: SheetForm, answers: BookingAnswers, **more: Any
) -> HttpResponse:
    """Return a question page, or after a refused answer the way to the page that shows it again."""
    context = {
        "form": form,
        "answers": answers,
        "back_url": back_from(step, answers=answers),
        "at": ORDER.index(step) + 1,
        "of": len(ORDER),
        "may_resume": bool(answers.family),
    }
    template = f"customer/book_{step.value}.html"
    return page_of(request, form=form, draw=lambda: render(request, template, context | more))


def keep(
    request: HttpRequest,
    *,
    booking: Booking,
    step: BookingStep,
    changes: dict[str, Any],
    reopen: tuple[BookingStep, ...] = (),
) -> HttpResponse:
    """Save one page's answers and go on; a booking sent in meanwhile leads to its confirmation."""
    forget_refused(request)
    try:
        answers = bookings.save_answers(
            booking, step=step, changes=changes, now=timezone.now(), reopen=reopen
        )
    except SubmissionConflict:
        return redirect("customer:book_sent")
    return go_on(answers)


@never_cache
@require_http_methods(METHODS)
def family(request: HttpRequest) -> HttpResponse:
    """Ask what kind of unit it is; the first answer makes the booking, an unsuitable one makes none."""
    booking = bound_booking(request)
    if booking is not None and booking.job_id is not None:
        return redirect("customer:book_sent")
    if booking is None and not identity().intake_open:
        return redirect("customer:start")
    answers = bookings.answers_of(booking) if booking else BookingAnswers()
    families = booking_help.families()
    form = FamilyForm(
        data_for(request),
        families=families,
        initial={"family": answers.family},
    )
    if request.method != "POST" or not form.is_valid():
        return ask(request, step=BookingStep.FAMILY, form=form, answers=answers)
    chosen = form.cleaned_data["family"]
    forget_refused(request)
    if chosen in UNSUITABLE:
        return redirect("customer:unsuitable", reason=chosen)
    if booking is None:
        try:
            booking = begin_booking(request, now=timezone.now())
        except BegunTooOften as refusal:
            return too_often(request, attempt=refusal.attempt)
    if chosen == answers.family:
        return keep(request, booking=booking, step=BookingStep.FAMILY, changes={})
    changes = {"family": chosen, "unit_model": "", "identified_by": "", "traits": None, "symptoms": ()}
    reopen = (BookingStep.MODEL, BookingStep.SYMPTOMS)
    return keep(request, booking=booking, step=BookingStep.FAMILY, changes=changes, reopen=reopen)


@require_http_methods(METHODS)
@needs_draft
def number(request: HttpRequest, *, booking: Booking) -> HttpResponse:
    """Ask for the number as read; a change asks for the model again."""
    answers = bookings.answers_of(booking)
    form = NumberForm(data_for(request), initial=NumberForm.initial_from(answers))
    if request.method != "POST" or not form.is_valid():
        known = booking_help.families().get(answers.family)
        return ask(request, step=BookingStep.NUMBER, form=form, answers=answers, family=known)
    given = form.cleaned_data
    same = (given["number_as_read"], given["number_kind"]) == (answers.number_as_read, answers.number_kind)
    if same:
        return keep(request, booking=booking, step=BookingStep.NUMBER, changes=given)
    changes = given | {"unit_model": "", "identified_by": "", "traits": None}
    return keep(
        request, booking=booking, step=BookingStep.NUMBER, changes=changes, reopen=(BookingStep.MODEL,)
    )


@require_http_methods(METHODS)
@needs_draft
def fitted_to(request: HttpRequest, *, booking: Booking) -> HttpResponse:
    """Ask what the unit sits on."""
    answers = bookings.answers_of(booking)
    form = FittedToForm(data_for(request), initial={"fitted_to": answers.fitted_to})
    if request.method != "POST" or not form.is_valid():
        return ask(request, step=BookingStep.FITTED_TO, form=form, answers=answers)
    return keep(request, booking=booking, step=BookingStep.FITTED_TO, changes=form.cleaned_data)


@require_http_methods(METHODS)
@needs_draft
def symptoms(request: HttpRequest, *, booking: Booking) -> HttpResponse:
    """Ask what is wrong, by the family's own list, the state of the unit, and in own words."""
    answers = bookings.answers_of(booking)
    known = booking_help.families().get(answers.family)
    initial = {"symptoms": answers.symptoms, "flags": answers.flags, "own_words": answers.own_words}
    form = SymptomsForm(data_for(request), family=known, initial=initial)
    if request.method != "POST" or not form.is_valid():
        return ask(request, step=BookingStep.SYMPTOMS, form=form, answers=answers)
    given = form.cleaned_data
    changes = given | {"symptoms": tuple(given["symptoms"]), "flags": tuple(given["flags"])}
    return keep(request, booking=booking, step=BookingStep.SYMPTOMS, changes=changes)


@require_http_methods(METHODS)
@needs_draft
def contact(request: HttpRequest, *, booking: Booking) -> HttpResponse:
    """Ask for contact and return address."""
    grant = current_grant(request, now=timezone.now())
    answers = answers_as_sent(booking, let_in_as=grant.customer_id if grant else None)
    form = ContactForm(
        data_for(request),
        is_known=booking.customer_id is not None,
        initial=ContactForm.initial_from(answers),
    )
    if request.method != "POST" or not form.is_valid():
        return ask(request, step=BookingStep.CONTACT, form=form, answers=answers)
    return keep(request, booking=booking, step=BookingStep.CONTACT, changes=form.cleaned_data)


@require_http_methods(METHODS)
@needs_draft
def wishes(request: HttpRequest, *, booking: Booking) -> HttpResponse:
    """Ask for a wished day; a day that today's range does not hold is answered on a page of its own."""
    answers = bookings.answers_of(booking)
    today = timezone.localdate()
    form = WishForm(
        data_for(request),
        today=today,
        initial={"wished_on": answers.wished_on},
    )
    if request.method != "POST" or not form.is_valid():
        offer = booking_help.family_offer(answers.family, now=timezone.now())
        return ask(
            request,
            step=BookingStep.WISHES,
            form=form,
            answers=answers,
            lead=offer.lead if offer else None,
            lead_is_old=offer is not None and offer.known is booking_help.LeadKnown.OUT_OF_DATE,
            advice=outlook.sending_advice(answers.family, now=timezone.now()),
            today=today,
            needs_draining=booking_help.needs_airing(answers.family),
        )
    response = keep(request, booking=booking, step=BookingStep.WISHES, changes=form.cleaned_data)
    verdict = booking_help.judge_wish(bookings.answers_of(booking), now=timezone.now())
    if verdict is not None and verdict.verdict is not booking_help.WishVerdict.FITS:
        return redirect("customer:book_wish_answer")
    return response


@require_http_methods(["GET", "HEAD"])
@needs_draft
def wish_answer(request: HttpRequest, *, booking: Booking) -> HttpResponse:
    """Say honestly whether the wished day can be met, before the customer goes on."""
    answers = bookings.answers_of(booking)
    verdict = booking_help.judge_wish(answers, now=timezone.now())
    if verdict is None:
        return go_on(answers)
    context = {
        "verdict": verdict,
        "words": wish_words(verdict),
        "advice": outlook.sending_advice(answers.family, now=timezone.now()),
        "next_url": url_of(next_step(answers)),
    }
    return render(request, "customer/wish_answer.html", context)


@require_http_methods(METHODS)
@needs_draft
def limit(request: HttpRequest, *, booking: Booking) -> HttpResponse:
    """Ask up to which sum the shop goes ahead unasked."""
    answers = bookings.answers_of(booking)
    is_known = BookingStep.LIMIT.value in answers.answered
    initial = {"limit_pounds": f"{answers.spend_limit_pence / 100:g}"} if is_known else {}
    form = LimitForm(data_for(request), initial=initial)
    if request.method != "POST" or not form.is_valid():
        model = booking_help.unit_model(answers.unit_model)
        offer = booking_help.family_offer(answers.family, now=timezone.now())
        return ask(request, step=BookingStep.LIMIT, form=form, answers=answers, model=model, offer=offer)
    changes = {"spend_limit_pence": form.cleaned_data["spend_limit_pence"]}
    return keep(request, booking=booking, step=BookingStep.LIMIT, changes=changes)
