"""Coming in by password and by mailed link, and going out."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from jobs.models import OutboxMessage
from portal.accounts import links
from portal.accounts.models import SignInLink, User
from portal.accounts.people import end_sessions

pytestmark = pytest.mark.django_db
PASSWORD = "seven rusty float bowls"
EMAIL = "bench@quillfeather.example"


@pytest.fixture
def bench(person):
    return person("workshop", email=EMAIL, password=PASSWORD)


def sign_in(client, *, email=EMAIL, password=PASSWORD, **more):
    return client.post("/account/sign-in/", {"email": email, "password": password, **more})


def mailed_address(**match):
    message = OutboxMessage.objects.get(kind="sign_in", **match)
    return message.payload["link"].removeprefix("http://testserver")


def test_the_right_password_opens_the_workshop(client, bench):
    response = sign_in(client, email=EMAIL.upper())
    assert response.status_code == 302
    assert response["Location"] == "/workshop/"
    assert client.get("/account/password/").status_code == 200


def test_the_owner_begins_at_the_owners_page(client, person):
    person("owner", email="owner@quillfeather.example", password=PASSWORD)
    assert sign_in(client, email="owner@quillfeather.example")["Location"] == "/owner/"


def test_a_wrong_password_and_an_unknown_address_get_the_same_answer(client, bench):
    def answer(**typed):
        page = Client().post("/account/sign-in/", {"email": EMAIL, "password": PASSWORD, **typed})
        return page.status_code, page.content.decode().replace("nobody@quillfeather.example", EMAIL)

    wrong_status, wrong = answer(password="not that one at all")
    unknown_status, unknown = answer(email="nobody@quillfeather.example")
    assert wrong_status == unknown_status == 422
    assert "do not belong together" in wrong
    strip = links.sha256  # the pages differ only in the form's protection value
    assert strip(without_token(wrong).encode()).digest() == strip(without_token(unknown).encode()).digest()


def without_token(page):
    import re

    return re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", page)


def test_signing_in_changes_the_session_key(client, bench):
    client.get("/account/sign-in/")
    session = client.session
    session["left"] = "behind"
    session.save()
    before = session.session_key
    sign_in(client)
    assert client.session.session_key != before
    assert "left" not in client.session


def test_somebody_who_left_the_shop_does_not_come_in(client, bench):
    bench.is_active = False
    bench.save()
    assert sign_in(client).status_code == 422


def test_the_page_that_was_wanted_opens_after_signing_in(client, bench):
    assert sign_in(client, next="/workshop/arrivals/")["Location"] == "/workshop/arrivals/"


@pytest.mark.parametrize(
    "elsewhere", ["https://evil.example/", "//evil.example/", "javascript:alert(1)", "\\\\evil"]
)
def test_a_wanted_page_elsewhere_is_ignored(client, bench, elsewhere):
    assert sign_in(client, next=elsewhere)["Location"] == "/workshop/"


def test_the_ninth_wrong_password_waits(client, bench):
    statuses = [sign_in(client, password="wrong").status_code for _ in range(9)]
    assert statuses == [422] * 8 + [429]
    late = sign_in(client)
    assert late.status_code == 429
    assert 0 < int(late["Retry-After"]) <= 900


def test_a_mailed_link_signs_in_once_and_opening_it_changes_nothing(client, bench):
    response = client.post("/account/sign-in/mail/", {"email": EMAIL})
    assert response["Location"] == "/account/sign-in/mail/sent/"
    address = mailed_address(recipient=EMAIL)
    for _ in range(3):
        assert client.get(address).status_code == 200
    assert SignInLink.objects.get().used_at is None
    response = client.post(address)
    assert response["Location"] == "/workshop/"
    assert response["Referrer-Policy"] == "strict-origin"
    assert client.get("/account/password/").status_code == 200
    assert client.post(address).status_code == 410


def test_a_mailed_link_works_only_in_the_browser_that_asked(client, bench):
    client.post("/account/sign-in/mail/", {"email": EMAIL})
    response = Client().post(mailed_address())
    assert response.status_code == 410
    assert "another browser" in response.content.decode()
    assert client.post(mailed_address()).status_code == 302


def test_a_mailed_link_ends_after_ten_minutes(bench):
    asked_at = timezone.now()
    asked = links.ask_for_link(EMAIL, now=asked_at)
    with pytest.raises(links.LinkRefused, match="10 minutes"):
        links.redeem_link(
            asked.token, browser_secret=asked.browser_secret, now=asked_at + timedelta(minutes=10)
        )
    just_in_time = asked_at + timedelta(minutes=9, seconds=59)
    assert links.redeem_link(asked.token, browser_secret=asked.browser_secret, now=just_in_time) == bench


def test_asking_again_ends_the_former_link(bench):
    now = timezone.now()
    first, second = links.ask_for_link(EMAIL, now=now), links.ask_for_link(EMAIL, now=now)
    with pytest.raises(links.LinkRefused, match="replaced"):
        links.redeem_link(first.token, browser_secret=first.browser_secret, now=now)
    assert links.redeem_link(second.token, browser_secret=second.browser_secret, now=now) == bench


def test_only_hashes_of_the_secrets_are_kept(bench):
    asked = links.ask_for_link(EMAIL, now=timezone.now())
    kept = SignInLink.objects.values_list("token_sha256", "browser_sha256").get()
    assert len(asked.token) >= 43  # 256 bits in base64
    assert asked.token not in kept
    assert asked.browser_secret not in kept


def test_an_unknown_address_gets_the_same_answer_and_no_mail(client, bench):
    known = client.post("/account/sign-in/mail/", {"email": EMAIL})
    unknown = Client().post("/account/sign-in/mail/", {"email": "nobody@quillfeather.example"})
    assert (known.status_code, known["Location"]) == (unknown.status_code, unknown["Location"])
    assert set(known.cookies) == set(unknown.cookies)
    assert list(OutboxMessage.objects.values_list("recipient", flat=True)) == [EMAIL]


def test_a_mailbox_gets_at_most_five_links_an_hour(bench):
    answers = {Client().post("/account/sign-in/mail/", {"email": EMAIL}).status_code for _ in range(7)}
    assert answers == {302}
    assert OutboxMessage.objects.filter(recipient=EMAIL).count() == 5


def test_signing_out_ends_the_session_and_clears_the_browser(client, bench):
    sign_in(client)
    assert client.get("/account/sign-out/").status_code == 405
    response = client.post("/account/sign-out/")
    assert '"cache"' in response["Clear-Site-Data"]
    assert client.get("/account/password/").status_code == 302


def test_signing_out_everywhere_ends_the_other_browsers_too(client, bench):
    other = Client()
    sign_in(client)
    sign_in(other)
    client.post("/account/sign-out/everywhere/")
    assert other.get("/account/password/").status_code == 302


@pytest.mark.parametrize(("hours", "minutes_idle", "expected"), [(11, 59, 200), (11, 61, 302), (13, 1, 302)])
def test_a_session_ends_after_a_day_or_an_idle_hour(client, bench, hours, minutes_idle, expected):
    sign_in(client)
    now = timezone.now()
    session = client.session
    session["staff_began_at"] = (now - timedelta(hours=hours)).timestamp()
    session["staff_seen_at"] = (now - timedelta(minutes=minutes_idle)).timestamp()
    session.save()
    assert client.get("/account/password/").status_code == expected


def test_a_new_password_needs_the_present_one_and_ends_other_sessions(client, bench):
    other = Client()
    sign_in(client)
    sign_in(other)
    new = "eleven brass main jets"
    refused = client.post("/account/password/", {"present": "wrong", "new": new})
    assert refused.status_code == 422
    assert client.post("/account/password/", {"present": PASSWORD, "new": new}).status_code == 200
    assert client.get("/account/password/").status_code == 200
    assert other.get("/account/password/").status_code == 302
    assert User.objects.get(email=EMAIL).check_password(new)


@pytest.mark.parametrize("weak", ["short", "password1234", EMAIL])
def test_an_easy_password_is_refused(client, bench, weak):
    sign_in(client)
    assert client.post("/account/password/", {"present": PASSWORD, "new": weak}).status_code == 422


def test_a_forgotten_password_is_replaced_after_a_mailed_link(client, bench):
    client.post("/account/sign-in/mail/", {"email": EMAIL})
    client.post(mailed_address())
    assert client.post("/account/password/", {"new": "eleven brass main jets"}).status_code == 200


def test_ending_sessions_leaves_the_password_alone(bench):
    end_sessions(bench)
    assert User.objects.get(pk=bench.pk).check_password(PASSWORD)
