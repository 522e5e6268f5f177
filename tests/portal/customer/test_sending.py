"""Sending a booking in: once, however it is pressed, and the browser that did it sees its job."""

import pytest
from django.test import Client

from jobs.models import Booking, Job, OutboxMessage, PrivateLink
from jobs.services import bookings

pytestmark = pytest.mark.django_db


def test_the_check_page_shows_every_answer_with_a_way_to_change_it(write_booking, client):
    write_booking()
    page = client.get("/book/check/").content.decode()
    for said in (
        "Carburettor",
        "KV4O8IB",
        "Tolvane",
        "Launch of 1961",
        "It hunts.",
        "2 Quay Cottages",
        "£50.00",
        "Inches and pounds",
    ):
        assert said in page
    assert page.count("Change<span") == 12


def test_an_unanswered_question_is_asked_before_the_check_page(write_booking, client):
    write_booking(last="photos")
    assert client.get("/book/check/").headers["Location"] == "/book/contact/"


def test_a_booking_sent_twice_is_one_job(write_booking, client):
    write_booking()
    first = client.post("/book/check/")
    second = client.post("/book/check/")
    assert first.headers["Location"] == second.headers["Location"] == "/book/sent/"
    assert Job.objects.count() == 1


def test_two_presses_with_the_same_cookie_both_end_at_the_job(write_booking, client):
    write_booking()
    kept = client.cookies["sheet"].value
    client.post("/book/check/")
    # The browser threw the first answer away and sends its second press with the cookie it had.
    client.cookies["sheet"] = kept
    client.post("/book/check/")
    page = client.get("/book/sent/", follow=True)
    assert "Your booking is in" in page.content.decode()
    assert Job.objects.count() == 1


def test_back_and_send_again_shows_the_same_confirmation(write_booking, client):
    write_booking()
    client.post("/book/check/")
    done = client.get("/book/sent/", follow=True)
    again = client.get("/book/check/", follow=True)
    assert again.redirect_chain[-1] == done.redirect_chain[-1]
    late = client.post("/book/fitted-to/", {"fitted_to": "Another boat"}, follow=True)
    assert "Your booking is in" in late.content.decode()
    assert Job.objects.get().fitted_to == "Launch of 1961"


def test_the_confirmation_tells_the_number_and_what_is_next(write_booking, client):
    write_booking()
    client.post("/book/check/")
    page = client.get("/book/sent/", follow=True)
    job = Job.objects.get()
    text = page.content.decode()
    assert page.redirect_chain[-1][0] == f"/job/{job.number}/sent/"
    assert f"{job.number[:3]}\u00a0{job.number[3:6]}-{job.number[6]}" in text
    assert "within one working day" in text
    assert "ada@example.com" in text
    assert OutboxMessage.objects.get().kind == "booking_received"


def test_looking_at_the_confirmation_again_makes_no_further_link(write_booking, client):
    write_booking()
    client.post("/book/check/")
    client.get("/book/sent/", follow=True)
    client.get("/book/sent/", follow=True)
    assert PrivateLink.objects.count() == 1


def test_a_browser_that_did_not_send_it_sees_no_address(write_booking, client):
    write_booking()
    booking = Booking.objects.get()
    other = Client()
    session = other.session
    session["booking"] = str(booking.reference)
    session.save()
    client.post("/book/check/")
    page = other.get("/book/sent/").content.decode()
    assert "private link" in page
    assert "Quay Cottages" not in page
    assert other.get(f"/job/{Job.objects.get().number}/").status_code == 302


def test_a_second_unit_is_not_asked_for_the_address_again(write_booking, client):
    write_booking()
    client.post("/book/check/")
    client.get("/book/sent/", follow=True)
    assert client.get("/book/").headers["Location"] == "/book/family/"
    client.post("/book/family/", {"family": "magneto"})
    second = Booking.objects.order_by("-pk").first()
    answers = bookings.answers_of(second)
    assert (answers.name, answers.postal_code) == ("Ada Thornby", "SA1 2BC")
    client.post("/book/number/", {"cannot_read": "on"})
    client.post("/book/model/?choose=1", {"unit_model": "none"})
    for step, answer in (("fitted-to", {}), ("symptoms", {}), ("photos", {"go_on": "1"})):
        client.post(f"/book/{step}/", answer)
    client.post("/book/wishes/", {"wished_on": ""})
    assert client.post("/book/limit/", {"limit_pounds": "0"}).headers["Location"] == "/book/check/"
    client.post("/book/check/")
    assert client.get("/book/sent/").headers["Location"].endswith("/sent/")
    first, last = Job.objects.order_by("pk")
    assert first.customer_id == last.customer_id


def test_a_booking_begun_on_this_device_is_offered_again(write_booking, client):
    write_booking(last="model")
    assert "Go on where you stopped" in client.get("/book/").content.decode()
    client.post("/book/")
    assert Booking.objects.count() == 2
