"""A refused answer comes back by an address of its own: kept as typed, until it is answered well."""

import pytest

from jobs.models import Booking
from portal.shared.refused_forms import PAGES_MOST, SESSION_KEY
from tests.factories import make_job
from tests.portal.customer.conftest import ANSWERS

pytestmark = pytest.mark.django_db
WRONG = {**ANSWERS["contact"], "email": "ada", "name": "Ada of the long quay"}
AGAIN = "/book/contact/?again=1"


@pytest.fixture
def refused(write_booking, client):
    """Return a browser whose contact page was refused."""
    write_booking(last="photos")
    client.post("/book/contact/", WRONG)
    return client


def test_a_refused_answer_leads_on_and_nothing_typed_stands_in_the_address(write_booking, client):
    write_booking(last="photos")
    answer = client.post("/book/contact/", WRONG)
    assert (answer.status_code, answer.headers["Location"]) == (302, AGAIN)


def test_the_refused_page_shows_what_was_typed_however_often_it_is_opened(refused):
    for _ in range(3):
        page = refused.get(AGAIN).content.decode()
        assert "<title>Error:" in page
        assert 'value="Ada of the long quay"' in page
        assert 'value="ada"' in page


def test_looking_at_a_refused_page_changes_nothing_that_is_kept(refused):
    before = dict(refused.session.items())
    refused.get(AGAIN)
    refused.get("/book/contact/")
    assert dict(refused.session.items()) == before


def test_the_page_opened_anew_starts_without_the_errors(refused):
    page = refused.get("/book/contact/").content.decode()
    assert "<title>Error:" not in page
    assert "Ada of the long quay" not in page


def test_once_mended_the_refused_page_shows_the_saved_answer(refused):
    assert refused.post(AGAIN, ANSWERS["contact"]).headers["Location"] == "/book/wishes/"
    page = refused.get(AGAIN).content.decode()
    assert "<title>Error:" not in page
    assert 'value="Ada Thornby"' in page
    assert "Ada of the long quay" not in page


def test_pressing_twice_is_one_refusal(refused):
    assert refused.post("/book/contact/", WRONG).headers["Location"] == AGAIN
    assert refused.post(AGAIN, WRONG).headers["Location"] == AGAIN
    assert list(refused.session[SESSION_KEY]) == ["/book/contact/"]


def test_an_answer_too_long_to_keep_is_shown_at_once_and_not_lost(write_booking, client):
    write_booking(last="fitted-to")
    page = client.post("/book/symptoms/", {"own_words": "It hunts. " * 6000})
    assert page.status_code == 200
    assert page.content.decode().count("It hunts. ") >= 5999
    assert not client.session.get(SESSION_KEY)


def test_another_booking_on_the_same_browser_begins_without_what_was_typed(refused):
    refused.post("/book/", {"fresh": "1"})
    assert not refused.session.get(SESSION_KEY)


def test_only_the_newest_refused_pages_are_kept(shop, let_in):
    jobs = [make_job(stage="cleared") for _ in range(PAGES_MOST + 2)]
    browser = let_in(jobs[0])
    for job in jobs:
        job.customer_id = jobs[0].customer_id
        job.save(update_fields=["customer"])
        browser.post(f"/job/{job.number}/cancel/", {"reason": ""})
    kept = list(browser.session[SESSION_KEY])
    assert kept == [f"/job/{job.number}/cancel/" for job in jobs[2:]]


def test_a_list_and_a_question_at_the_same_address_do_not_mix(write_booking, client):
    write_booking(last="family")
    client.post("/book/number/", {"cannot_read": "on"})
    slug = client.get("/book/model/").content.decode().split('name="question" value="')[1].split('"')[0]
    assert client.post("/book/model/", {"question": slug}).headers["Location"] == "/book/model/?again=1"
    assert "There is a problem" in client.get("/book/model/?again=1").content.decode()
    assert "There is a problem" not in client.get("/book/model/?choose=1&again=1").content.decode()
    answer = client.post("/book/model/?choose=1", {})
    assert answer.headers["Location"] == "/book/model/?choose=1&again=1"
    assert "Choose which one it is" in client.get("/book/model/?choose=1&again=1").content.decode()


def test_a_service_s_refusal_is_said_on_the_refused_page(shop, let_in):
    job = make_job(stage="cleared")
    browser = let_in(job)
    sent = {"posted_on": "2020-01-01", "carrier": "Any", "tracking_number": "RR47"}
    answer = browser.post(f"/job/{job.number}/posted/", sent)
    assert answer.headers["Location"] == f"/job/{job.number}/posted/?again=1"
    page = browser.get(answer.headers["Location"]).content.decode()
    assert page.count("There is a problem") == 1
    assert 'value="RR47"' in page


def test_a_photo_that_was_saved_beside_a_refused_one_stays(write_booking, client, photo_file):
    write_booking(last="symptoms")
    letter = photo_file(name="empty.jpg")
    letter.file.truncate(0)
    letter.size = 0
    answer = client.post("/book/photos/", {"shot": "linkage", "photo": [photo_file(), letter]})
    page = client.get(answer.headers["Location"]).content.decode()
    assert "1 photo was saved" in page
    assert Booking.objects.get().photos.count() == 1
