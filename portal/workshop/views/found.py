"""What was found on the bench, and the extra work it asks for."""

from typing import Any, BinaryIO, cast

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from jobs.domain.condition import finding_shot
from jobs.domain.errors import StaleEdit
from jobs.domain.stages import EventKind
from jobs.photos.sniff import look
from jobs.selectors import bench as selector
from jobs.services import bench, extra_work
from jobs.services import photos as photo_service
from portal.templatetags.portal_format import pence as pence_words
from portal.workshop.forms.bench import LINES_LEAST, DecisionForm, ExtraWorkForm, FindingForm
from portal.workshop.views._acting import METHODS, Page, enter, find_or_404, show


@require_http_methods(METHODS)
def finding(request: HttpRequest, number: str) -> HttpResponse:
    """Record something that was found, with a photo of it."""
    seen = find_or_404(request, number)
    zones = seen.family.zones if seen.family else ()
    page = Page(
        title=_("Record a finding"),
        button=_("Keep the finding"),
        done=_("Kept. The customer sees it on their page."),
        lead=_("Say what, where and how big; leave guesses about fault out."),
        template="workshop/finding.html",
    )

    def send(form: FindingForm, sent: dict[str, Any]) -> None:
        file = request.FILES.get("photo")
        if file is not None:
            look(cast(BinaryIO, file))  # refused before anything is recorded, so that the words are kept
        try:
            found_at = bench.record_finding(number, finding=form.finding(), **sent)
        except StaleEdit as stale:
            if file is None:
                raise
            again = _("Choose the photo again as well: a browser does not keep it.")
            raise StaleEdit(f"{stale} {again}") from stale
        if file is not None:
            # The finding first: a photo of what was never recorded would be shown to the customer.
            photo_service.add_photo(
                file,
                booking=None,
                job=seen.job,
                role="finding",
                shot=finding_shot(found_at.event_count),
                caption=form.cleaned_data["text"][:200],
                actor=sent["actor"],
                now=sent["now"],
            )

    return enter(
        request,
        seen,
        kind=EventKind.FINDING_RECORDED,
        page=page,
        make_form=lambda data: FindingForm(data, files=request.FILES or None, job=seen.job, zones=zones),
        send=send,
    )


@require_http_methods(METHODS)
def ask_extra_work(request: HttpRequest, number: str) -> HttpResponse:
    """Ask for extra work, once its price and its new date have been seen."""
    seen = find_or_404(request, number)
    count = _count(request.POST.get("lines", "")) + (LINES_LEAST if "more" in request.POST else 0)
    page = Page(
        title=_("Ask for extra work"),
        button=_("Ask the customer"),
        done="",
        template="workshop/extra_work.html",
    )

    def make_form(data: Any) -> ExtraWorkForm:
        return ExtraWorkForm(data, job=seen.job, count=count)

    if request.method == "POST" and "send" not in request.POST:
        form = make_form(request.POST)
        checked = form.is_valid() and "more" not in request.POST
        lines = form.extra_lines() if checked else ()
        total = sum(line.price_pence for line in lines)
        days = form.cleaned_data.get("days") or 0 if checked else 0
        if "more" in request.POST:
            form = ExtraWorkForm(
                None, job=seen.job, count=count, initial=dict(request.POST.items()) | {"lines": count}
            )
        context = {
            "form": form,
            "page": page,
            "is_checked": checked,
            "total_pence": total,
            "is_within": total <= seen.limit_left_pence,
            "new_date": selector.latest_if_added(seen.job, added_work_days=days, now=timezone.now()),
        }
        status = 200 if checked or "more" in request.POST else 422
        return show(request, seen, template=page.template, status=status, **context)

    def send(form: ExtraWorkForm, sent: dict[str, Any]) -> None:
        days = form.cleaned_data["days"]
        asked = extra_work.ask_extra_work(
            number,
            lines=form.extra_lines(),
            added_work_days=days,
            latest_on_if_approved=selector.latest_if_added(seen.job, added_work_days=days, now=sent["now"]),
            **sent,
        )
        if asked.within_limit:
            limit = pence_words(seen.job.spend_limit_pence)
            messages.success(request, _("Within the limit of %s: it is approved, work may go on.") % limit)
        else:
            messages.success(request, _("Asked. The job waits for the customer's yes or no."))

    return enter(request, seen, kind=EventKind.EXTRA_WORK_ASKED, page=page, make_form=make_form, send=send)


@require_http_methods(METHODS)
def decide(request: HttpRequest, number: str, extra: int) -> HttpResponse:
    """Record the customer's yes or no to extra work, given on the phone."""
    seen = find_or_404(request, number)
    asked = next((row for row in seen.extra_work if row.number == extra and not row.decision), None)
    if asked is None and any(row.number == extra for row in seen.extra_work):
        messages.info(request, _("The answer to this extra work is recorded already. It stands below."))
        return redirect("workshop:job", number)
    if asked is None:
        raise Http404
    page = Page(
        title=_("Yes or no to the extra work"),
        button=_("Record the answer"),
        done=_("Recorded, with who and when. An answer is not changed later."),
        template="workshop/decide.html",
        more={"extra": asked},
    )

    def send(form: DecisionForm, sent: dict[str, Any]) -> None:
        extra_work.decide_extra_work(
            number,
            extra_work=extra,
            decision=form.cleaned_data["decision"],
            note=form.cleaned_data["note"],
            actor=sent["actor"],
            now=sent["now"],
        )

    return enter(
        request,
        seen,
        kind=EventKind.EXTRA_WORK_APPROVED,
        page=page,
        make_form=lambda data: DecisionForm(data, job=seen.job),
        send=send,
    )


def _count(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 3 else LINES_LEAST
