"""The page on which a person of the shop signs in, by itself or in place of a page that needs it."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme

from portal.accounts import kept_forms
from portal.accounts.forms import LinkForm, PasswordForm
from portal.accounts.kept_forms import KeptForm


def sign_in_page(
    request: HttpRequest, *, form: PasswordForm, link_form: LinkForm | None = None, kept: str = ""
) -> HttpResponse:
    """Return both ways to sign in; `kept` is a sealed form that waits until that is done."""
    context = _ways_in(form, link_form or LinkForm(auto_id="link_%s"), kept=kept)
    status = 422 if context["errors"] else 200
    return render(request, "accounts/sign_in.html", context | {"next": wanted_page(request)}, status=status)


def ask_again(request: HttpRequest) -> HttpResponse | None:
    """Return the page that asks to sign in again and keeps what was sent, or None when nothing may be kept.

    What is too much for a page to carry is not kept, and the page says how to save it.
    """
    kept = kept_forms.keep_form(request)
    if kept is None:
        return None
    secret = kept_forms.secret_of(request)
    sealed = kept_forms.seal(kept, secret=secret)
    context = _ways_in(PasswordForm(), LinkForm(auto_id="link_%s"), kept=sealed) | {"was_sent": True}
    response = render(request, "accounts/sign_in.html", context, status=403)
    kept_forms.remember_secret(response, secret=secret)
    return response


def send_again_page(request: HttpRequest, *, kept: KeptForm, home: str) -> HttpResponse:
    """Return the page on which one press sends the kept form, as the person who is signed in now."""
    context = {"kept": kept, "page": kept.page or home, "job": kept.job_number}
    return render(request, "accounts/send_again.html", context)


def _ways_in(form: PasswordForm, link_form: LinkForm, *, kept: str) -> dict[str, Any]:
    errors = [*form.summary_errors(), *link_form.summary_errors()]
    return {"form": form, "link_form": link_form, "errors": errors, "kept": kept}


def wanted_page(request: HttpRequest) -> str:
    """Return the page of this site that the person was on the way to, or nothing."""
    address = request.POST.get("next") or request.GET.get("next") or ""
    is_ours = url_has_allowed_host_and_scheme(address, allowed_hosts=None)
    return address if is_ours and address.startswith("/") else ""
