"""Going back and forward after an answer that was refused: no page of the way asks to send a form again."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from jobs.models import Booking, JobEvent
from jobs.services import links
from jobs.services.bookings import answers_of
from tests.factories import make_job
from tests.journeys.booking import choose_model

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
with_and_without = pytest.mark.parametrize(
    "has_script", [True, False], ids=["with scripts", "without scripts"]
)
NUMBER = "The number, exactly as you read it"
WHERE = "Where on the unit does it stand?"


def begin_and_be_refused(customer):
    """Answer the first question, and leave the number out on the second."""
    customer.visit("/book/family/")
    customer.click("Continue")  # nothing chosen
    expect(customer.page.locator("#error-summary")).to_be_focused()
    customer.choose("Carburettor")
    customer.click("Continue")
    customer.fill(WHERE, "edge of the flange")
    customer.click("Continue")
    expect(customer.page.locator("#error-summary")).to_be_focused()
    assert customer.page.title().startswith("Error: ")
    expect(customer.field(WHERE)).to_have_value("edge of the flange")
    assert "flange" not in customer.page.url


def come_back_to(customer, words):
    """Press Back; the page is there at once and shows no error."""
    customer.page.go_back()
    expect(customer.page.get_by_role("main")).to_contain_text(words)
    assert not customer.page.title().startswith("Error: ")


@with_and_without
def test_back_and_forward_after_an_error_never_ask_to_send_again(shop, come_in, has_script):
    customer = come_in(shop, has_script=has_script)
    begin_and_be_refused(customer)
    customer.fill(NUMBER, "KV4081B")
    customer.click("Continue")
    choose_model(customer, "Tolvane KV 40/81 float-feed carburettor")
    fitted_to = customer.heading()
    come_back_to(customer, "Is this your unit?")
    come_back_to(customer, NUMBER)
    expect(customer.field(NUMBER)).to_have_value("KV4081B")
    expect(customer.field(WHERE)).to_have_value("edge of the flange")
    customer.page.go_forward()
    customer.page.go_forward()
    assert customer.heading() == fitted_to
    given = answers_of(Booking.objects.get())
    assert (given.number_as_read, given.number_where) == ("KV4081B", "edge of the flange")


@with_and_without
def test_what_was_typed_is_there_again_after_leaving_the_refused_page(shop, come_in, has_script):
    customer = come_in(shop, has_script=has_script)
    begin_and_be_refused(customer)
    customer.page.reload()
    expect(customer.field(WHERE)).to_have_value("edge of the flange")
    customer.visit("/")
    customer.page.go_back()
    expect(customer.field(WHERE)).to_have_value("edge of the flange")


@with_and_without
def test_pressing_twice_on_a_wrong_answer_shows_it_once_with_what_was_typed(shop, come_in, has_script):
    customer = come_in(shop, has_script=has_script)
    begin_and_be_refused(customer)
    customer.page.get_by_role("button", name="Continue").dblclick()
    expect(customer.page.locator("#error-summary li")).to_have_count(1)
    expect(customer.field(WHERE)).to_have_value("edge of the flange")


@with_and_without
def test_a_refused_draining_is_there_again_after_loading_and_after_going_back(shop, come_in, has_script):
    job = make_job(stage="cleared", now=timezone.now() - timedelta(days=5))
    customer = come_in(shop, has_script=has_script)
    customer.visit(f"/open/{links.issue_job_link(job, now=timezone.now())}/")
    customer.page.locator("main button.action").click()
    customer.visit(f"/job/{job.number}/pack/")
    long_ago = f"{timezone.localdate() - timedelta(days=99):%Y-%m-%d}"
    customer.fill("Day", long_ago)
    customer.fill("Time", "07:07")
    customer.click("It is drained and stands outside")
    for step in (lambda: None, customer.page.reload, leave_and_come_back(customer)):
        step()
        expect(customer.page.locator("#error-summary")).to_contain_text("more than 60 days ago")
        expect(customer.field("Day")).to_have_value(long_ago)
        expect(customer.field("Time")).to_have_value("07:07")
    customer.choose("Yes, I drained it on that day, and it has stood open to the air since")
    customer.click("It is drained and stands outside")
    expect(customer.page.get_by_role("heading", name="2 Drain and air")).to_be_visible()
    assert JobEvent.objects.filter(job=job, kind="drained").count() == 1
    come_back_to(customer, "Drain and air")


def leave_and_come_back(customer):
    """Return what goes to the first page and back by the browser's own button."""

    def go():
        customer.visit("/")
        customer.page.go_back()

    return go
