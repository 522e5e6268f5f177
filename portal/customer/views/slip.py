"""The sheet that travels in the box: on paper or as a PDF, and only once the unit may be posted."""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from jobs.domain.replay import JobState
from jobs.domain.stages import Stage
from jobs.models import Job
from jobs.selectors import customer_findings, customer_jobs, parcels
from jobs.selectors.customer_jobs import JobSeen
from portal.customer.own_jobs import customer_of, own_job
from portal.customer.slip_sheet import slip_of
from portal.customer.views.sending import title_cells_of
from portal.shared.pdf import PdfUnavailable, pdf_from_html

PAPERS = {"a4": "A4", "letter": "Letter"}


@require_safe
@own_job
def slip(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Show the slip for printing, or why it is not there yet."""
    seen = customer_jobs.see_job(job)
    locked = _locked(job, stage=seen.stage, state=seen.state)
    if locked:
        return _locked_page(request, job=job, sentence=locked)
    return render(request, "print/slip.html", _context(request, job=job, seen=seen, for_pdf=False))


@require_safe
@own_job
def slip_pdf(request: HttpRequest, *, job: Job) -> HttpResponse:
    """Send the slip as a tagged PDF of one page, A4 or Letter."""
    seen = customer_jobs.see_job(job)
    locked = _locked(job, stage=seen.stage, state=seen.state)
    if locked:
        return _locked_page(request, job=job, sentence=locked)
    html = render_to_string(
        "print/slip.html", _context(request, job=job, seen=seen, for_pdf=True), request=request
    )
    try:
        # Not the address of this request: the style sheets are read under the site's own, whatever name a
        # browser on the shop's network reaches it by.
        document = pdf_from_html(html, base_url=f"{settings.SITE_URL}/")
    except PdfUnavailable as missing:
        return _locked_page(request, job=job, sentence=str(missing))
    response = HttpResponse(document, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="slip-{job.number}.pdf"'
    return response


def _context(request: HttpRequest, *, job: Job, seen: JobSeen, for_pdf: bool) -> dict[str, object]:
    paper = request.GET.get("paper", "a4").lower()
    return {
        "slip": slip_of(
            job,
            customer=customer_of(job),
            state=seen.state,
            parcel=customer_findings.parcel_in(seen.entries),
        ),
        "job": job,
        "paper": PAPERS.get(paper, PAPERS["a4"]),
        "for_pdf": for_pdf,
        "papers": PAPERS.items(),
    }


def _locked(job: Job, *, stage: Stage, state: JobState) -> str:
    """Return why there is no slip now, or nothing."""
    if stage is Stage.BOOKED:
        return _("We have not said yes to this booking yet. You get a mail as soon as it is clear to send.")
    if stage not in {Stage.CLEARED, Stage.POSTED}:
        return _("This unit is not on its way in any more, so it needs no slip.")
    if stage is Stage.POSTED:
        return ""
    answer = parcels.gate_for(job, state=state, now=timezone.now())
    return "" if answer.may_post else answer.sentence


def _locked_page(request: HttpRequest, *, job: Job, sentence: str) -> HttpResponse:
    context = {"job": job, "sentence": sentence, "title_cells": title_cells_of(job)}
    return render(request, "customer/slip_locked.html", context)
