"""When does a session of the shop's people end? After a working day, or an idle hour, whichever is first."""

from collections.abc import Callable
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth import login, logout
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from portal.accounts.models import User

BEGAN_KEY = "staff_began_at"
SEEN_KEY = "staff_seen_at"
NOTE_EVERY = timedelta(seconds=60)


def open_session(request: HttpRequest, *, person: User, now: datetime) -> None:
    """Sign the person in under a new session key, without anything that the browser's former session held."""
    request.session.flush()
    login(request, person, backend="django.contrib.auth.backends.ModelBackend")
    request.session[BEGAN_KEY] = request.session[SEEN_KEY] = now.timestamp()


def session_is_over(*, began_at: float, seen_at: float, now: datetime) -> bool:
    """Say whether a session that began and was last used then has to end."""
    age = now.timestamp() - began_at
    idle = now.timestamp() - seen_at
    return age >= settings.STAFF_SESSION_HOURS * 3600 or idle >= settings.STAFF_IDLE_MINUTES * 60


class StaffSessionMiddleware:
    """Ends the sessions of the shop's people in time; customers' sessions are left alone."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request, signed out first when the session is over."""
        if settings.SESSION_COOKIE_NAME in request.COOKIES and request.user.is_authenticated:
            self._check(request, now=timezone.now())
        return self.get_response(request)

    def _check(self, request: HttpRequest, *, now: datetime) -> None:
        began_at = request.session.get(BEGAN_KEY, 0.0)
        seen_at = request.session.get(SEEN_KEY, 0.0)
        if session_is_over(began_at=began_at, seen_at=seen_at, now=now):
            logout(request)
        elif now.timestamp() - seen_at >= NOTE_EVERY.total_seconds():
            request.session[SEEN_KEY] = now.timestamp()
