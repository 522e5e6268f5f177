"""One job: its page, its card on paper, and what is entered about it at any stage."""

from dataclasses import replace
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from jobs.domain.signing import is_tester
from jobs.domain.stages import TURN_LABELS, EventKind, Stage, Turn
from jobs.domain.undoing import steps_undone
from jobs.selectors import customer_findings, job_sheet, parcels, receiving
from jobs.selectors.bench import JobAtBench
from jobs.selectors.counter import ASKED_WORDS, SMELL_STAGES
from jobs.selectors.mails_out import mails_of_last_step
from jobs.selectors.sign_off import needs_second_person
from jobs.selectors.withdrawn_photos import withdrawn_photos
from jobs.services import answers, corrections, link_renewal, turns
from packing.strip.safety import DEFERRAL
from portal.shared.actors import staff_actor
from portal.shared.photo_files import photo_response
from portal.shared.scan_code import qr_svg, scan_address
from portal.templatetags.portal_format import moment
from portal.workshop.forms.staff import ReasonForm, RemarkForm, RenewLinksForm, TurnForm
from portal.workshop.marks_drawn import marked_photos
from portal.workshop.pages import photo_views, title_cells
from portal.workshop.views._acting import METHODS, Page, enter, find_or_404, not_now, show
from portal.workshop.views.matching import match_lead
from portal.workshop.wording import (
    arrival_labels,
    clock_lines,
    entry_groups,
    hold_view,
    next_is_at_once,
    next_url,
    next_words,
    other_turn,
    symptom_labels,
    under_way_words,
)


@require_safe
def job(request: HttpRequest, number: str) -> HttpResponse:
    """Show one job with the one thing to do next, the rest below it, and everything known about it."""
    seen = find_or_404(request, number)
    taken, before = receiving.shop_photos(seen.job), receiving.photos_before(seen.job)
    needs_two = needs_second_person(seen.job, worst_severity=seen.state.worst_severity)
    arrival = receiving.arrival_seen(seen.entries)
    context: dict[str, Any] = {
        "was_scanned": "scanned" in request.GET,
        "next_words": next_words(seen),
        "next_url": next_url(seen),
        "at_once": next_is_at_once(seen),
        "under_way": under_way_words(seen),
        "entries": entry_groups(seen),
        "hold": hold_view(seen),
        "stage_words": ASKED_WORDS if seen.stage is Stage.BOOKED and seen.state.question_open else "",
        "needs_two": needs_two,
        "is_tester": is_tester(staff_actor(request), state=seen.state),
        "arrival": arrival,
        "arrival_words": arrival_labels(arrival),
        "has_settings": any(line.as_found or line.as_left for line in seen.settings),
        "symptoms": symptom_labels(seen),
        "smell_stages": SMELL_STAGES,
        "deferral": DEFERRAL,
        "condition": customer_findings.condition(seen.job, entries=seen.entries),
        "marks": marked_photos(seen.marks),
        "taken": photo_views(taken, title=_("Taken here"), job_number=seen.number),
        "before": photo_views(before, title=_("From the customer"), job_number=seen.number),
        "withdrawn": withdrawn_photos(seen.entries),
        "score": receiving.evidence(taken, before=before),
        "clocks": clock_lines(
            receiving.clocks(seen.job, entries=seen.entries) if seen.job.transit_damage else (),
            today=timezone.localdate(),
        ),
        "strip_list": parcels.strip_list(seen.job),
        "parcel_in": customer_findings.parcel_in(seen.entries),
        "parcel_back": customer_findings.parcel_back(seen.entries),
    }
    return show(request, seen, template="workshop/job.html", **context)


@require_safe
def card(request: HttpRequest, number: str) -> HttpResponse:
    """Print the card that travels with the unit through the shop."""
    seen = find_or_404(request, number)
    context = {
        "seen": seen,
        "job": seen.job,
        "card": job_sheet.job_card(seen.job, entries=seen.entries, done_steps=seen.state.done_steps),
        "arrival": receiving.arrival_seen(seen.entries),
        "code": qr_svg(scan_address(seen.number)),
        "address": scan_address(seen.number),
        "title_cells": title_cells(seen.job, unit_words=seen.unit_words),
    }
    return render(request, "print/job_card.html", context)


@require_safe
def photo(request: HttpRequest, reference: object, size: str) -> HttpResponseBase:
    """Send one photo of any job to the shop's people."""
    found = receiving.photo_of(reference)  # type: ignore[arg-type]  # the address holds a UUID
    if found is None:
        raise Http404
    return photo_response(found, size=size)


@require_http_methods(METHODS)
def note(request: HttpRequest, number: str) -> HttpResponse:
    """Add a note to the log."""
    seen = find_or_404(request, number)

    def send(form: RemarkForm, sent: dict[str, object]) -> None:
        answers.add_note(number, text=form.cleaned_data["text"], actor=sent["actor"], now=sent["now"])  # type: ignore[arg-type]

    return enter(
        request,
        seen,
        kind=EventKind.NOTE_ADDED,
        page=Page(title=_("Add a note"), button=_("Keep the note"), done=_("The note is kept.")),
        make_form=lambda data: RemarkForm(data, job=seen.job),
        send=send,
    )


@require_http_methods(METHODS)
def links(request: HttpRequest, number: str) -> HttpResponse:
    """Close every way into the customer's pages, after it was said what that means, and mail a new one."""
    seen = find_or_404(request, number)
    customer = seen.job.customer
    lead = _(
        "For a link in the wrong hands: a mistyped address, a shared mailbox, a lost phone. Every link to "
        "any of the customer's jobs stops working, and every browser that was let in needs the new one."
    )
    caution = _(
        "Whoever gets the new link is let in as the customer. Before you change the address, ring them on "
        "the number you have on file, not on one from a mail."
    )
    page = Page(
        title=_("Close the customer's links"),
        button=_("Close them and send a new one"),
        done="",
        lead=lead,
        cautions=(caution,),
        stops=True,
    )
    initial = {"email": customer.email if customer else ""}

    def send(form: RenewLinksForm, sent: dict[str, Any]) -> None:
        email = form.cleaned_data["email"]
        link_renewal.renew_links(number, email=email, reason=form.cleaned_data["text"], **sent)
        if email:
            messages.success(request, _("Closed. A new link is on its way to %s.") % email)
        else:
            messages.success(request, _("Closed. No mail address is on file, so no new link went out."))

    return enter(
        request,
        seen,
        kind=EventKind.LINKS_RENEWED,
        page=page,
        make_form=lambda data: RenewLinksForm(data, job=seen.job, initial=initial),
        send=send,
    )


@require_http_methods(METHODS)
def turn(request: HttpRequest, number: str) -> HttpResponse:
    """Put the job first at every bench, or back in its turn, with the reason."""
    seen = find_or_404(request, number)
    # A form that was drawn before somebody else's entry still asks for what its page said.
    asked = request.POST.get("turn")
    wanted = Turn(asked) if asked in set(Turn) else other_turn(seen)
    dates = _("The dates of all jobs are worked out again within a minute or two.")
    if wanted is Turn.FIRST:
        lead = _(
            "At each bench it goes before the jobs that wait in their turn, which then take longer. "
            "What is under way there is finished first."
        )
        done = _("Put first. %s") % dates
    else:
        lead = _("It was put first for: %s") % seen.state.turn_reason
        done = _("Back in its turn. %s") % dates
    label = TURN_LABELS[wanted]
    return enter(
        request,
        seen,
        kind=EventKind.TURN_CHANGED,
        page=Page(title=label, button=label, done=done, lead=lead),
        make_form=lambda data: TurnForm(data, job=seen.job, initial={"turn": wanted.value}),
        send=lambda form, sent: turns.change_turn(
            number, turn=form.cleaned_data["turn"], reason=form.cleaned_data["text"], **sent
        ),
    )


@require_http_methods(METHODS)
def take_back(request: HttpRequest, number: str) -> HttpResponse:
    """Take back the last step by a correcting event; the log keeps both."""
    seen = find_or_404(request, number)
    last = next((line for line in seen.log if seen.undoable and line.number == seen.undoable.number), None)
    if last is None:
        return not_now(request, seen, kind=EventKind.CORRECTED)
    page = Page(
        title=_("Take back the last step"),
        button=_("Take it back"),
        done=_("Taken back. The log keeps the step and your reason."),
        lead=_("This is the last step. Once it is taken back, the job stands where it stood before."),
        template="workshop/take_back.html",
        cautions=_told_already(seen),
        stops=True,
        more={"last": last},
    )
    if last.kind is EventKind.MATCHED:
        page = replace(page, lead=match_lead(seen))
    if last.kind is EventKind.INSPECTED and len(steps_undone(seen.entries)) > 1:
        withdrawn = _("The question to the customer that came out of it is taken back with it.")
        page = replace(page, lead=f"{page.lead} {withdrawn}")
    if last.kind is EventKind.HELD and len(steps_undone(seen.entries)) > 1:
        withdrawn = _("The question to the customer that it waits for is taken back with it.")
        page = replace(page, lead=f"{page.lead} {withdrawn}")
    return enter(
        request,
        seen,
        kind=EventKind.CORRECTED,
        page=page,
        make_form=lambda data: ReasonForm(data, job=seen.job),
        send=lambda form, sent: corrections.take_back_last_step(
            number, reason=form.cleaned_data["text"], **sent
        ),
    )


def _told_already(seen: JobAtBench) -> tuple[str, ...]:
    """Return what the customer has read of the step by mail: somebody has to tell them, no mail does."""
    words = _("A mail of %(moment)s told the customer: “%(subject)s”. Ring them: no mail takes that back.")
    mails = mails_of_last_step(seen.job, entries=seen.entries)
    return tuple(words % {"moment": moment(mail.sent_at), "subject": mail.subject} for mail in mails)
