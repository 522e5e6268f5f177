"""Who may open which page? Decided where an audience's addresses are mounted, once for the whole list.

    path("workshop/", behind(WORKSHOP, "portal.workshop.urls"))

`behind` wraps every view of the list, nested lists included, and tags it with its audience; a test walks
the resolver and refuses a view without a tag. What is open to everybody is spelled out by route name. Inside
every one of them “today” and all clock times are the shop's.

A stranger is sent to sign in, or to the page where customers find their job. Somebody signed in who lacks
the role gets 404, as does a customer at another customer's job: a refusal must not tell what exists.
"""

from collections.abc import Callable, Sequence
from enum import StrEnum
from functools import wraps
from importlib import import_module
from typing import Any

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import resolve_url
from django.urls import URLPattern, URLResolver
from django.utils import timezone
from django.utils.cache import add_never_cache_headers

from jobs.selectors.shop import shop_clock
from portal.accounts.roles import Role
from portal.shared.grants import current_grant

View = Callable[..., HttpResponseBase]
Route = URLPattern | URLResolver


class Audience(StrEnum):
    """For whom a page is: the words of the address prefix, the namespace and the folders."""

    PUBLIC = "public"
    CUSTOMER = "customer"
    WORKSHOP = "workshop"
    OWNER = "owner"


PUBLIC, CUSTOMER, WORKSHOP, OWNER = Audience
ROLES: dict[Audience, frozenset[Role]] = {
    WORKSHOP: frozenset({Role.WORKSHOP, Role.OWNER}),
    OWNER: frozenset({Role.OWNER}),
}


def behind(
    audience: Audience, urls_module: str, *, open_to_all: Sequence[str] = ()
) -> tuple[list[Route], str, str]:
    """Return the module's addresses behind the audience's gate, ready for `path(prefix, ...)`.

    The module gives `urlpatterns` and `app_name`; the routes named in `open_to_all` (`"namespace:name"`)
    are public.

    Raises: LookupError when a name in `open_to_all` is not a route of the module.
    """
    module = import_module(urls_module)
    app_name: str = module.app_name
    prefix = f"{app_name}:"
    names = {name.removeprefix(prefix) for name in open_to_all if name.startswith(prefix)}
    used: set[str] = set()
    routes = _gated(module.urlpatterns, audience=audience, public_names=names, used=used, inside="")
    if unknown := names - used:
        raise LookupError(f"{urls_module} has no route named {', '.join(sorted(unknown))}.")
    return routes, app_name, app_name


def gated(view: View, *, audience: Audience) -> View:
    """Return the view behind the audience's gate, tagged with the audience."""

    @wraps(view)
    def gate(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        refusal = refuse(request, audience=audience)
        response = refusal if refusal is not None else view(request, *args, **kwargs)
        if audience is not PUBLIC and "Cache-Control" not in response.headers:
            add_never_cache_headers(response)
        return response

    gate.audience = audience  # type: ignore[attr-defined]
    gate.login_required = audience in ROLES  # type: ignore[attr-defined]
    return gate


def refuse(request: HttpRequest, *, audience: Audience) -> HttpResponse | None:
    """Return the answer that keeps the caller out, or None when they may come in.

    For customers' pages it also puts the grant on the request, as `request.customer_grant`.

    Raises: Http404 when somebody is signed in who lacks the role.
    """
    if audience is PUBLIC:
        return None
    if audience is CUSTOMER:
        grant = current_grant(request, now=timezone.now())
        if grant is None:
            return go_to(request, resolve_url(settings.CUSTOMER_ENTRY_URL))
        request.customer_grant = grant  # type: ignore[attr-defined]
        return None
    if not request.user.is_authenticated:
        return go_to(request, resolve_url(settings.LOGIN_URL))
    if getattr(request.user, "role", None) not in ROLES[audience]:
        raise Http404
    return None


def go_to(request: HttpRequest, address: str) -> HttpResponse:
    """Return a redirect that moves the whole page, also when htmx asked for a part of it."""
    if request.headers.get("HX-Request") == "true":
        return HttpResponse(status=204, headers={"HX-Redirect": address})
    return HttpResponseRedirect(address)


def _gated(
    routes: Sequence[Route], *, audience: Audience, public_names: set[str], used: set[str], inside: str
) -> list[Route]:
    wrapped: list[Route] = []
    for route in routes:
        if isinstance(route, URLResolver):
            space = f"{inside}{route.namespace}:" if route.namespace else inside
            inner = _gated(
                route.url_patterns, audience=audience, public_names=public_names, used=used, inside=space
            )
            wrapped.append(
                URLResolver(route.pattern, inner, route.default_kwargs, route.app_name, route.namespace)
            )
            continue
        name = f"{inside}{route.name}"
        is_public = name in public_names
        if is_public:
            used.add(name)
        view = gated(shop_clock()(route.callback), audience=PUBLIC if is_public else audience)
        wrapped.append(URLPattern(route.pattern, view, route.default_args, route.name))
    return wrapped
