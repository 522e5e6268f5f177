"""How does a person of the shop come in and go out?"""

from django.conf import settings
from django.contrib.auth import authenticate, logout, update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from jobs.services import sign_in_mail
from portal.accounts import kept_forms
from portal.accounts.forms import LinkForm, NewPasswordForm, PasswordForm
from portal.accounts.links import LinkRefused, ask_for_link, forget_links, redeem_link, take_kept
from portal.accounts.models import User
from portal.accounts.people import end_sessions, set_password
from portal.accounts.roles import Role
from portal.accounts.sessions import open_session
from portal.accounts.sign_in_page import send_again_page, sign_in_page, wanted_page
from portal.shared import ratelimit
from portal.shared.refusals import too_often

HOME_OF_ROLE = {Role.WORKSHOP: "/workshop/", Role.OWNER: "/owner/"}
PROVEN_BY_LINK = "proven_by_link"


@sensitive_post_parameters("password")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Show both ways to sign in, and take the one by password."""
    if request.method != "POST":
        if isinstance(request.user, User):
            return redirect(home_of(request.user))
        return sign_in_page(request, form=PasswordForm())
    form, kept = PasswordForm(request.POST), request.POST.get("kept", "")
    if not form.is_valid():
        return sign_in_page(request, form=form, kept=kept)
    now, address = timezone.now(), ratelimit.client_address(request)
    email = form.cleaned_data["email"]
    for limit, subject in (
        (ratelimit.SIGN_IN_BY_ADDRESS, address),
        (ratelimit.SIGN_IN_BY_PERSON, f"{email} {address}"),
    ):
        attempt = ratelimit.count_attempt(limit, subject=subject, now=now)
        if not attempt.is_allowed:
            return too_often(request, attempt=attempt)
    person = authenticate(request, username=email, password=form.cleaned_data["password"])
    if not isinstance(person, User):
        form.add_error(None, _("This mail address and password do not belong together."))
        return sign_in_page(request, form=form, kept=kept)
    open_session(request, person=person, now=now)
    forget_links(now=now)
    return _after_sign_in(request, person=person, kept=kept)


@never_cache
@require_POST
def ask_link(request: HttpRequest) -> HttpResponse:
    """Mail a link, and answer the same whether or not the address is known."""
    form, kept = LinkForm(request.POST, auto_id="link_%s"), request.POST.get("kept", "")
    if not form.is_valid():
        return sign_in_page(request, form=PasswordForm(), link_form=form, kept=kept)
    now, email = timezone.now(), form.cleaned_data["email"]
    by_address = ratelimit.count_attempt(
        ratelimit.LINK_BY_ADDRESS, subject=ratelimit.client_address(request), now=now
    )
    if not by_address.is_allowed:
        return too_often(request, attempt=by_address)
    response = redirect("accounts:link_sent")
    if ratelimit.count_attempt(ratelimit.LINK_BY_MAILBOX, subject=email, now=now).is_allowed:
        asked = ask_for_link(email, kept=kept, now=now)
        if asked.person is not None:
            page = reverse("accounts:open_link", args=[asked.token])
            wanted = wanted_page(request)
            query = f"?{urlencode({'next': wanted})}" if wanted else ""
            sign_in_mail.queue_sign_in_mail(
                asked.person.email,
                key=f"sign-in.{asked.link_id}",
                link=f"{settings.SITE_URL}{page}{query}",
                now=now,
            )
        _remember_browser(response, secret=asked.browser_secret)
    return response


@require_safe
def link_sent(request: HttpRequest) -> HttpResponse:
    """Say that a mail is on its way, if the address is one of ours."""
    return render(request, "accounts/link_sent.html", {"minutes": settings.SIGN_IN_LINK_MINUTES})


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def open_link(request: HttpRequest, token: str) -> HttpResponse:
    """Show a button on GET, since mail scanners open links too; sign in on POST."""
    if request.method != "POST":
        response = render(request, "accounts/open_link.html", {"next": wanted_page(request)})
        # Never the path, which is the secret. With "no-referrer" browsers send the form from the origin
        # "null", which the form's protection refuses.
        response.headers["Referrer-Policy"] = "strict-origin"
        return response
    now = timezone.now()
    attempt = ratelimit.count_attempt(
        ratelimit.OPEN_LINK_BY_ADDRESS, subject=ratelimit.client_address(request), now=now
    )
    if not attempt.is_allowed:
        return too_often(request, attempt=attempt)
    browser_secret = request.COOKIES.get(settings.SIGN_IN_COOKIE_NAME, "")
    try:
        person = redeem_link(token, browser_secret=browser_secret, now=now)
    except LinkRefused as refusal:
        return render(request, "accounts/link_refused.html", {"sentence": str(refusal)}, status=410)
    open_session(request, person=person, now=now)
    request.session[PROVEN_BY_LINK] = True
    response = _after_sign_in(request, person=person, kept=take_kept(token))
    response.delete_cookie(settings.SIGN_IN_COOKIE_NAME, samesite="Lax")
    response.headers["Referrer-Policy"] = "strict-origin"
    return response


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session on this browser and tell the browser to forget what it kept.

    A page named as `next` is opened again for whoever signs in after this person.
    """
    wanted = wanted_page(request)
    logout(request)
    query = f"?{urlencode({'next': wanted})}" if wanted else ""
    response = redirect(reverse("accounts:sign_in") + query)
    response.headers["Clear-Site-Data"] = '"cache", "storage"'
    return response


@require_POST
def sign_out_everywhere(request: HttpRequest) -> HttpResponse:
    """End every session of this person, also on other browsers."""
    if isinstance(request.user, User):
        end_sessions(request.user)
    return sign_out(request)


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    """Let a person choose a new password; their sessions on other browsers end."""
    assert isinstance(request.user, User)  # noqa: S101 - the gate lets nobody else in
    is_proven = bool(request.session.get(PROVEN_BY_LINK))
    data = request.POST if request.method == "POST" else None
    form = NewPasswordForm(request.user, data, is_proven=is_proven)
    if form.is_valid():
        set_password(request.user, password=form.cleaned_data["new"])
        update_session_auth_hash(request, request.user)
        request.session.pop(PROVEN_BY_LINK, None)
        return render(request, "accounts/password_kept.html", {"home": home_of(request.user)})
    status = 422 if form.is_bound else 200
    return render(
        request, "accounts/password.html", {"form": form, "home": home_of(request.user)}, status=status
    )


def home_of(person: User) -> str:
    """Return the address of the page on which this person's day begins."""
    return HOME_OF_ROLE[Role(person.role)]


def _after_sign_in(request: HttpRequest, *, person: User, kept: str) -> HttpResponse:
    """Return what waits for the person: the form they had sent, the page they were on the way to, or home."""
    waiting = kept_forms.read_sealed(kept, request=request)
    if waiting is not None:
        return send_again_page(request, kept=waiting, home=home_of(person))
    return redirect(wanted_page(request) or home_of(person))


def _remember_browser(response: HttpResponse, *, secret: str) -> None:
    response.set_cookie(
        settings.SIGN_IN_COOKIE_NAME,
        secret,
        max_age=settings.SIGN_IN_LINK_MINUTES * 60,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
