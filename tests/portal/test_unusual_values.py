"""Whatever stands in an address or a form, no page fails and no text goes to the database that it refuses.

PostgreSQL keeps no NUL in a text and no number beyond its columns; SQLite keeps nearly everything, so the
values of every query are looked at here, whichever database the tests run on.
"""

from contextlib import contextmanager
from urllib.parse import urlencode

import pytest
from django.db import connection
from django.urls import NoReverseMatch, reverse

from tests.portal.reading import forms_in, parse
from tests.portal.samples import pages

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
NUL, HUGE, LONG = "a\0b", "9" * 30, "9" * 5000
PAGES = tuple(
    {page.route.name: page for page in sorted(pages(), key=lambda page: page.sample.get == 200)}.values()
)
# What views read from an address or a form without a field on the page that bears the name.
READ_BY_NAME = (
    "again", "as", "ask", "at_once", "back", "back_to", "choose", "done", "go", "kind", "length", "lines",
    "look", "look_model", "marks", "model", "models_before", "next", "note", "number", "page", "paper",
    "parcel_number", "q", "removed", "row", "shot", "shown", "text", "turn",
)  # fmt: skip
BUTTONS = ("add", "remove", "more")  # each of them answers before the rest of the form is read
NUMBER_MOST = 2**63 - 1


def is_refused_by_postgresql(value):
    if isinstance(value, str):
        return "\0" in value or "\\u0000" in value
    return isinstance(value, int) and abs(value) > NUMBER_MOST


@contextmanager
def values_looked_at():
    """Collect what goes to the database although PostgreSQL would refuse it."""
    refused = []

    def look(execute, sql, params, many, context):
        rows = params if many else [params or ()]
        for row in rows:
            refused.extend(
                (sql[:80], value) for value in row if is_refused_by_postgresql(getattr(value, "obj", value))
            )
        return execute(sql, params, many, context)

    with connection.execute_wrapper(look):
        yield refused


def check(browser, ask):
    with values_looked_at() as refused:
        response = ask(browser)
    assert refused == []
    assert response.status_code < 500


@pytest.mark.parametrize("value", [NUL, LONG, "1e999"], ids=["nul", "long", "infinite"])
@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.label)
def test_no_query_and_no_form_brings_a_page_down(page, value, seeded):
    browser = page.open_as_reader(seeded)
    address = page.address(seeded)
    path = address.partition("?")[0]
    unusual = dict.fromkeys(READ_BY_NAME, value)
    check(browser, lambda browser: browser.get(f"{path}?{urlencode(unusual)}"))
    is_page = page.is_html and page.sample.get == 200
    forms = forms_in(parse(browser.get(address).content)) if is_page else []
    sent = [(form.action or path, form) for form in forms if form.method == "post"]
    for action, form in sent:
        filled = form.filled_with(value)
        check(browser, lambda browser, to=action, data=filled: browser.post(to, data))
        for name in (*form.hidden, *form.chosen):
            changed = {**form.values, name: [value]}
            check(browser, lambda browser, to=action, data=changed: browser.post(to, data))
    for action, values in [*((action, form.values) for action, form in sent), (path, {})]:
        data = {**unusual, **values}
        check(browser, lambda browser, to=action, data=data: browser.post(to, data))
        for name in BUTTONS:
            pressed = {**values, name: value}
            check(browser, lambda browser, to=action, data=pressed: browser.post(to, data))


@pytest.mark.parametrize("value", [NUL, HUGE], ids=["nul", "huge"])
@pytest.mark.parametrize(
    "page", [page for page in PAGES if page.route.arguments], ids=lambda page: page.label
)
def test_no_argument_in_a_path_brings_a_page_down(page, value, seeded):
    browser = page.open_as_reader(seeded)
    given = page.arguments(seeded)
    for name in given:
        try:
            address = reverse(page.route.name, kwargs={**given, name: value})
        except NoReverseMatch:
            continue
        check(browser, lambda browser, address=address: browser.get(address))
        check(browser, lambda browser, address=address: browser.post(address))
