"""Coming back: private links, the mail that finds a job, and what a stranger gets to see."""

import pytest
from django.test import Client
from django.utils import timezone

from jobs.models import OutboxMessage, PrivateLink
from jobs.services import links
from tests.factories import make_job, renew_links

pytestmark = pytest.mark.django_db


def test_opening_a_link_changes_nothing_until_the_button_is_pressed(shop, client):
    token = links.issue_job_link(make_job(), now=timezone.now())
    page = client.get(f"/open/{token}/")
    assert page.status_code == 200
    assert page.headers["Referrer-Policy"] == "strict-origin"
    assert "no-store" in page.headers["Cache-Control"]
    assert PrivateLink.objects.get().used_at is None
    assert "sheet" not in client.cookies


def test_pressing_the_button_leads_to_an_address_without_the_secret(shop, client):
    job = make_job()
    token = links.issue_job_link(job, now=timezone.now())
    gone = client.post(f"/open/{token}/")
    assert gone.headers["Location"] == f"/job/{job.number}/"
    assert client.get(gone.headers["Location"]).status_code == 200


def test_a_sign_in_link_works_once(shop, client):
    job = make_job()
    token = links.issue_sign_in_link(job.customer, now=timezone.now())
    assert client.post(f"/open/{token}/").headers["Location"] == f"/job/{job.number}/"
    again = Client().post(f"/open/{token}/", follow=True)
    assert again.redirect_chain == [(f"/open/{token}/", 302)]
    assert again.status_code == 410
    assert "it works once" in again.content.decode()


def test_a_link_that_opens_nothing_offers_a_new_one(db, client):
    page = client.get("/open/nonsense/")
    assert page.status_code == 410
    assert 'action="/find/"' in page.content.decode()


def test_a_revoked_link_ends_the_visit(shop, let_in):
    job = make_job()
    browser = let_in(job)
    renew_links(job, now=timezone.now())
    assert browser.get(f"/job/{job.number}/").status_code == 302


def test_finding_a_job_answers_the_same_for_every_address(shop, client):
    make_job(email="ada@example.com")
    before = OutboxMessage.objects.filter(kind="sign_in").count()
    known = client.post("/find/", {"email": "Ada@Example.com"}, follow=True)
    unknown = client.post("/find/", {"email": "nobody@example.com"}, follow=True)
    assert known.content == unknown.content
    assert known.redirect_chain == unknown.redirect_chain
    queued = OutboxMessage.objects.filter(kind="sign_in")
    assert (before, queued.count(), queued.get().recipient) == (0, 1, "ada@example.com")


def test_finding_a_job_mails_one_link_for_each_contact(shop, client):
    first, second = make_job(), make_job()
    client.post("/find/", {"email": "ada@example.com"})
    payloads = OutboxMessage.objects.filter(kind="sign_in").values_list("payload", flat=True)
    assert {payload["customer"] for payload in payloads} == {first.customer_id, second.customer_id}


def test_one_mailbox_cannot_be_flooded(shop, client):
    make_job()
    answers = {client.post("/find/", {"email": "ada@example.com"}).status_code for _ in range(7)}
    assert answers == {302}
    assert OutboxMessage.objects.filter(kind="sign_in").count() <= 5


def test_one_address_is_stopped_after_many_tries(shop, client):
    codes = [client.post("/find/", {"email": f"n{at}@example.com"}).status_code for at in range(21)]
    assert codes[-1] == 429
    assert set(codes[:20]) == {302}


def test_a_stranger_at_a_job_is_sent_to_the_first_page(shop, client):
    job = make_job()
    assert client.get(f"/job/{job.number}/").headers["Location"] == "/find/"
    assert client.get("/jobs/").headers["Location"] == "/find/"


PAGES = (
    "", "sent/", "answer/", "details/", "cancel/", "received/", "extra-work/1/", "extra-work/1/approved/",
    "pack/", "slip/", "slip.pdf", "posted/", "photos/",
)  # fmt: skip


@pytest.mark.parametrize("page", PAGES)
def test_a_foreign_job_is_not_there(shop, let_in, page):
    browser = let_in(make_job(stage="cleared"))
    foreign = make_job(stage="cleared", email="bo@example.com")
    assert browser.get(f"/job/{foreign.number}/{page}").status_code == 404


@pytest.mark.parametrize("page", ["drained/", "smell/", "pack/", "answer/", "cancel/", "posted/", "photos/"])
def test_nothing_can_be_sent_to_a_foreign_job(shop, let_in, page):
    browser = let_in(make_job(stage="cleared"))
    foreign = make_job(stage="cleared", email="bo@example.com")
    before = foreign.event_count
    assert browser.post(f"/job/{foreign.number}/{page}", {"reason": "x", "text": "x"}).status_code == 404
    foreign.refresh_from_db()
    assert foreign.event_count == before


def test_personal_pages_are_never_kept_by_a_cache(shop, let_in):
    job = make_job(stage="cleared")
    browser = let_in(job)
    for page in ("", "pack/", "details/"):
        assert "no-store" in browser.get(f"/job/{job.number}/{page}").headers["Cache-Control"], page


def test_leaving_a_shared_device_forgets_the_customer(shop, let_in):
    job = make_job()
    browser = let_in(job)
    browser.post("/leave/")
    assert browser.get(f"/job/{job.number}/").status_code == 302


def test_the_list_shows_the_customers_own_jobs(shop, let_in):
    mine, theirs = make_job(), make_job(email="bo@example.com")
    page = let_in(mine).get("/jobs/").content.decode()
    assert f"/job/{mine.number}/" in page
    assert theirs.number not in page
