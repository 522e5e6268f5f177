"""Which unit is it? Candidates with the reason, the best question when two fit, and always a way on."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from jobs.domain.booking import BookingAnswers, BookingStep
from jobs.domain.errors import SubmissionConflict
from jobs.models import Booking
from jobs.selectors import booking_help
from jobs.selectors.booking_help import ModelHelp
from jobs.services import bookings
from portal.customer.drafts import needs_draft
from portal.customer.forms.booking import CANNOT_TELL, NONE_OF_THESE, ModelForm, trait_form
from portal.customer.views.booking import METHODS, ask, go_on, keep
from portal.shared.refused_forms import data_for, forget_refused


@require_http_methods(METHODS)
@needs_draft
def model(request: HttpRequest, *, booking: Booking) -> HttpResponse:
    """Propose, ask, or let the customer choose; nothing that was typed is corrected silently."""
    answers = bookings.answers_of(booking)
    if not answers.family:
        return go_on(answers)
    found, data = booking_help.model_help(answers), data_for(request)
    if found.question is not None and "choose" not in request.GET and "unit_model" not in (data or {}):
        return _ask_trait(request, booking=booking, answers=answers, found=found)
    form = ModelForm(
        data,
        candidates=found.candidates,
        others=found.others,
        elsewhere=found.elsewhere,
        initial={"unit_model": answers.unit_model},
    )
    if request.method != "POST" or not form.is_valid():
        return ask(request, step=BookingStep.MODEL, form=form, answers=answers, found=found)
    return _keep_model(
        request, booking=booking, answers=answers, found=found, chosen=form.cleaned_data["unit_model"]
    )


def _ask_trait(
    request: HttpRequest, *, booking: Booking, answers: BookingAnswers, found: ModelHelp
) -> HttpResponse:
    """Ask the question that splits best, save the answer, and look again."""
    question = found.question
    if question is None:
        return go_on(answers)
    data = data_for(request)
    is_answer = data is not None and data.get("question") == question.slug
    form = trait_form(data if is_answer else None, question=question)
    if request.method != "POST" or not form.is_valid():
        return ask(request, step=BookingStep.MODEL, form=form, answers=answers, found=found)
    forget_refused(request)
    said = form.cleaned_data["answer"]
    traits = {**(answers.traits or {}), question.slug: "" if said == CANNOT_TELL else said}
    try:
        bookings.save_answers(
            booking,
            step=BookingStep.NUMBER,
            changes={"traits": traits},
            now=timezone.now(),
            reopen=(BookingStep.MODEL,),
        )
    except SubmissionConflict:
        return redirect("customer:book_sent")
    return redirect("customer:book_model")


def _keep_model(
    request: HttpRequest, *, booking: Booking, answers: BookingAnswers, found: ModelHelp, chosen: str
) -> HttpResponse:
    """Save the choice with its reason; a unit of another family than first said brings that family along."""
    picked = None if chosen == NONE_OF_THESE else found.known(chosen)
    changes: dict[str, Any] = {
        "unit_model": "",
        "identified_by": _("The customer knew none of the proposed models."),
    }
    reopen: tuple[BookingStep, ...] = ()
    if picked is not None:
        reason = found.reason(picked.slug) or _("Chosen from the list.")
        changes = {"unit_model": picked.slug, "identified_by": _("Chosen by the customer. %s") % reason}
        if picked.family != answers.family:
            changes |= {"family": picked.family, "symptoms": ()}
            reopen = (BookingStep.SYMPTOMS,)
    return keep(request, booking=booking, step=BookingStep.MODEL, changes=changes, reopen=reopen)
