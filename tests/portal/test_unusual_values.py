"""Whatever stands in an address or a form, no page fails and no text goes to the database that it refuses.

PostgreSQL keeps no NUL in a text and no number beyond its columns; SQLite keeps nearly everything, so the
values of every query are looked at here, whichever database the tests run on.
"""

from contextlib import contextmanager
from urllib.parse import urlencode

import pytest
from django.db import connection, models, transaction
from django.db.backends.base.operations import BaseDatabaseOperations
from django.urls import NoReverseMatch, reverse

from jobs.models import Job
from tests.portal.customer.conftest import ANSWERS
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

    with connection.execute_wrapper(look), columns_looked_at(refused):
        yield refused


@contextmanager
def columns_looked_at(refused):
    """Add what is written into a column that is too small for it; SQLite knows no size of a column."""
    prepare = models.Field.get_db_prep_save

    def look(field, value, connection):
        if is_too_big(value, field=field):
            refused.append((str(field), value))
        return prepare(field, value, connection)

    models.Field.get_db_prep_save = look
    try:
        yield
    finally:
        models.Field.get_db_prep_save = prepare


def is_too_big(value, *, field):
    if isinstance(value, str) and isinstance(field, models.CharField):
        return len(value) > field.max_length
    bounds = BaseDatabaseOperations.integer_field_ranges.get(field.get_internal_type())
    return bounds is not None and isinstance(value, int) and not bounds[0] <= value <= bounds[1]


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


LENGTHS = (2000, 600, 500, 400, 300, 240, 200, 160, 120)  # what the forms allow where no browser cuts


def sent_and_forgotten(browser, *, to, data):
    """Return the answer to a form, with everything it wrote taken back."""
    block = transaction.atomic()
    block._from_testcase = True  # a service may begin its own transaction inside
    with block:
        answer = browser.post(to, data)
        transaction.set_rollback(True)
    return answer


def test_the_longest_words_that_forms_take_fit_their_columns(seeded):
    taken = set()
    for page in (page for page in PAGES if page.is_html and page.sample.get == 200):
        browser, path = page.open_as_reader(seeded), page.address(seeded).partition("?")[0]
        for form in forms_in(parse(browser.get(page.address(seeded)).content)):
            for length in LENGTHS if form.method == "post" and form.controls else ():
                with values_looked_at() as refused:
                    to = form.action or path
                    answer = sent_and_forgotten(browser, to=to, data=form.filled_up_to(length))
                assert refused == [], f"{to} with {length}"
                assert answer.status_code < 500
                if answer.status_code == 302 and "again=" not in answer["Location"]:
                    taken.add(to)
    assert len(taken) > 20


def test_a_booking_of_the_longest_answers_fits_its_columns(client, seeded):
    client.get("/book/family/")
    with values_looked_at() as refused:
        for step, answer in ANSWERS.items():
            (form,) = forms_in(parse(client.get(f"/book/{step}/").content))[-1:]
            for length in LENGTHS:
                longest = {name: form.filled_up_to(length)[name] for name in form.controls}
                sent = client.post(f"/book/{step}/", {**longest, **answer, **longest, **figures(answer)})
                if sent.status_code == 302 and "again=" not in sent["Location"]:
                    break
            else:
                raise AssertionError(f"{step} took no answer")
        client.post("/book/check/")
    job = Job.objects.latest("pk")
    assert len(job.customer.email) > 200
    assert refused == []


def figures(answer):
    """Return the answers of a page that no words can take the place of."""
    return {name: answer[name] for name in ("phone", "wished_on", "limit_pounds") if name in answer}
