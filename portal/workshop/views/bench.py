"""At the bench: the queue, and every entry from the first screw to the test."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.replay import EVENT_OF_STEP
from jobs.domain.signing import is_tester
from jobs.domain.staff_words import hold_for_staff
from jobs.domain.stages import EventKind, HoldKind
from jobs.selectors import outlook, shop
from jobs.selectors import queue as queue_selector
from jobs.selectors.sign_off import find_open_papers, has_no_settings, needs_second_person, not_for
from jobs.services import answers, bench
from portal.shared.actors import staff_actor
from portal.workshop.forms.bench import (
    HoldForm,
    NamelessHoldForm,
    PartForm,
    ReadingsForm,
    SettingsForm,
    StepForm,
)
from portal.workshop.forms.sign_off import SignOffForm
from portal.workshop.forms.staff import NoteForm
from portal.workshop.pages import nav_links, table_rows
from portal.workshop.stakes import starts_for
from portal.workshop.views._acting import METHODS, Page, enter, find_or_404, not_now
from portal.workshop.wording import step_words, waits_next

E = EventKind
STAGE_SHOWN = 12


@require_safe
def queue(request: HttpRequest) -> HttpResponse:
    """Show what to do next at each work centre, and the jobs of each stage."""
    now = timezone.now()
    zone = shop.zone()
    found = queue_selector.shop_queue(today=timezone.localdate(now))
    at_stake, me = outlook.stakes(), staff_actor(request)
    context = {
        "queue": found,
        "starts": starts_for(me.name, queue=found, stakes=at_stake, not_for=not_for(me)),
        "worked_out_at": at_stake.computed_at,
        "zone": zone.key,
        "stages": [
            (stage.stage.value, table_rows(stage.lines[:STAGE_SHOWN]), count, count > STAGE_SHOWN)
            for stage in found.stages
            if (count := len(stage.lines))
        ],
        "lost": table_rows(found.without_route),
        "nav": nav_links(request),
        "now": now,
    }
    return render(request, "workshop/queue.html", context)


@require_http_methods(METHODS)
def start(request: HttpRequest, number: str) -> HttpResponse:
    """Take the unit up for one step."""
    seen = find_or_404(request, number)
    page = Page(
        title=_("Start a step"), button=_("Start"), done=_("Started. Finish it here when it is done.")
    )

    def send(form: StepForm, sent: dict[str, Any]) -> None:
        bench.start_work(number, work=form.work(person=sent["actor"].name), **sent)

    return enter(
        request,
        seen,
        kind=E.WORK_STARTED,
        page=page,
        make_form=lambda data: StepForm(data, job=seen.job, offers=seen.offers),
        send=send,
    )


@require_http_methods(METHODS)
def finish(request: HttpRequest, number: str) -> HttpResponse:
    """Finish the step that is under way; while nobody is at work, any that may come next."""
    seen = find_or_404(request, number)
    under_way = seen.state.working_step
    open_offers = tuple(
        offer for offer in seen.offers if offer.kind in seen.allowed and under_way in {"", offer.step}
    )
    next_kind = open_offers[0].kind if open_offers else E.STRIPPED
    kind = EVENT_OF_STEP.get(request.POST.get("step", ""), next_kind)
    page = Page(
        title=_("Finish a step"),
        button=_("It is finished"),
        done=_("Finished. What comes next stands below."),
    )

    def send(form: StepForm, sent: dict[str, Any]) -> None:
        bench.finish_work(number, work=form.work(person=sent["actor"].name), **sent)

    return enter(
        request,
        seen,
        kind=kind,
        page=page,
        make_form=lambda data: StepForm(data, job=seen.job, offers=open_offers, under_way=under_way),
        send=send,
    )


@require_http_methods(METHODS)
def pause(request: HttpRequest, number: str) -> HttpResponse:
    """Put the unit down."""
    seen = find_or_404(request, number)
    page = Page(
        title=_("Put it down: %s") % step_words(seen.state.working_step),
        button=_("Put it down"),
        done=_("Put down. Nobody works on it now."),
    )
    return enter(
        request,
        seen,
        kind=E.WORK_PAUSED,
        page=page,
        make_form=lambda data: NoteForm(data, job=seen.job),
        send=lambda form, sent: bench.pause_work(number, note=form.cleaned_data["note"], **sent),
    )


@require_http_methods(METHODS)
def fail_test(request: HttpRequest, number: str) -> HttpResponse:
    """Record a failed bench test."""
    seen = find_or_404(request, number)
    page = Page(
        title=_("The test failed"),
        button=_("Record the failed test"),
        done=_("Recorded. The unit is assembled and tested again."),
        lead=_("The unit goes back to be assembled and tested again; the readings stay in the log."),
    )
    return enter(
        request,
        seen,
        kind=E.TEST_FAILED,
        page=page,
        make_form=lambda data: NoteForm(data, job=seen.job),
        send=lambda form, sent: bench.fail_test(number, note=form.cleaned_data["note"], **sent),
    )


@require_http_methods(METHODS)
def part(request: HttpRequest, number: str) -> HttpResponse:
    """Enter a part that went into the unit."""
    seen = find_or_404(request, number)
    page = Page(title=_("A part used"), button=_("Enter the part"), done=_("Entered."))
    return enter(
        request,
        seen,
        kind=E.PART_USED,
        page=page,
        make_form=lambda data: PartForm(data, job=seen.job),
        send=lambda form, sent: bench.use_part(number, part=form.used(), **sent),
    )


@require_http_methods(METHODS)
def settings(request: HttpRequest, number: str) -> HttpResponse:
    """Record settings as found and as left."""
    seen = find_or_404(request, number)
    page = Page(
        title=_("Settings as found and as left"),
        button=_("Keep the settings"),
        done=_("The settings are kept. They go back with the unit."),
        lead=_(
            "By the model's own names. Write the figure as you read it; what you leave empty is not noted."
        ),
    )
    return enter(
        request,
        seen,
        kind=E.SETTINGS_RECORDED,
        page=page,
        make_form=lambda data: SettingsForm(data, job=seen.job, settings=seen.settings),
        send=lambda form, sent: bench.record_settings(number, settings=form.settings(), **sent),
    )


@require_http_methods(METHODS)
def readings(request: HttpRequest, number: str) -> HttpResponse:
    """Record the readings of the bench test; they are judged line by line against the model's limits."""
    seen = find_or_404(request, number)
    known = seen.state.readings.readings if seen.state.readings else {}
    page = Page(
        title=_("Test readings"),
        button=_("Judge them against the limits"),
        done=_("Kept. Each line stands below with its limits."),
        lead=_("The limits come from the catalogue, as the model stood when the job was cleared."),
    )
    return enter(
        request,
        seen,
        kind=E.READINGS_RECORDED,
        page=page,
        make_form=lambda data: ReadingsForm(data, job=seen.job, lines=seen.readings, known=known),
        send=lambda form, sent: bench.record_readings(number, readings=form.readings(), **sent),
    )


@require_http_methods(METHODS)
def hold(request: HttpRequest, number: str) -> HttpResponse:
    """Stop the job until something arrives."""
    seen = find_or_404(request, number)
    today = timezone.localdate()
    form_class = NamelessHoldForm if seen.job.customer_id is None else HoldForm
    page = Page(title=_("Put the job on hold"), button=_("Put it on hold"), done="")
    if request.method != "POST" and seen.hold is not None:
        return not_now(request, seen, kind=E.HELD)

    def send(form: HoldForm, sent: dict[str, Any]) -> None:
        given = form.cleaned_data
        kind, until = HoldKind(given["hold"]), given["expected_on"]
        if kind is HoldKind.ANSWER and not seen.state.question_open:
            answers.hold_for_answer(number, question=given["reason"], expected_on=until, **sent)
            messages.success(request, _("On hold. The question is on its way to the customer."))
            return
        bench.hold_job(number, hold=kind, reason=given["reason"], expected_on=until, **sent)
        messages.success(request, _("On hold."))

    return enter(
        request,
        seen,
        kind=E.HELD,
        page=page,
        make_form=lambda data: form_class(data, job=seen.job, today=today),
        send=send,
    )


@require_http_methods(METHODS)
def release(request: HttpRequest, number: str) -> HttpResponse:
    """End the hold."""
    seen = find_or_404(request, number)
    if request.method != "POST" and seen.hold is None:
        return not_now(request, seen, kind=E.RELEASED)
    held_for = hold_for_staff(seen.job.hold_reason, hold=seen.hold) if seen.hold else ""
    after = waits_next(seen)
    page = Page(
        title=_("End the hold"),
        button=_("The hold has ended"),
        done=_("That hold has ended; the job still waits, as told below.")
        if after
        else _("The hold has ended. Work may go on."),
        lead=" ".join(filter(None, (_held_words(held_for), after))),
        cautions=(
            _("The customer has not answered yet. Work may begin without the answer once you end this."),
        )
        if seen.state.question_open
        else (),
    )
    return enter(
        request,
        seen,
        kind=E.RELEASED,
        page=page,
        make_form=lambda data: NoteForm(data, job=seen.job),
        send=lambda form, sent: bench.release_job(number, note=form.cleaned_data["note"], **sent),
    )


@require_http_methods(METHODS)
def sign_off(request: HttpRequest, number: str) -> HttpResponse:
    """Sign the unit off; where two people are needed, not by the one who tested it."""
    seen = find_or_404(request, number)
    needs_two = needs_second_person(seen.job, worst_severity=seen.state.worst_severity)
    tester, actor = seen.state.tested_by, staff_actor(request)
    me, tested_it = actor.name, is_tester(actor, state=seen.state)
    cautions: tuple[str, ...] = ()
    if needs_two and not tested_it:
        cautions = (
            _("%(tester)s tested it; you sign as the second person, %(me)s.") % {"tester": tester, "me": me},
        )
    page = Page(
        title=_("Sign off"),
        button=_("Sign it off as %s") % me,
        done=_("Signed off."),
        lead=_("With this you say: tested, within the limits, complete, and ready to be packed."),
        cautions=cautions,
        template="workshop/sign_off.html",
        more={
            "hands_over": needs_two and tested_it,
            "tester": tester,
            "has_settings": any(line.as_found or line.as_left for line in seen.settings),
            "open_papers": find_open_papers(seen),
        },
    )
    return enter(
        request,
        seen,
        kind=E.SIGNED_OFF,
        page=page,
        make_form=lambda data: SignOffForm(data, job=seen.job, has_no_settings=has_no_settings(seen)),
        send=lambda form, sent: bench.sign_off(
            number,
            note=form.cleaned_data["note"],
            without_settings=form.cleaned_data.get("without_settings", ""),
            **sent,
        ),
    )


def _held_words(reason: str) -> str:
    """Return what a job was held for, as one sentence with one sign at its end."""
    words = _("It was held for: %s") % reason if reason else ""
    return words if words.endswith((".", "?", "!")) or not words else f"{words}."
