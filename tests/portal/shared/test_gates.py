"""Every page has a gate, the public list is exact, and the wrong person finds nothing."""

import re

import pytest
from django.urls import URLPattern, URLResolver, get_resolver

from portal.shared.gates import CUSTOMER, OWNER, PUBLIC, WORKSHOP, behind
from portal.urls import OPEN_TO_ALL

pytestmark = pytest.mark.django_db
SAMPLES = {
    "int": "1",
    "str": "sample",
    "slug": "sample",
    "uuid": "6f1c6a52-0a4e-4f0e-9f0b-0f3b9a3f9a11",
    "path": "a/b",
}


def routes(patterns=None, *, prefix="", space=""):
    """Yield (qualified name, address with samples, view) of each route of the site."""
    for entry in get_resolver().url_patterns if patterns is None else patterns:
        here = f"{prefix}{entry.pattern}"
        if isinstance(entry, URLResolver):
            inner = f"{space}{entry.namespace}:" if entry.namespace else space
            yield from routes(entry.url_patterns, prefix=here, space=inner)
        if isinstance(entry, URLPattern):
            yield f"{space}{entry.name}", address_of(here), entry.callback


def address_of(pattern):
    """Return an address that matches: each argument is replaced by a sample of its kind."""
    assert "(?P" not in pattern, f"{pattern}: write routes with path(), so that samples fit"
    filled = re.sub(
        r"<(?:(\w+):)?\w+>", lambda found: SAMPLES.get(found.group(1) or "str", "sample"), pattern
    )
    return "/" + filled


def of_audience(audience):
    return [
        (name, address) for name, address, view in routes() if getattr(view, "audience", None) is audience
    ]


def test_every_route_has_a_name_and_an_audience():
    listed = list(routes())
    assert len(listed) >= len(OPEN_TO_ALL)
    assert [name for name, _, view in listed if not hasattr(view, "audience") or name.endswith("None")] == []


def test_the_list_of_public_pages_is_exact():
    assert sorted(name for name, _ in of_audience(PUBLIC)) == sorted(OPEN_TO_ALL)
    assert len(set(OPEN_TO_ALL)) == len(OPEN_TO_ALL)


def test_only_public_and_customer_pages_open_without_a_sign_in():
    open_views = {view.audience for _, _, view in routes() if not view.login_required}
    assert open_views <= {PUBLIC, CUSTOMER}
    assert PUBLIC in open_views


def test_no_view_switches_the_form_protection_off():
    assert [name for name, _, view in routes() if getattr(view, "csrf_exempt", False)] == []


def test_a_stranger_is_sent_to_sign_in_from_every_page_of_the_shop(client):
    pages = of_audience(WORKSHOP) + of_audience(OWNER)
    assert pages
    for name, address in pages:
        for method in (client.get, client.post):
            response = method(address)
            assert response.status_code == 302, (name, response.status_code)
            assert response["Location"].startswith("/account/sign-in/?next="), name


def test_a_stranger_is_sent_to_the_first_page_from_every_page_of_a_customer(client, settings):
    for name, address in of_audience(CUSTOMER):
        response = client.get(address)
        assert response.status_code == 302, name
        assert response["Location"] == settings.CUSTOMER_ENTRY_URL


def test_the_workshop_finds_none_of_the_owners_pages(client_of, person):
    browser = client_of(person("workshop"))
    for name, address in of_audience(OWNER):
        for method in (browser.get, browser.post):
            assert method(address).status_code == 404, name


def test_a_signed_in_person_is_still_no_customer(client_of, person, settings):
    browser = client_of(person("owner"))
    for name, address in of_audience(CUSTOMER):
        assert browser.get(address)["Location"] == settings.CUSTOMER_ENTRY_URL, name


def test_the_owner_may_open_the_workshops_pages(client_of, person):
    assert client_of(person("owner")).get("/account/password/").status_code == 200
    assert client_of(person("workshop")).get("/account/password/").status_code == 200


def test_a_role_that_is_taken_away_closes_the_pages_at_the_next_request(client_of, person):
    somebody = person("workshop")
    browser = client_of(somebody)
    assert browser.get("/account/password/").status_code == 200
    somebody.is_active = False
    somebody.save()
    assert browser.get("/account/password/").status_code == 302


def test_htmx_is_told_to_move_the_whole_page_to_sign_in(client):
    response = client.get("/account/password/", headers={"HX-Request": "true"})
    assert response.status_code == 204
    assert response["HX-Redirect"].startswith("/account/sign-in/")


def test_pages_behind_a_gate_are_not_kept_by_caches(client_of, person):
    response = client_of(person("workshop")).get("/account/password/")
    assert "no-store" in response["Cache-Control"]
    assert "private" in response["Cache-Control"]


def test_a_public_name_that_is_no_route_is_refused_at_the_start():
    with pytest.raises(LookupError, match="no_such_page"):
        behind(WORKSHOP, "portal.accounts.urls", open_to_all=["accounts:no_such_page"])
