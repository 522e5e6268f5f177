"""What does a person see when a page is refused? What happened, and what to do, without details."""

import re
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.http import escape_leading_slashes, url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _

from jobs.domain import job_number
from jobs.domain.job_number import JobNumberError
from portal.shared.ratelimit import Attempt
from portal.shared.uploads import UploadTooLarge

_JOB_ADDRESS = re.compile(r"/workshop/jobs/(?P<number>[^/]+)/")


@dataclass(frozen=True, slots=True)
class Refusal:
    """A refusing page: its status, its heading, what to do, the way on, and the way back if known."""

    status: int
    title: str
    sentence: str
    back_url: str = ""
    url: str = "/"
    url_words: str = ""


def refusal_page(request: HttpRequest, *, refusal: Refusal) -> HttpResponse:
    """Return the page of a refusal."""
    return render(request, "refusal.html", {"refusal": refusal}, status=refusal.status)


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Return the page for a request that cannot be read, or whose upload is too large."""
    if isinstance(exception, UploadTooLarge):
        back_url = came_from(request)
        return refusal_page(
            request, refusal=Refusal(413, _("That is too large"), str(exception), back_url=back_url)
        )
    sentence = _("Go back, load the page again, and send it once more.")
    return refusal_page(request, refusal=Refusal(400, _("We could not read that"), sentence))


def came_from(request: HttpRequest) -> str:
    """Return the page of this site that the form stood on, or ""; a browser may keep it to itself."""
    referrer = request.headers.get("Referer", "")
    if not url_has_allowed_host_and_scheme(referrer, allowed_hosts={request.get_host()}):
        return ""
    parts = urlsplit(referrer)
    path = escape_leading_slashes(parts.path)  # two of them would lead to another host
    return f"{path}?{parts.query}" if parts.query else path


def not_allowed(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Return the page for something this person may not do."""
    sentence = _("Go back to the page you came from. If it should be open to you, ask the owner of the shop.")
    return refusal_page(request, refusal=_for_reader(request, 403, _("This is not open to you"), sentence))


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """Return the page for an address where nothing is, or nothing for this person.

    The shop's people are told which job number was not found; one written as it is printed leads to its job.
    """
    title = _("There is no page here for you")
    if not request.user.is_authenticated:
        sentence = _("Check the address, or open the page again from the link in our mail.")
        return refusal_page(request, refusal=Refusal(404, title, sentence))
    typed = _JOB_ADDRESS.match(request.path)
    if typed is None:
        sentence = _("Nothing is at this address, or it is open to the owner alone.")
        return refusal_page(request, refusal=_for_reader(request, 404, title, sentence))
    try:
        number = job_number.parse(typed.group("number"))
    except JobNumberError as misread:
        refusal = _for_reader(request, 404, _("No job has that number"), str(misread))
        return refusal_page(request, refusal=refusal)
    if number != typed.group("number") and request.method in {"GET", "HEAD"}:
        return redirect(request.path.replace(typed.group("number"), number, 1))
    shown = job_number.show(number)
    sentence = _("The number reads well, but it is none of this shop's, or nothing is at this address of it.")
    refusal = _for_reader(request, 404, _("Not found: job %s") % shown, sentence)
    return refusal_page(request, refusal=refusal)


def _for_reader(request: HttpRequest, status: int, title: str, sentence: str) -> Refusal:
    """Return the refusal with the way on: the counter for the shop's people, the first page for others."""
    if not request.user.is_authenticated:
        return Refusal(status, title, sentence)
    counter = resolve_url("workshop:counter")
    return Refusal(status, title, sentence, url=counter, url_words=_("Go to the counter"))


def form_too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Return the page for a form whose protection does not match, mostly because it lay open too long."""
    sentence = _("Go back, load the page again, and send it once more. Your browser has to accept cookies.")
    return refusal_page(
        request, refusal=_for_reader(request, 403, _("This form was open for too long"), sentence)
    )


def too_often(request: HttpRequest, *, attempt: Attempt) -> HttpResponse:
    """Return the page for somebody who tries too often, with the time to wait in `Retry-After`."""
    minutes = max(1, -(-attempt.wait_seconds // 60))
    sentence = _("Wait %(minutes)s minutes and try again. Nothing is lost.") % {"minutes": minutes}
    response = refusal_page(request, refusal=Refusal(429, _("Too many tries"), sentence))
    response.headers["Retry-After"] = str(attempt.wait_seconds)
    return response


def fault(request: HttpRequest, *_args: Any) -> HttpResponse:
    """Return the page for a fault of ours; it needs no template, so that it also shows when those fail."""
    number = getattr(request, "request_id", "")
    page = FAULT_PAGE.replace("{number}", number)
    return HttpResponse(page, status=500)


FAULT_PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>Something went wrong here</title></head>
<body><main><h1>Something went wrong here</h1>
<p>It is our fault, not yours. What you sent before is kept. Go back and try again in a few minutes.</p>
<p>If it happens again, tell the shop this number: <strong>{number}</strong></p></main></body></html>
"""
