"""Answering bookings: read what was said, settle the unit, and say yes, ask, or say no."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.stages import EventKind, HoldKind
from jobs.models import Job
from jobs.selectors import answering, booking_help, counter, outlook, receiving
from jobs.selectors.booking_help import WishAnswer, WishVerdict
from jobs.selectors.timeline import exchanges
from jobs.services import answers
from packing.quantities import UnitChoice
from portal.shared.parcel_drawing import draw_plan
from portal.workshop.forms.answering import ClearForm
from portal.workshop.forms.staff import DeclineForm, QuestionForm, SpokenForm
from portal.workshop.pages import counter_rows, nav_links, photo_views
from portal.workshop.views._acting import METHODS, Page, enter, find_or_404, show


@require_safe
def bookings(request: HttpRequest) -> HttpResponse:
    """List the bookings that wait for the shop's answer, and those that wait for the customer's."""
    found = counter.open_bookings()
    context = {
        "rows": counter_rows(found.to_answer),
        "asked": counter_rows(found.asked),
        "nav": nav_links(request),
        "now": timezone.now(),
    }
    return render(request, "workshop/bookings.html", context)


@require_http_methods(METHODS)
def answer(request: HttpRequest, number: str) -> HttpResponse:
    """Show everything the customer said, and say yes."""
    seen = find_or_404(request, number)
    booked = answering.see_booking(seen.job)
    others = answering.other_models(seen.job, shown=booked.choices)
    shown_model = request.GET.get("model", booked.first_choice)
    preview = answering.preview_plan(shown_model, today=timezone.localdate())
    page = Page(
        title=_("Answer this booking"),
        button=_("Say yes: it may be sent"),
        done=_(
            "Cleared. A mail goes to the customer with the link to their page: strip list, parcel and slip."
        ),
        template="workshop/answer.html",
        more={
            "booked": booked,
            "talk": exchanges(seen.entries)[: -1 if seen.state.question_open else None],
            "offer": booking_help.family_offer(seen.job.family, now=timezone.now()),
            "advice": outlook.sending_advice(seen.job.family, now=timezone.now()),
            "photos": photo_views(receiving.photos_before(seen.job), title=_("From the customer")),
            "preview": preview,
            "drawing": draw_plan(preview.plan, model=preview.model, units=UnitChoice.METRIC)
            if preview.plan and preview.model
            else None,
            "today": timezone.localdate(),
            "wish": _missed_wish(seen.job),
        },
    )

    def make_form(data: Any) -> ClearForm:
        return ClearForm(data, job=seen.job, seen_booking=booked, others=others)

    def send(form: ClearForm, sent: dict[str, Any]) -> None:
        answers.clear_job(number, unit_model=form.unit_model(), note=form.cleaned_data["note"], **sent)

    return enter(request, seen, kind=EventKind.CLEARED, page=page, make_form=make_form, send=send)


@require_http_methods(METHODS)
def question(request: HttpRequest, number: str) -> HttpResponse:
    """Ask the customer something."""
    seen = find_or_404(request, number)
    page = Page(
        title=_("Ask the customer"),
        button=_("Send the question"),
        done=_("Asked. The answer appears on this page."),
        lead=_("Ask one thing, so that it can be answered with a word or a photo."),
    )
    if "ask" in request.POST:
        # From the answer to a booking: what was typed there as a note is the beginning of the question.
        form = QuestionForm(None, job=seen.job, initial={"text": request.POST.get("note", "")})
        return show(request, seen, template=page.template, form=form, page=page)
    return enter(
        request,
        seen,
        kind=EventKind.QUESTION_ASKED,
        page=page,
        make_form=lambda data: QuestionForm(data, job=seen.job),
        send=lambda form, sent: answers.ask_question(number, text=form.cleaned_data["text"], **sent),
    )


@require_http_methods(METHODS)
def decline(request: HttpRequest, number: str) -> HttpResponse:
    """Say no, with the reason."""
    seen = find_or_404(request, number)
    page = Page(
        title=_("Decline this booking"),
        button=_("Decline it"),
        done=_("Declined. The customer has a mail with your reason."),
        lead=_("The customer reads your reason as you write it. The booking ends with this."),
        stops=True,
    )
    return enter(
        request,
        seen,
        kind=EventKind.DECLINED,
        page=page,
        make_form=lambda data: DeclineForm(data, job=seen.job),
        send=lambda form, sent: answers.decline_job(number, reason=form.cleaned_data["text"], **sent),
    )


@require_http_methods(METHODS)
def spoken(request: HttpRequest, number: str) -> HttpResponse:
    """Record what the customer answered on the phone."""
    seen = find_or_404(request, number)
    page = Page(
        title=_("The customer's answer"),
        button=_("Record the answer"),
        done=_("Recorded. The hold that waited for it has ended.")
        if seen.hold is HoldKind.ANSWER
        else _("Recorded. It stands on this page."),
        lead=seen.state.question_open,
    )

    def send(form: SpokenForm, sent: dict[str, Any]) -> None:
        answers.answer_question(number, text=form.cleaned_data["text"], actor=sent["actor"], now=sent["now"])

    return enter(
        request,
        seen,
        kind=EventKind.QUESTION_ANSWERED,
        page=page,
        make_form=lambda data: SpokenForm(data, job=seen.job),
        send=send,
    )


@require_http_methods(METHODS)
def cancel(request: HttpRequest, number: str) -> HttpResponse:
    """Cancel a job whose unit will not be sent."""
    seen = find_or_404(request, number)
    page = Page(
        title=_("Cancel this job"),
        button=_("Cancel it"),
        done=_("Cancelled."),
        lead=_("For a unit that will not be sent. The customer reads your reason; the job ends with this."),
        stops=True,
    )
    return enter(
        request,
        seen,
        kind=EventKind.CANCELLED,
        page=page,
        make_form=lambda data: DeclineForm(data, job=seen.job),
        send=lambda form, sent: answers.cancel_job(number, reason=form.cleaned_data["text"], **sent),
    )


def _missed_wish(job: Job) -> WishAnswer | None:
    """Return how the wished day stands where today's range ends after it, else None."""
    if job.wished_on is None:
        return None
    wish = booking_help.judge_wished_day(job.wished_on, family=job.family, now=timezone.now())
    return wish if wish.verdict in {WishVerdict.TIGHT, WishVerdict.TOO_SOON} else None
