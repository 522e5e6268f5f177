"""Writing a booking page by page."""

import pytest
from django.core import mail  # noqa: F401 - the outbox of the test run
from django.test import Client
from django.utils import timezone

from jobs.models import Booking, FamilyForecast, ForecastRun, Job, OutboxMessage
from jobs.selectors import booking_help, customer_jobs
from jobs.selectors.customer_when import see_when
from jobs.services import bookings, links
from tests.factories import make_job
from tests.portal.customer.conftest import ANSWERS

pytestmark = pytest.mark.django_db


def answers():
    return bookings.answers_of(Booking.objects.get())


def test_the_first_page_makes_no_booking_until_it_is_answered(shop, client):
    assert client.get("/book/family/").status_code == 200
    assert Booking.objects.count() == 0
    client.post("/book/family/", {"family": "carburettor"})
    assert answers().family == "carburettor"


@pytest.mark.parametrize(
    ("step", "kept"),
    [
        ("number", {"number_as_read": "KV4O8IB", "number_kind": "list", "number_where": "flange"}),
        ("model", {"unit_model": "tolvane-kv4081"}),
        ("fitted-to", {"fitted_to": "Launch of 1961"}),
        ("symptoms", {"symptoms": ("uneven_idle",), "flags": ("seized",), "own_words": "It hunts."}),
        ("contact", {"name": "Ada Thornby", "email": "ada@example.com", "postal_code": "SA1 2BC"}),
        ("limit", {"spend_limit_pence": 5000}),
    ],
)
def test_each_page_saves_its_answer_at_once(write_booking, step, kept):
    write_booking(last=step)
    assert {name: getattr(answers(), name) for name in kept} == kept


def test_each_page_leads_to_the_next_open_question(write_booking, client):
    way = []
    for step, answer in ANSWERS.items():
        way.append(client.post(f"/book/{step}/", answer).headers["Location"])
    assert way == [
        *(f"/book/{step}/" for step in list(ANSWERS)[1:]),
        "/book/check/",
    ]


def test_every_question_page_has_one_heading_and_one_main_action(write_booking, client):
    write_booking()
    for step in ANSWERS:
        page = client.get(f"/book/{step}/").content.decode()
        assert page.count("<h1") == 1, step
        assert page.count('class="action"') == 1, step
        assert page.index('class="back"') < page.index("<main"), step


def test_an_earlier_answer_is_shown_again_when_the_page_is_opened_again(write_booking, client):
    write_booking(last="fitted-to")
    assert 'value="Launch of 1961"' in client.get("/book/fitted-to/").content.decode()
    assert 'value="KV4O8IB"' in client.get("/book/number/").content.decode()


def test_an_error_keeps_what_was_typed(write_booking, client):
    write_booking(last="symptoms")
    page = client.post(
        "/book/contact/",
        {**ANSWERS["contact"], "email": "ada", "name": "Ada of the long quay"},
        follow=True,
    ).content.decode()
    assert "<title>Error:" in page
    assert "Enter the email address in full" in page
    assert 'value="Ada of the long quay"' in page
    assert answers().email == ""


def test_a_phone_number_without_digits_is_asked_again_and_kept(write_booking, client):
    write_booking(last="symptoms")
    page = client.post("/book/contact/", {**ANSWERS["contact"], "phone": "abc"}, follow=True).content.decode()
    assert page.count("Enter the phone number in digits with its area code") == 2  # summary and field
    assert 'value="abc"' in page
    assert answers().email == ""


def test_a_phone_number_may_be_left_out(write_booking):
    write_booking(last="contact", contact={"phone": ""})
    assert (answers().email, answers().phone) == ("ada@example.com", "")


def test_no_number_is_an_answer_of_its_own(write_booking, client):
    write_booking(last="family")
    page = client.post("/book/number/", {}, follow=True)
    assert "tick “I cannot read it, or there is none”" in page.content.decode()
    assert client.post("/book/number/", {"cannot_read": "on"}).status_code == 302
    assert answers().cannot_read


def test_another_number_asks_for_the_model_again(write_booking, client):
    write_booking()
    gone = client.post("/book/number/", {"number_as_read": "KV4087B", "number_kind": "list"})
    assert gone.headers["Location"] == "/book/model/"
    assert answers().unit_model == ""


def test_a_change_from_the_check_page_leads_straight_back_to_it(write_booking, client):
    write_booking()
    gone = client.post("/book/fitted-to/", {"fitted_to": "A tractor"})
    assert gone.headers["Location"] == "/book/check/"


@pytest.mark.parametrize("reason", ["aircraft", "mercury", "other"])
def test_what_we_cannot_take_leads_to_a_page_with_the_way_on(shop, client, reason):
    gone = client.post("/book/family/", {"family": reason})
    page = client.get(gone.headers["Location"])
    assert page.status_code == 200
    assert "What to do" in page.content.decode()
    assert "There is a problem" not in page.content.decode()
    assert Booking.objects.count() == 0


def test_pages_of_a_booking_are_never_cached(write_booking, client):
    write_booking()
    assert "no-store" in client.get("/book/check/").headers["Cache-Control"]


def test_a_stranger_at_a_later_page_is_led_to_the_first(shop, client):
    assert client.get("/book/contact/").headers["Location"] == "/book/family/"


def test_the_mailed_link_opens_the_booking_on_another_device(write_booking, client):
    write_booking(last="model")
    client.post("/book/later/", {"email": "ada@example.com"})
    message = OutboxMessage.objects.get()
    assert (message.kind, message.recipient) == ("draft_link", "ada@example.com")
    token = links.issue_draft_link(Booking.objects.get(), now=timezone.now())
    other = Client()
    assert other.post(f"/open/{token}/").headers["Location"] == "/book/check/"
    assert other.get("/book/check/").headers["Location"] == "/book/fitted-to/"
    assert 'value="KV4O8IB"' in other.get("/book/number/").content.decode()


def test_the_page_that_says_where_the_link_went_can_be_loaded_again(write_booking, client):
    write_booking(last="model")
    assert client.get("/book/later/sent/").headers["Location"] == "/book/later/"
    answer = client.post("/book/later/", {"email": "ada@example.com"})
    assert (answer.status_code, answer.headers["Location"]) == (302, "/book/later/sent/")
    for _ in range(2):
        assert "It goes to ada@example.com." in client.get("/book/later/sent/").content.decode()
    assert OutboxMessage.objects.count() == 1
    client.post("/book/", {"fresh": "1"})
    assert client.get("/book/later/sent/").headers["Location"] == "/book/later/"


def quote_family(today):
    """Store a range of three to six weeks from today for carburettors."""
    FamilyForecast.objects.create(
        family="carburettor",
        earliest_on=today + timezone.timedelta(days=20),
        likely_on=today + timezone.timedelta(days=30),
        latest_on=today + timezone.timedelta(days=40),
        based_on="seed",
        computed_at=timezone.now(),
    )


def test_a_day_that_today_s_range_cannot_hold_is_said_so(write_booking, client):
    today = timezone.localdate()
    write_booking(last="contact")
    quote_family(today)
    wish = (today + timezone.timedelta(days=7)).isoformat()
    gone = client.post("/book/wishes/", {"wished_on": wish})
    assert gone.headers["Location"] == "/book/wishes/answer/"
    assert "We cannot meet that day" in client.get("/book/wishes/answer/").content.decode()
    far = (today + timezone.timedelta(days=200)).isoformat()
    assert client.post("/book/wishes/", {"wished_on": far}).headers["Location"] == "/book/limit/"


def test_the_answer_to_a_wish_counts_from_the_same_arrival_as_the_range_told_once_it_is_booked(shop):
    now = timezone.now()
    days = {
        key: timezone.localdate(now) + timezone.timedelta(days=20) for key in ("earliest_on", "likely_on")
    }
    latest_on = days["earliest_on"] + timezone.timedelta(days=14)
    FamilyForecast.objects.create(
        family="carburettor", latest_on=latest_on, based_on="seed", computed_at=now, **days
    )
    wish = booking_help.judge_wished_day(latest_on, family="carburettor", now=now)
    told = see_when(customer_jobs.see_job(make_job(now=now)), now=now).today
    home = timezone.timedelta(days=wish.back_days)
    assert wish.back_days > 0
    assert (wish.home_earliest_on - home, wish.home_latest_on - home) == (told.earliest_on, told.latest_on)


def test_a_wished_day_is_not_judged_by_a_range_that_no_longer_holds(write_booking, client):
    today = timezone.localdate()
    write_booking(last="contact")
    quote_family(today)
    ForecastRun.objects.create(computed_at=timezone.now(), log_mark=0, overview={"refusal": "No bench."})
    page = client.get("/book/wishes/").content.decode()
    assert "If it were here today" not in page
    assert "We cannot tell a date at the moment" in page
    wish = (today + timezone.timedelta(days=7)).isoformat()
    client.post("/book/wishes/", {"wished_on": wish})
    assert "cannot say whether it works" in client.get("/book/wishes/answer/").content.decode()


def test_nothing_becomes_a_job_before_it_is_sent(write_booking, client):
    write_booking()
    client.get("/book/check/")
    assert Job.objects.count() == 0


def test_own_words_that_are_too_long_are_refused_in_words_and_kept(shop, write_booking, client):
    write_booking(last="fitted-to")
    page = client.get("/book/symptoms/").content.decode()
    field = page.split('name="own_words"')[1].split(">")[0]
    assert "maxlength" not in field
    assert "2,000 characters" in page
    long = "It hunts. " * 210
    page = client.post("/book/symptoms/", {"own_words": long}, follow=True).content.decode()
    assert "to 2000 characters; it has 2099 now" in page
    assert page.count("It hunts. ") >= 209


@pytest.mark.parametrize("family", ["carburettor", "lift_pump", "magneto"])
def test_missing_parts_are_asked_about_once(write_booking, client, family):
    write_booking(last="family", family={"family": family})
    page = client.get("/book/symptoms/").content.decode().split("<main")[1]
    assert page.count("re missing") == 1
    assert "Parts are missing" in page
