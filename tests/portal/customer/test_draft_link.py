"""A booking that a known customer began: whoever opens its mailed link never gets at the earlier jobs."""

import pytest
from django.test import Client
from django.utils import timezone

from jobs.domain.booking import BookingStep
from jobs.models import Booking, Customer, Job, JobEvent, OutboxMessage
from jobs.services import bookings, links, parcels
from tests.factories import WORKSHOP, make_job
from tests.portal.customer.conftest import ANSWERS

pytestmark = pytest.mark.django_db
ADA = {
    "name": "Ada Thornby",
    "email": "ada@example.com",
    "phone": "01632 960 555",
    "address_lines": "2 Quay Cottages\r\nSaltmere",
    "postal_code": "SA1 2BC",
    "country": "England",
    "unit_choice": "metric",
}
ELSEWHERE = {"address_lines": "9 Mill Bank", "postal_code": "SM9 9QF"}


@pytest.fixture
def first(shop):
    """Return the earlier job of a customer whose unit is still with the shop."""
    return make_job(stage="cleared", country="England")


@pytest.fixture
def second(first, let_in):
    """Return the browser in which that customer has written a second booking, but for sending it in."""
    browser = let_in(first)
    browser.post("/book/")
    for step, answer in ANSWERS.items():
        if step != "contact":
            browser.post(f"/book/{step}/", answer)
    return browser


@pytest.fixture
def finder(second):
    """Return a browser that holds nothing but the mailed link of the second booking."""
    browser = Client()
    token = links.issue_draft_link(draft(), now=timezone.now())
    assert browser.post(f"/open/{token}/").headers["Location"] == "/book/check/"
    return browser


def draft():
    return Booking.objects.get(job__isnull=True)


def send(browser, **contact):
    if contact:
        assert browser.post("/book/contact/", {**ADA, **contact}).headers["Location"] == "/book/check/"
    assert browser.post("/book/check/").headers["Location"] == "/book/sent/"
    return Job.objects.order_by("-pk").first()


def move_house(job):
    new = {"phone": "01632 960 555", "address_lines": "9 Mill Bank", "postal_code": "SM9 9QF", "country": ""}
    parcels.change_details(
        job.number, name="Ada Thornby", **new, expected_version=job.customer.version, actor=WORKSHOP,
        now=timezone.now(),
    )  # fmt: skip


def fields_of(customer):
    customer.refresh_from_db()
    return customer.name, customer.email, customer.address_lines, customer.postal_code


def test_another_email_by_a_drafts_link_leaves_the_known_customer_as_they_were(first, finder):
    before = fields_of(first.customer)
    job = send(finder, email="mallory@example.com", **ELSEWHERE)
    assert fields_of(first.customer) == before
    assert job.customer_id != first.customer_id
    assert finder.get("/book/sent/", follow=True).status_code == 200
    assert finder.get(f"/job/{first.number}/").status_code in {302, 404}


def test_the_link_that_is_mailed_to_another_email_opens_no_earlier_job(first, finder):
    job = send(finder, email="mallory@example.com")
    mail = OutboxMessage.objects.get(kind="booking_received", recipient="mallory@example.com")
    browser = Client()
    browser.post(f"/open/{links.issue_job_link(mail.job, now=timezone.now())}/")
    assert browser.get(f"/job/{job.number}/").status_code == 200
    assert browser.get(f"/job/{first.number}/").status_code == 404


def test_another_return_address_by_a_drafts_link_moves_no_unit_of_the_known_customer(first, finder):
    before = fields_of(first.customer)
    job = send(finder, **ELSEWHERE)
    assert fields_of(first.customer) == before
    assert (job.customer.address_lines, job.customer_id == first.customer_id) == ("9 Mill Bank", False)


def test_a_booking_gone_on_with_elsewhere_and_left_as_it_was_is_the_customers_own(first, finder):
    job = send(finder)
    assert job.customer_id == first.customer_id
    assert OutboxMessage.objects.get(kind="booking_received", job=job).recipient == "ada@example.com"
    assert job.number in finder.get("/book/sent/").content.decode().replace("\u00a0", "").replace("-", "")
    assert finder.get(f"/job/{first.number}/").status_code == 302


def test_whoever_is_let_in_changes_the_return_address_with_a_booking_and_the_open_jobs_log_it(first, second):
    job = send(second, **ELSEWHERE)
    assert job.customer_id == first.customer_id
    assert fields_of(first.customer)[2:] == ("9 Mill Bank", "SM9 9QF")
    noted = JobEvent.objects.filter(kind="details_changed")
    assert [(event.job_id, event.actor_role) for event in noted] == [(first.pk, "customer")]


def test_a_contact_page_sent_on_as_it_was_changes_and_logs_nothing(first, second):
    before = fields_of(first.customer)
    job = send(second, name="Ada Thornby")
    assert (job.customer_id, fields_of(first.customer)) == (first.customer_id, before)
    assert not JobEvent.objects.filter(kind="details_changed").exists()


def test_whoever_is_let_in_and_names_another_email_keeps_the_one_on_file_for_the_earlier_jobs(first, second):
    job = send(second, email="ada@new.example.com")
    assert fields_of(first.customer)[1] == "ada@example.com"
    assert OutboxMessage.objects.get(kind="booking_received", job=job).recipient == "ada@new.example.com"
    assert second.get("/book/sent/").headers["Location"] == f"/job/{job.number}/sent/"


def test_the_contact_page_tells_a_known_customer_what_another_email_does(second, client, write_booking):
    said = "a page apart from your earlier jobs"
    assert said in second.get("/book/contact/").content.decode()
    write_booking(last="photos")
    assert said not in client.get("/book/contact/").content.decode()


def test_a_draft_begun_before_the_address_was_changed_does_not_put_the_old_one_back(first, second):
    move_house(first)
    job = send(second)
    assert job.customer_id == first.customer_id
    assert fields_of(first.customer)[2:] == ("9 Mill Bank", "SM9 9QF")


def test_what_is_checked_before_sending_is_the_address_on_file_by_now(first, second):
    move_house(first)
    for page in ("check", "contact"):
        said = second.get(f"/book/{page}/").content.decode()
        assert "9 Mill Bank" in said
        assert "2 Quay Cottages" not in said


def test_a_drafts_link_shows_no_newer_address_and_says_that_there_is_one(first, finder):
    assert "2 Quay Cottages" in finder.get("/book/check/").content.decode()
    move_house(first)
    said = finder.get("/book/check/").content.decode()
    assert "9 Mill Bank" not in said
    assert "2 Quay Cottages" not in said
    assert "it was changed after this booking was begun" in said
    assert "9 Mill Bank" not in finder.get("/book/contact/").content.decode()


def test_what_was_changed_in_a_draft_is_what_is_checked_and_sent(first, second):
    assert second.post("/book/contact/", {**ADA, "address_lines": "4 Tar Yard"}).status_code == 302
    move_house(first)
    said = second.get("/book/check/").content.decode()
    assert "4 Tar Yard" in said
    assert "SM9 9QF" in said
    send(second)
    assert fields_of(first.customer)[2:] == ("4 Tar Yard", "SM9 9QF")


def test_a_change_of_details_is_logged_on_every_open_job_of_the_customer(first, second):
    other = send(second)
    version = Customer.objects.get(pk=first.customer_id).version
    parcels.change_details(
        first.number, name="Ada Vellacott", phone="", address_lines="9 Mill Bank", postal_code="", country="",
        expected_version=version, actor=WORKSHOP, now=timezone.now(),
    )  # fmt: skip
    noted = JobEvent.objects.filter(kind="details_changed").values_list("job_id", flat=True)
    assert set(noted) == {first.pk, other.pk}


def test_a_draft_of_before_the_known_contact_was_kept_takes_nobody_over(first, finder):
    booking = draft()
    booking.answers.pop("known_contact")
    booking.save(update_fields=["answers"])
    bookings.save_answers(booking, step=BookingStep.CONTACT, changes=ELSEWHERE, now=timezone.now())
    assert send(finder).customer_id != first.customer_id
    assert Customer.objects.count() == 2
