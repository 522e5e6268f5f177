"""What would a change in the shop do to everybody's dates? Asked for here, worked out by the worker."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.domain.errors import JobsError
from jobs.selectors import comparisons, shop
from jobs.selectors.comparisons import OPEN_STATES, SeenRun
from jobs.services.whatif_runs import ask_comparison, cancel_comparison
from packing import selectors as catalogue
from portal.owner import comparing
from portal.owner.navigation import Cell, page
from portal.owner.setup_steps import first_missing
from portal.owner.whatif_form import WhatIfForm, initial_of
from portal.shared.actors import staff_actor

LOOK_AGAIN_SECONDS = 2
LOOK_SELDOM_SECONDS = 30


@require_http_methods(["GET", "HEAD", "POST"])
def what_if(request: HttpRequest) -> HttpResponse:
    """Offer every kind of change; take one or two and hand them to the worker."""
    now = timezone.now()
    try:
        frame = comparisons.shop_frame(published=catalogue.catalogue())
    except JobsError as refusal:
        context = page(
            "what_if", refusal=str(refusal), missing=first_missing(shop.all_documents()), recent=()
        )
        return render(request, "owner/what_if.html", context)
    form = WhatIfForm(
        request.POST if request.method == "POST" else None,
        frame=frame,
        today=shop.open_day(now.astimezone(shop.zone()).date()),
        initial=_initial(request),
    )
    if request.method == "POST" and form.is_valid():
        try:
            run = ask_comparison(
                form.changes,
                words=comparisons.words_of(frame, changes=form.changes),
                reference=form.wanted_reference,
                actor=staff_actor(request),
                now=now,
            )
        except JobsError as refusal:
            form.add_error(None, str(refusal))
        else:
            return redirect("owner:what_if_run", reference=run.reference)
    recent = [(run, comparing.state_words(run)) for run in comparisons.recent_runs()]
    context = page(
        "what_if",
        form=form,
        recent=recent,
        refusal="",
        missing=first_missing(shop.all_documents()),
        job_count=len(frame.state.jobs),
        zone=shop.zone().key,
    )
    return render(request, "owner/what_if.html", context)


@require_safe
def what_if_run(request: HttpRequest, reference: UUID) -> HttpResponse:
    """Show how far a comparison is, or what came of it."""
    now = timezone.now()
    run = _find_or_404(reference)
    is_open, is_slow = run.state in OPEN_STATES, comparing.is_slow(run, now=now)
    seconds = LOOK_SELDOM_SECONDS if is_slow else LOOK_AGAIN_SECONDS
    context = page(
        "what_if",
        run=run,
        now=now,
        zone=shop.zone().key,
        state_words=comparing.state_words(run),
        told=comparing.tell(run) if run.found else None,
        put_first=comparisons.find_job_to_put_first(run) if run.found else "",
        is_open=is_open,
        is_slow=is_slow,
        seconds=seconds,
        percent=round(run.progress_share * 100),
        title_cells=(
            Cell(_("Sheet"), _("What if")),
            Cell(_("Asked by"), run.asked_by),
            Cell(_("Asked"), date_format(timezone.localtime(run.asked_at), "j M, H:i")),
        ),
    )
    response = render(request, "owner/what_if_run.html", context)
    if is_open:
        # The page looks again by itself without script; a header, because assistive programs stumble over
        # the same thing as a tag.
        response["Refresh"] = str(seconds)
    return response


@require_POST
def cancel_what_if(request: HttpRequest, reference: UUID) -> HttpResponse:
    """Stop a comparison that is not done yet."""
    _find_or_404(reference)
    if cancel_comparison(reference, actor=staff_actor(request), now=timezone.now()):
        messages.success(request, _("The comparison is cancelled."))
    else:
        messages.info(request, _("It was over already; nothing was cancelled."))
    return redirect("owner:what_if_run", reference=reference)


def _find_or_404(reference: UUID) -> SeenRun:
    run = comparisons.find_run(reference, published=catalogue.catalogue())
    if run is None:
        raise Http404
    return run


def _initial(request: HttpRequest) -> dict[str, object]:
    """Return the changes of an earlier comparison, where the address names one."""
    try:
        reference = UUID(request.GET.get("again", ""))
    except ValueError:
        return {}
    run = comparisons.find_run(reference, published=catalogue.catalogue())
    return initial_of(run.changes) if run else {}
