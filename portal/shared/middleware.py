"""What happens around every request: it gets a number, a line in the log, and the sign-in rule."""

import logging
import time
from collections.abc import Callable
from typing import Any
from uuid import uuid4

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import resolve_url

from portal.accounts.sign_in_page import ask_again
from portal.shared.gates import go_to

log = logging.getLogger("portal.request")


class RequestLineMiddleware:
    """Writes one line for each request: its number, the name of the route, status, time, and role.

    Never the path or the query (they can hold a secret), an address, a name, or anything that was sent.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request and log its line."""
        request_id = uuid4().hex[:16]
        request.request_id = request_id  # type: ignore[attr-defined]
        began = time.perf_counter()
        response = self.get_response(request)
        response.headers["X-Request-ID"] = request_id
        log.info(
            "request",
            extra={
                "line": {
                    "request": request_id,
                    "method": request.method if request.method in METHODS else "other",
                    "route": route_name(request),
                    "status": response.status_code,
                    "duration_ms": round((time.perf_counter() - began) * 1000, 1),
                    "role": role_name(request),
                }
            },
        )
        return response


class NoNulMiddleware:
    """Keeps the NUL sign, which no database text can hold, out of what views read from an address.

    Nobody types it: an address with one is no address of ours, and in a query it means nothing. In a form the
    fields refuse it, each with its sentence.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request without any NUL in its address."""
        if "\0" in request.path_info:
            raise Http404
        query = request.META.get("QUERY_STRING", "")
        if "%00" in query or "\0" in query:
            # A space in its place: with nothing there, its neighbours could make up another.
            request.META["QUERY_STRING"] = query.replace("%00", "%20").replace("\0", "%20")
        return self.get_response(request)


METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})


def route_name(request: HttpRequest) -> str:
    """Return the name of the route that answered, or "-" when none matched."""
    match = request.resolver_match
    return match.view_name or "-" if match else "-"


def role_name(request: HttpRequest) -> str:
    """Return the role of the caller: a role of the shop's people, "customer", or "-"."""
    # Only what earlier middleware has looked up already: a log line must not cause a query.
    person = getattr(request, "_cached_user", None)
    if person is not None and person.is_authenticated:
        return str(person.role)
    return "customer" if hasattr(request, "customer_grant") else "-"


class SignInFirstMiddleware(LoginRequiredMiddleware):
    """Keeps strangers out of every view that is not marked as open; a forgotten mark shows nothing."""

    def handle_no_permission(self, request: HttpRequest, view_func: Callable[..., Any]) -> HttpResponse:  # type: ignore[override]
        """Ask to sign in: on the spot where a form was sent, else by a whole page, also for htmx."""
        if asked := ask_again(request):
            return asked
        response = super().handle_no_permission(request, view_func)
        if request.headers.get("HX-Request") == "true":
            return go_to(request, resolve_url(self.get_login_url(view_func)))
        return response
