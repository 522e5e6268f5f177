"""What happens to a form sent after the session ran out? It waits until its sender is signed in again.

The fields stand in the page that asks to sign in, signed for this one browser: a form that somebody else made
up is not taken for one of ours. Who asks for a mailed link has them wait beside the link. What is sent to a
page of `accounts` is never kept, since passwords are typed there; nor are files, which no page can give back.
"""

from dataclasses import asdict, dataclass
from datetime import timedelta
from secrets import token_urlsafe
from urllib.parse import urlsplit

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.urls import Resolver404, resolve, reverse

from portal.shared.refusals import came_from

KEPT_FOR = timedelta(hours=12)
SEALED_MOST_SIGNS = 100_000
"""Of a sealed form: a page carries no more, and neither does what waits beside a link."""
COOKIE_NAME = "kept"
NOT_TYPED = frozenset({"csrfmiddlewaretoken", "next"})
SALT = "portal.accounts.kept_forms"


@dataclass(frozen=True, slots=True)
class KeptForm:
    """A form as it was sent, and the page it stood on ("" when the browser does not say)."""

    address: str
    fields: tuple[tuple[str, str], ...]
    page: str
    had_files: bool

    @property
    def texts(self) -> tuple[str, ...]:
        """The values in which somebody wrote words, to know the form by."""
        return tuple(value for _name, value in self.fields if " " in value.strip())

    @property
    def job_number(self) -> str:
        """The job it was written for, or "" where it belongs to none."""
        try:
            return str(resolve(urlsplit(self.address).path).kwargs.get("number", ""))
        except Resolver404:
            return ""


def fields_of(request: HttpRequest) -> tuple[tuple[str, str], ...]:
    """Return what was sent with the request, name by name, but for what only guards it or leads on."""
    return tuple(
        (name, value) for name, values in request.POST.lists() if name not in NOT_TYPED for value in values
    )


def keep_form(request: HttpRequest) -> KeptForm | None:
    """Return the form that was sent with the request, or None when nothing was that may be kept."""
    fields = fields_of(request)
    has_passwords = request.resolver_match is not None and request.resolver_match.app_name == "accounts"
    if request.method != "POST" or not fields or has_passwords:
        return None
    return KeptForm(request.get_full_path(), fields, came_from(request), bool(request.FILES))


def read_sealed(sealed: str, *, request: HttpRequest) -> KeptForm | None:
    """Return the kept form, or None when the browser of the request was given no such form."""
    secret = request.COOKIES.get(COOKIE_NAME, "")
    if not secret:
        return None
    try:
        sent = signing.loads(sealed, salt=SALT + secret, max_age=KEPT_FOR)
    except signing.BadSignature:
        return None
    fields = tuple((name, value) for name, value in sent["fields"])
    return KeptForm(sent["address"], fields, sent["page"], sent["had_files"])


def secret_of(request: HttpRequest) -> str:
    """Return the secret by which this browser's forms are signed; a new one for a browser without."""
    return request.COOKIES.get(COOKIE_NAME) or token_urlsafe(24)


def seal(kept: KeptForm, *, secret: str) -> str:
    """Return the form as a signed text that only the browser with this secret can send back.

    "" where it is more than a page can carry.
    """
    sealed = signing.dumps(asdict(kept), salt=SALT + secret, compress=True)
    return sealed if len(sealed) <= SEALED_MOST_SIGNS else ""


def remember_secret(response: HttpResponse, *, secret: str) -> None:
    """Let the browser keep its secret for as long as a form is kept."""
    response.set_cookie(
        COOKIE_NAME,
        secret,
        max_age=KEPT_FOR,
        path=reverse("accounts:sign_in").removesuffix("sign-in/"),
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Strict",
    )
