"""How a refused form comes back: by an address of its own, so that no page of the history is sent again.

A form that is refused is kept in the session, and the browser is led to the same page with `again` in its
address; there the form is shown as it was sent, with every sentence. Nothing that was typed stands in the
address. Only sending changes what is kept, looking never does: a page loaded twice, or left and come back to,
loses nothing. As soon as the page is answered well it is forgotten, and Back shows the saved answer.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, QueryDict

from portal.shared.forms import SheetForm

SESSION_KEY = "refused_forms"
FLAG = "again"
PAGES_MOST = 6
"""Pages kept for one browser; of more than these the oldest is forgotten."""
KEPT_MOST_SIGNS = 32_000
"""Of one form. A longer one is answered at once by a page of its own, so that it is not lost either."""
NOT_KEPT = "csrfmiddlewaretoken"


@dataclass(frozen=True, slots=True)
class Refused:
    """What was sent, as a query, and the sentences about it by field; "__all__" is the whole form."""

    sent: str
    said: Mapping[str, list[str]]

    @property
    def sentences(self) -> dict[str, str]:
        """What was said, one text for each field."""
        return {name: " ".join(lines) for name, lines in self.said.items()}


def data_for(request: HttpRequest) -> QueryDict | None:
    """Return what the page's form is bound to: what is sent now, or what was refused before, or None."""
    if request.method == "POST":
        return request.POST
    refused = refused_here(request)
    return QueryDict(refused.sent) if refused else None


def page_of(request: HttpRequest, *, form: SheetForm, draw: Callable[[], HttpResponse]) -> HttpResponse:
    """Return the page of a form; where it was just refused, the way to the page that shows it again."""
    if request.method == "POST" and not form.is_bound:
        return HttpResponseRedirect(_address(request))  # an answer to something that is not asked any more
    if request.method == "POST":
        said = {name: [str(sentence) for sentence in sentences] for name, sentences in form.errors.items()}
        return keep_refused(request, said=said) or draw()
    refused = refused_here(request)
    if refused is not None and form.is_bound:
        _say_again(form, said=refused.said)
    return draw()


def keep_refused(request: HttpRequest, *, said: Mapping[str, list[str]]) -> HttpResponse | None:
    """Keep what was sent and what was said about it, and return the way to both; None when it is too long."""
    sent = request.POST.copy()
    sent.pop(NOT_KEPT, None)
    kept = {"sent": sent.urlencode(), "said": dict(said)}
    forget_refused(request)
    if len(json.dumps(kept)) > KEPT_MOST_SIGNS:
        return None
    address = _address(request)
    pages = {**_pages(request), address: kept}
    request.session[SESSION_KEY] = dict(list(pages.items())[-PAGES_MOST:])
    return HttpResponseRedirect(f"{address}{'&' if '?' in address else '?'}{FLAG}=1")


def refused_here(request: HttpRequest) -> Refused | None:
    """Return what was refused on this page, where its address asks to see it again."""
    kept = _pages(request).get(_address(request)) if FLAG in request.GET else None
    return Refused(sent=kept["sent"], said=kept["said"]) if kept else None


def forget_refused(request: HttpRequest) -> None:
    """Forget what was refused on this page, with any query: it is answered now."""
    pages = _pages(request)
    others = {address: kept for address, kept in pages.items() if address.partition("?")[0] != request.path}
    if len(others) < len(pages):
        request.session[SESSION_KEY] = others


def forget_all_refused(request: HttpRequest) -> None:
    """Forget every refused form of this browser: it goes on with something else."""
    request.session.pop(SESSION_KEY, None)


def _pages(request: HttpRequest) -> dict[str, dict[str, Any]]:
    pages: dict[str, dict[str, Any]] = request.session.get(SESSION_KEY) or {}
    return pages


def _address(request: HttpRequest) -> str:
    query = request.GET.copy()
    query.pop(FLAG, None)
    return f"{request.path}?{query.urlencode()}" if query else request.path


def _say_again(form: SheetForm, *, said: Mapping[str, list[str]]) -> None:
    """Add the sentences that checking the form does not find by itself: those of a service."""
    for name, sentences in said.items():
        known = [str(sentence) for sentence in form.errors.get(name, [])]
        for sentence in sentences:
            if sentence not in known:
                form.add_error(None if name == "__all__" or name not in form.fields else name, sentence)
