"""The first page, and the budgets that hold on every customer page."""

import gzip
from dataclasses import replace
from datetime import timedelta

import pytest
from django.core import mail
from django.test import Client
from django.utils import timezone

from jobs.domain.shop import ShopKind
from jobs.models import Booking, FamilyForecast, ForecastRun, Job
from jobs.selectors.shop import identity
from jobs.services.messages import deliver_due
from tests.factories import make_job, publish

pytestmark = pytest.mark.django_db
PAGE_MOST_BYTES = 30_000


def first_page(client):
    return client.get("/").content.decode()


def test_the_first_page_has_one_main_action_and_the_ways_back(shop, client):
    page = first_page(client)
    assert page.count('class="action"') == 1
    assert 'href="/find/"' in page
    assert page.count('href="/book/"') == 1
    assert "tel:01632960123" in page
    assert "noindex" not in page


def test_every_family_stands_with_its_price_and_says_when_there_is_no_range(shop, client):
    page = first_page(client)
    assert "Carburettors" in page
    assert "Magnetos" in page
    assert "no forecast yet" in page
    assert "£218 to £520" in page


def store_range(*, computed_at):
    today = timezone.localdate()
    FamilyForecast.objects.create(
        family="carburettor",
        earliest_on=today + timedelta(days=21),
        likely_on=today + timedelta(days=30),
        latest_on=today + timedelta(days=42),
        based_on="seed",
        computed_at=computed_at,
    )


def test_a_family_with_a_range_shows_it_in_words(shop, client):
    store_range(computed_at=timezone.now())
    page = first_page(client)
    assert "between " in page
    assert "about 3 to 6 weeks" in page
    assert "8 in 10" in page


def test_a_range_from_before_a_refusal_is_not_told(shop, client):
    store_range(computed_at=timezone.now() - timedelta(hours=1))
    ForecastRun.objects.create(
        computed_at=timezone.now(), log_mark=0, overview={"refusal": "The shop is never open."}
    )
    page = first_page(client)
    assert "about 3 to 6 weeks" not in page
    assert "no date can be told at the moment: ask us" in page


def test_a_range_of_a_worker_that_stopped_days_ago_is_not_told(shop, client):
    store_range(computed_at=timezone.now() - timedelta(days=3, hours=1))
    page = first_page(client)
    assert "about 3 to 6 weeks" not in page
    assert "no date can be told at the moment: ask us" in page


def test_the_safety_line_ends_by_deferring_to_carrier_and_law(shop, client):
    page = first_page(client).replace("&#x27;", "'")
    assert "Drained is not empty" in page
    assert "The carrier's rules and your local law decide." in page


def close_intake(note="We are full until March."):
    closed = replace(identity(), intake_open=False, intake_note=note)
    publish(ShopKind.SHOP, closed)


def test_a_closed_shop_says_so_and_offers_the_phone_instead(shop, client):
    close_intake()
    page = first_page(client)
    assert "We are full until March." in page
    assert "Book a rebuild" not in page
    assert "Ring 01632 960 123" in page


@pytest.mark.parametrize("path", ["/book/", "/book/family/"])
def test_while_bookings_are_closed_none_is_begun_by_its_address(shop, client, path):
    close_intake()
    assert client.get(path).headers["Location"] == "/"
    assert client.post(path, {"family": "carburettor"}).headers["Location"] == "/"
    assert Booking.objects.count() == 0


def test_a_booking_begun_before_they_closed_is_kept_and_says_when(write_booking, client):
    write_booking()
    close_intake()
    page = client.post("/book/check/", follow=True).content.decode()
    assert (
        "We take no new units at the moment. We are full until March. What you have written is kept" in page
    )
    assert Job.objects.count() == 0
    assert "KV4O8IB" in page


def test_a_shop_that_is_still_being_set_up_takes_no_bookings(db, client):
    assert "still being set up" in first_page(client)
    assert client.post("/book/", follow=True).redirect_chain[-1][0] == "/"


def test_a_site_without_a_catalogue_still_has_a_first_page(db, client):
    assert "not published yet" in first_page(client)


def test_the_mailed_way_back_opens_the_job(shop, client):
    job = make_job()
    client.post("/find/", {"email": "ada@example.com"})
    deliver_due(now=timezone.now(), limit=10)
    found = [message for message in mail.outbox if "/open/" in message.body and "ten minutes" in message.body]
    path = "/open/" + found[0].body.split("/open/")[1].split()[0]
    browser = Client()
    assert browser.post(path).headers["Location"] == f"/job/{job.number}/"


def test_the_mailed_draft_link_opens_the_booking(write_booking, client):
    write_booking(last="model")
    client.post("/book/later/", {"email": "ada@example.com"})
    deliver_due(now=timezone.now(), limit=10)
    path = "/open/" + mail.outbox[0].body.split("/open/")[1].split()[0]
    browser = Client()
    browser.post(path)
    assert browser.get("/book/check/").headers["Location"] == "/book/fitted-to/"


@pytest.mark.parametrize(
    "page", ["", "sent/", "details/", "cancel/", "posted/", "photos/", "slip/", "answer/"]
)
def test_customer_pages_stay_small(shop, let_in, page):
    job = make_job(stage="cleared", now=timezone.now() - timedelta(days=3))
    answer = let_in(job).get(f"/job/{job.number}/{page}", follow=True)
    assert 1000 < len(answer.content) < PAGE_MOST_BYTES


def test_the_page_with_the_drawing_stays_small_on_the_line(shop, let_in):
    job = make_job(stage="cleared", now=timezone.now() - timedelta(days=3))
    answer = let_in(job).get(f"/job/{job.number}/pack/")
    assert len(gzip.compress(answer.content)) < PAGE_MOST_BYTES


def test_no_customer_page_but_those_of_photos_and_ticks_loads_a_script(shop, let_in, client):
    job = make_job(stage="cleared", now=timezone.now() - timedelta(days=3))
    browser = let_in(job)
    for page in ("", "slip/", "posted/", "details/"):
        assert "<script" not in browser.get(f"/job/{job.number}/{page}").content.decode(), page
    for page in ("/", "/find/", "/book/family/"):
        assert "<script" not in client.get(page).content.decode(), page


def test_the_way_back_to_a_booking_shows_only_where_there_is_one(shop, client):
    words = "Go on with a booking you began on this device"
    assert words not in client.get("/").content.decode()
    client.post("/book/")
    assert words in client.get("/").content.decode()


def test_the_range_keeps_its_condition_on_a_phone(shop, client):
    page = client.get("/").content.decode()
    assert page.count('data-label="If here today, leaves us"') >= 1
    assert 'data-label="Leaves us"' not in page
