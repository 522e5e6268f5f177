"""Which unit is it: proposed with the reason, asked when two fit, and always a way on."""

import pytest

from jobs.models import Booking
from jobs.services import bookings

pytestmark = pytest.mark.django_db


def answers():
    return bookings.answers_of(Booking.objects.get())


def test_a_proposal_stands_beside_what_was_typed_and_why(write_booking, client):
    write_booking(last="number", number={"number_as_read": "kv4O8Ib"})
    page = client.get("/book/model/?choose=1").content.decode()
    assert "kv4O8Ib" in page
    assert "KV4081B" in page
    assert "O is read as 0" in page
    assert answers().number_as_read == "kv4O8Ib"


def test_nothing_is_chosen_for_the_customer(write_booking, client):
    write_booking(last="number")
    page = client.get("/book/model/?choose=1").content.decode()
    assert "checked" not in page
    refused = client.post("/book/model/?choose=1", {"unit_model": ""}, follow=True)
    assert "Choose which one it is" in refused.content.decode()


def test_none_of_these_goes_on_without_a_model(write_booking, client):
    write_booking(last="number")
    gone = client.post("/book/model/?choose=1", {"unit_model": "none"})
    assert gone.headers["Location"] == "/book/fitted-to/"
    assert answers().unit_model == ""


def test_a_number_nobody_knows_still_goes_on(write_booking, client):
    write_booking(last="number", number={"number_as_read": "QQQQ99999"})
    assert (
        "We know no unit with a number like QQQQ99999" in client.get("/book/model/?choose=1").content.decode()
    )
    assert client.post("/book/model/?choose=1", {"unit_model": "none"}).status_code == 302


def test_a_number_that_cannot_be_read_is_asked_by_what_can_be_seen(write_booking, client):
    write_booking(last="family")
    client.post("/book/number/", {"cannot_read": "on"})
    page = client.get("/book/model/")
    assert 'name="question"' in page.content.decode()


def test_an_answered_question_is_saved_and_not_asked_twice(write_booking, client):
    write_booking(last="family")
    client.post("/book/number/", {"cannot_read": "on"})
    asked = []
    for _turn in range(12):
        page = client.get("/book/model/").content.decode()
        if 'name="question"' not in page:
            break
        slug = page.split('name="question" value="')[1].split('"')[0]
        asked.append(slug)
        client.post("/book/model/", {"question": slug, "answer": "unsure"})
    assert len(asked) >= 1
    assert len(asked) == len(set(asked))
    assert set(answers().traits) == set(asked)
    assert 'name="unit_model"' in client.get("/book/model/").content.decode()


def test_a_question_can_be_passed_over(write_booking, client):
    write_booking(last="family")
    client.post("/book/number/", {"cannot_read": "on"})
    assert 'name="unit_model"' in client.get("/book/model/?choose=1").content.decode()


def test_a_question_without_an_answer_says_what_to_do(write_booking, client):
    write_booking(last="family")
    client.post("/book/number/", {"cannot_read": "on"})
    slug = client.get("/book/model/").content.decode().split('name="question" value="')[1].split('"')[0]
    page = client.post("/book/model/", {"question": slug}, follow=True).content.decode()
    assert "Choose an answer, or “I cannot tell”" in page


def test_a_candidate_of_another_family_than_was_chosen_says_so(write_booking, client):
    write_booking(last="number", number={"number_as_read": "DB4080"})
    page = client.get("/book/model/?choose=1").content.decode()
    assert page.count("Distributor, not the kind you chose first.") > 0
    assert "Carburettor, not the kind you chose first." not in page
