"""Who gets which answer from every page of the site? Walked by the real resolver, one test for each page.

The expected codes follow from the audience under which a route is mounted; a new route is in the matrix by
itself, and one with arguments fails until `samples.py` says what stands in them.
"""

from hashlib import sha256

import pytest
from django.apps import apps
from django.test import Client
from django.urls import reverse

from portal.shared.gates import Audience
from portal.urls import OPEN_TO_ALL
from tests.portal import site as seeded_site
from tests.portal.reading import parse, words_of
from tests.portal.routes import routes
from tests.portal.samples import SAMPLES, Reader, pages
from tests.portal.site import PERSONAL

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
PAGES = pages()
# Who is kept out does not depend on the state of a page: one sample of each route, that which shows most.
ONE_EACH = tuple(
    {page.route.name: page for page in sorted(PAGES, key=lambda page: page.sample.get == 200)}.values()
)
SIGN_IN, FIND = "/account/sign-in/?next=", "/find/"

# Everything else takes a form by POST. Both lists are exact: a page that changes sides has to change here.
ONLY_READ = {
    "healthz", "readyz",
    "accounts:link_sent",
    "customer:start", "customer:unsuitable", "customer:book_photo", "customer:book_wish_answer",
    "customer:book_sent", "customer:book_later_sent", "customer:find_sent", "customer:jobs", "customer:job",
    "customer:job_sent", "customer:extra_work", "customer:slip", "customer:slip_pdf", "customer:job_photo",
    "slip:scan", "slip:scan_small",
    "workshop:counter", "workshop:jobs", "workshop:queue", "workshop:bookings", "workshop:photo",
    "workshop:job", "workshop:card", "workshop:match",
    "owner:dashboard", "owner:jobs", "owner:events", "owner:mails", "owner:data", "owner:export_all",
    "owner:entries", "owner:export_kind", "owner:entry", "owner:export_entry", "owner:revision",
    "owner:people", "owner:styleguide", "owner:what_if_run", "owner:weeks_ahead", "owner:quotes",
}  # fmt: skip
ONLY_SENT = {
    "accounts:ask_link", "accounts:sign_out", "accounts:sign_out_everywhere",
    "customer:book_photo_remove", "customer:leave", "customer:job_photo_remove",
    "owner:send_again", "owner:prepare_again", "owner:discard", "owner:end_sessions", "owner:cancel_what_if",
}  # fmt: skip
# A form that is sent empty leads on, shows itself again, or says that the link or the job is past it.
TAKEN = {200, 302, 409, 410, 422}

# Counts of attempts and browser sessions are what a GET may touch. (Beyond that, the browser that has just
# sent a booking in is let in to its job by the confirmation page, which notes that as a used link.)
KEPT_BY_GET = {"AttemptCount", "Session"}


def names(found):
    return sorted(route.name for route in found)


def test_every_route_with_arguments_has_a_sample():
    lacking = [route for route in routes() if route.arguments and not SAMPLES.get(route.name)]
    assert names(lacking) == []


def test_every_sample_is_of_a_route():
    assert set(SAMPLES) - set(names(routes())) == set()


def test_the_public_list_is_exact_both_ways():
    public = [route for route in routes() if route.audience is Audience.PUBLIC]
    assert names(public) == sorted(OPEN_TO_ALL)


def test_the_read_only_and_send_only_lists_name_routes():
    assert (ONLY_READ | ONLY_SENT) - set(names(routes())) == set()
    assert set() == ONLY_READ & ONLY_SENT


def browsers(page, site):
    """Return the five people of the matrix, each in a browser of their own."""
    own_job = site.jobs[page.sample.job or "cleared"]
    found = {
        "anonymous": seeded_site.stranger(),
        "customer": seeded_site.let_in(own_job if own_job.customer_id else site.jobs["cleared"]),
        "another customer": seeded_site.let_in(site.jobs["foreign"]),
        "workshop": seeded_site.signed_in(site.people["workshop"]),
        "owner": seeded_site.signed_in(site.people["owner"]),
    }
    if page.route.audience is not Audience.PUBLIC and page.reader.value in found:
        found[page.reader.value] = page.open_as_reader(site)
    return found


def refusal_of(page, person):
    """Return (code, beginning of the address led to) for somebody who is kept out, or None."""
    match page.route.audience, person:
        case Audience.PUBLIC, _:
            return None
        case Audience.CUSTOMER, "anonymous" | "workshop" | "owner":
            return 302, FIND
        case Audience.CUSTOMER, "another customer" if page.route.arguments:
            return 404, ""
        case Audience.WORKSHOP | Audience.OWNER, "anonymous" | "customer" | "another customer":
            return 302, SIGN_IN
        case Audience.OWNER, "workshop":
            return 404, ""
    return None


def answered(response):
    return response.status_code, response.headers.get("Location", "")


def is_refusal(response, refusal):
    code, leads_to = answered(response)
    return code == refusal[0] and leads_to.startswith(refusal[1])


@pytest.mark.parametrize("page", ONE_EACH, ids=lambda page: page.label)
def test_each_person_gets_the_code_of_their_audience(page, seeded):
    address = page.address(seeded)
    wrong = []
    for person, browser in browsers(page, seeded).items():
        refusal = refusal_of(page, person)
        got = browser.get(address)
        if refusal is not None:
            for method, response in (("GET", got), ("POST", browser.post(address))):
                expected = refusal
                if refusal[0] == 404 and page.route.audience is Audience.CUSTOMER:
                    expected = (405, "") if refused_by_method(page, method == "POST") else refusal
                if not is_refusal(response, expected):
                    wrong.append((person, method, answered(response), expected))
        elif page.route.audience is not Audience.PUBLIC:
            if person == page.reader.value and got.status_code != page.sample.get:
                wrong.append((person, "GET", answered(got), page.sample.get))
            if got.status_code >= 500 or (got.status_code == 405) != (page.route.name in ONLY_SENT):
                wrong.append((person, "GET", answered(got), "its reader's"))
    assert wrong == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.label)
def test_its_own_reader_may_open_it_and_send_its_form_empty(page, seeded):
    address = page.address(seeded)
    browser = page.open_as_reader(seeded)
    assert browser.get(address).status_code == page.sample.get
    sent = browser.post(address)
    if page.route.name in ONLY_READ:
        assert sent.status_code == 405
    else:
        assert sent.status_code in TAKEN
        if page.route.name in ONLY_SENT:
            assert page.sample.get == 405


@pytest.mark.parametrize("page", ONE_EACH, ids=lambda page: page.label)
def test_a_form_without_its_protection_is_refused(page, seeded):
    browser = page.open_as_reader(seeded)
    browser.handler.enforce_csrf_checks = True
    before = all_rows()
    assert browser.post(page.address(seeded)).status_code == 403
    assert all_rows() == before


def all_rows():
    """Return, for each table, how many rows it has, its highest key, and what stands in it."""
    found = {}
    for model in apps.get_models():
        if model.__name__ in KEPT_BY_GET:
            continue
        rows = list(model.objects.order_by("pk").values_list())
        highest = rows[-1][0] if rows else 0
        found[model.__name__] = (len(rows), highest, sha256(repr(rows).encode()).hexdigest())
    return found


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.label)
def test_looking_changes_nothing(page, seeded):
    browser = page.open_as_reader(seeded)
    before = all_rows()
    assert before["JobEvent"][0] > 100
    browser.get(page.address(seeded))
    browser.head(page.address(seeded))
    changed = {name for name, rows in all_rows().items() if rows != before[name]}
    assert changed == set()


@pytest.mark.parametrize("page", ONE_EACH, ids=lambda page: page.label)
def test_strangers_and_other_customers_read_nothing_about_a_person(page, seeded):
    address = page.address(seeded)
    others = [Client(), seeded_site.let_in(seeded.jobs["foreign"])]
    for browser in others:
        for response in (browser.get(address), browser.get(address, follow=True)):
            if response.streaming or "html" not in response.headers["Content-Type"]:
                assert response.status_code in {200, 404, 405}
                assert page.route.audience is Audience.PUBLIC or response.status_code == 404
                continue
            text = response.content.decode()
            assert [words for words in PERSONAL if words in text] == []


def test_the_words_that_nobody_else_may_read_are_on_the_pages_of_their_owner(seeded):
    job = seeded.jobs["cleared"]
    text = words_of(parse(seeded_site.let_in(job).get(reverse("customer:job", args=[job.number])).content))
    assert [words for words in PERSONAL[:5] if words not in text] == []


FOREIGN = [page for page in ONE_EACH if page.reader is Reader.CUSTOMER and "number" in page.route.arguments]


@pytest.mark.parametrize("page", FOREIGN, ids=lambda page: page.label)
def test_a_foreign_job_answers_like_one_that_does_not_exist(page, seeded):
    job = seeded.jobs[page.sample.job]
    address = page.address(seeded)
    nobodys = address.replace(job.number, "1234560")
    browser = seeded_site.let_in(seeded.jobs["foreign"])
    for method in (browser.get, browser.post):
        theirs, nothing = method(address), method(nobodys)
        assert theirs.status_code == nothing.status_code
        assert theirs.status_code == (405 if refused_by_method(page, method == browser.post) else 404)
        assert without_request_number(theirs) == without_request_number(nothing)


def without_request_number(response):
    return words_of(parse(response.content)) if response.content else ""


def refused_by_method(page, is_post):
    """Return whether the page answers 405 before it looks at whose row is asked for."""
    return page.route.name in (ONLY_READ if is_post else ONLY_SENT)


def test_a_photo_of_another_job_is_not_there_under_ones_own_job(seeded):
    job, browser = seeded.jobs["cleared"], seeded_site.let_in(seeded.jobs["cleared"])
    own, theirs = seeded.photos["customer"], seeded.photos["foreign"]
    address = reverse("customer:job_photo", args=[job.number, own.reference, "page"])
    assert browser.get(address).status_code == 200
    assert browser.get(address.replace(str(own.reference), str(theirs.reference))).status_code == 404
    removing = reverse("customer:job_photo_remove", args=[job.number, theirs.reference])
    assert browser.post(removing).status_code == 404


def test_a_photo_of_a_booking_is_not_there_for_another_booking(seeded):
    photo = seeded.photos["draft"]
    address = reverse("customer:book_photo", args=[photo.reference, "page"])
    assert seeded_site.writer(seeded.drafts["whole"]).get(address).status_code == 200
    other = seeded_site.writer(seeded.drafts["wish"])
    assert other.get(address).status_code == 404
    assert other.post(reverse("customer:book_photo_remove", args=[photo.reference])).status_code == 404


def test_a_photo_of_a_customer_is_not_on_the_workshops_address_for_them(seeded):
    address = reverse("workshop:photo", args=[seeded.photos["customer"].reference, "page"])
    assert seeded_site.let_in(seeded.jobs["cleared"]).get(address).status_code == 302


def test_a_person_who_lost_the_role_is_out_at_the_next_request(seeded):
    person = seeded.people["owner"]
    browser = seeded_site.signed_in(person)
    assert browser.get(reverse("owner:dashboard")).status_code == 200
    type(person).objects.filter(pk=person.pk).update(role="workshop")
    assert browser.get(reverse("owner:dashboard")).status_code == 404


def test_a_revoked_link_ends_the_customers_visit_at_the_next_request(seeded):
    from django.utils import timezone

    from tests.factories import renew_links

    job = seeded.jobs["cleared"]
    browser = seeded_site.let_in(job)
    assert browser.get(reverse("customer:job", args=[job.number])).status_code == 200
    renew_links(job, now=timezone.now())
    assert browser.get(reverse("customer:job", args=[job.number])).status_code == 302
