"""The workshop closes a customer's links on the job's page; every browser that was let in is shut out."""

import pytest
from django.core import mail
from django.test import Client
from django.utils import timezone

from jobs.models import Booking, Job, PrivateLink
from jobs.services import links
from jobs.services.messages import deliver_due
from tests import factories as make
from tests.portal.customer.conftest import ANSWERS
from tests.portal.workshop.conftest import main_of

pytestmark = pytest.mark.django_db
WHY = "Sold the phone with the mail in it"


def close(send, job, **more):
    return send(job, "links", text=WHY, email="ada@example.com", **more)


def opened(token):
    browser = Client()
    assert browser.post(f"/open/{token}/").status_code == 302
    return browser


def sees(browser, job):
    return browser.get(f"/job/{job.number}/").status_code == 200


def issue_sign_in_link(job, *, now):
    return links.issue_sign_in_link(job.customer, now=now)


@pytest.mark.parametrize("issue", [links.issue_job_link, issue_sign_in_link])
def test_a_browser_that_was_let_in_is_shut_out_whichever_link_it_used(send, issue):
    job = make.make_job(stage="inspected")
    browser = opened(issue(job, now=timezone.now()))
    assert sees(browser, job)
    assert close(send, job).status_code == 302
    assert browser.get(f"/job/{job.number}/").headers["Location"].startswith("/find/")


def test_the_browser_that_sent_the_booking_in_is_not_let_in_again(send):
    make.open_shop()
    browser = Client()
    for step, answer in ANSWERS.items():
        browser.post(f"/book/{step}/", answer)
    browser.post("/book/check/")
    browser.get("/book/sent/", follow=True)
    job = Job.objects.get()
    assert sees(browser, job)
    close(send, job)
    assert browser.get("/book/sent/").headers["Location"] == "/"
    assert not sees(browser, job)


def test_a_browser_that_opened_an_unsent_booking_by_its_link_reads_it_no_longer(send):
    job = make.make_job()
    known = opened(links.issue_job_link(job, now=timezone.now()))
    known.post("/book/", {"fresh": "1"})
    draft = Booking.objects.get(job__isnull=True)
    browser = opened(links.issue_draft_link(draft, now=timezone.now()))
    assert "2 Quay Cottages" in browser.get("/book/contact/").content.decode()
    close(send, job)
    for each in (browser, known):
        assert each.get("/book/contact/").headers["Location"] == "/book/family/"


def test_the_new_link_comes_by_mail_and_opens_the_job(send):
    job = make.make_job()
    close(send, job)
    deliver_due(now=timezone.now(), limit=10)
    found = [message for message in mail.outbox if "every link that we had sent you" in message.body]
    token = found[0].body.split("/open/")[1].split("/")[0]
    assert (len(found), found[0].to) == (1, ["ada@example.com"])
    assert sees(opened(token), job)


def test_the_page_says_what_it_does_before_anything_is_closed(page_of):
    job = make.make_job(stage="closed")
    links.issue_job_link(job, now=timezone.now())
    assert f'href="/workshop/jobs/{job.number}/links/">Close the customer&#x27;s links</a>' in page_of(job)
    words = main_of(page_of(job, "links/")).replace("&#x27;", "'")
    assert "every browser that was let in needs the new one" in words
    assert "Close them and send a new one" in words
    assert 'value="ada@example.com"' in page_of(job, "links/")
    assert PrivateLink.objects.filter(revoked_at=None).count() == 1


def test_a_reason_is_asked_for_and_nothing_closed_without(send):
    job = make.make_job()
    links.issue_job_link(job, now=timezone.now())
    answer = send(job, "links", text=" ", email="ada@example.com")
    assert answer.status_code == 422
    assert "Enter the reason why they are closed" in main_of(answer.content.decode())
    assert PrivateLink.objects.filter(revoked_at=None).count() == 1


def test_the_log_of_the_job_says_why(send, page_of):
    job = make.make_job()
    links.issue_job_link(job, now=timezone.now())
    close(send, job)
    assert f"{WHY}. Links closed: 1; a new one goes to the address on file." in main_of(page_of(job))


def test_a_box_without_a_name_has_no_links_to_close(page_of, send):
    box = make.make_box()
    assert "/links/" not in page_of(box)
    answer = close(send, box)
    assert answer.status_code == 422
    assert "This job has no customer yet" in main_of(answer.content.decode())


@pytest.mark.parametrize(
    ("email", "told"),
    [("ada@example.com", "A new link is on its way to ada@example.com"), ("", "so no new link went out")],
)
def test_it_is_said_whether_a_new_link_went_out(send, tobin, email, told):
    job = make.make_job(stage="inspected")
    closed = send(job, "links", text=WHY, email=email)
    assert told in main_of(tobin.get(closed.url).content.decode())


def test_an_address_longer_than_mail_can_carry_is_refused_in_words(send):
    job = make.make_job(stage="inspected")
    refused = send(job, "links", text=WHY, email=f"{'x' * 250}@example.com")
    assert refused.status_code == 422
    assert "no mail reaches one of more than 254 characters" in main_of(refused.content.decode())
    assert Job.objects.get(pk=job.pk).customer.email == job.customer.email
