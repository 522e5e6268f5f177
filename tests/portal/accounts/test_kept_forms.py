"""A form sent after the session ran out is kept until its sender is signed in again, and is sent once."""

import re
from datetime import timedelta
from html import unescape
from random import Random

import pytest
from django.contrib.sessions.models import Session
from django.test import Client
from django.utils import timezone

from jobs.domain.job_number import show
from jobs.models import JobEvent, OutboxMessage
from portal.accounts.models import SignInLink
from tests.factories import make_job, open_shop

pytestmark = pytest.mark.django_db
PASSWORD = "seven rusty float bowls"
EMAIL = "bench@quillfeather.example"
NOTE = "The throttle spindle is worn oval, see the photo."


@pytest.fixture
def note_address(person):
    person("workshop", email=EMAIL, password=PASSWORD)
    open_shop()
    return f"/workshop/jobs/{make_job(stage='arrived').number}/note/"


@pytest.fixture
def browser(note_address):
    """Return a browser on the page of a note, whose session is over."""
    browser = Client()
    browser.post("/account/sign-in/", {"email": EMAIL, "password": PASSWORD})
    browser.drawn = hidden(browser.get(note_address))
    Session.objects.all().delete()
    return browser


def hidden(page):
    """Return the hidden fields of the last form of the page."""
    form = page.content.decode().rpartition("<form")[2]
    found = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', form)
    return {name: unescape(value) for name, value in found}


def kept_in(page):
    return unescape(re.search(r'name="kept" value="([^"]+)"', page.content.decode())[1])


def notes():
    return JobEvent.objects.filter(kind="note_added")


def test_what_was_typed_is_sent_by_one_press_after_signing_in_again(browser, note_address):
    refused = browser.post(note_address, {**browser.drawn, "text": NOTE})
    assert refused.status_code == 403
    assert "nothing is recorded yet" in refused.content.decode()
    assert not notes().exists()
    signed_in = browser.post(
        "/account/sign-in/", {"email": EMAIL, "password": PASSWORD, "kept": kept_in(refused)}
    )
    page = signed_in.content.decode()
    assert NOTE in page
    assert "recorded in your name" in page
    assert show(note_address.split("/")[3]).replace(" ", "\u00a0") in page
    assert f'action="{note_address}"' in page
    sent = browser.post(note_address, hidden(signed_in))
    assert sent.status_code == 302
    assert [note.facts["text"] for note in notes()] == [NOTE]


def test_a_mistyped_password_loses_nothing(browser, note_address):
    kept = kept_in(browser.post(note_address, {**browser.drawn, "text": NOTE}))
    again = browser.post("/account/sign-in/", {"email": EMAIL, "password": "wrong", "kept": kept})
    assert again.status_code == 422
    assert kept_in(again) == kept


def test_who_signs_in_by_a_mailed_link_comes_back_to_what_was_typed(browser, note_address):
    kept = kept_in(browser.post(note_address, {**browser.drawn, "text": NOTE}))
    browser.post("/account/sign-in/mail/", {"email": EMAIL, "kept": kept})
    link = OutboxMessage.objects.get(kind="sign_in").payload["link"].removeprefix("http://testserver")
    assert hidden(browser.post(link))["text"] == NOTE
    assert not SignInLink.objects.exclude(kept="").exists()


def test_a_form_kept_for_another_browser_is_not_shown(browser, note_address):
    kept = kept_in(browser.post(note_address, {**browser.drawn, "text": NOTE}))
    other = Client()
    other.post(note_address, {"text": "Something of its own"})
    answer = other.post("/account/sign-in/", {"email": EMAIL, "password": PASSWORD, "kept": kept})
    assert (answer.status_code, answer["Location"]) == (302, "/workshop/")


def test_a_form_that_was_tampered_with_is_not_shown(browser, note_address):
    kept = kept_in(browser.post(note_address, {**browser.drawn, "text": NOTE}))
    answer = browser.post("/account/sign-in/", {"email": EMAIL, "password": PASSWORD, "kept": f"x{kept}"})
    assert (answer.status_code, answer["Location"]) == (302, "/workshop/")


def test_the_guard_of_the_form_is_not_kept(browser, note_address):
    kept = kept_in(browser.post(note_address, {**browser.drawn, "csrfmiddlewaretoken": "guard"}))
    signed_in = browser.post("/account/sign-in/", {"email": EMAIL, "password": PASSWORD, "kept": kept})
    assert hidden(signed_in)["csrfmiddlewaretoken"] != "guard"


def test_a_new_password_is_not_kept(browser):
    answer = browser.post("/account/password/", {"present": PASSWORD, "new": "eight shiny float bowls"})
    assert answer.status_code == 302
    assert answer["Location"].startswith("/account/sign-in/")


def test_what_waits_beside_a_link_goes_with_the_next_link(browser, note_address):
    kept = kept_in(browser.post(note_address, {**browser.drawn, "text": NOTE}))
    browser.post("/account/sign-in/mail/", {"email": EMAIL, "kept": kept})
    assert SignInLink.objects.get().kept
    browser.post("/account/sign-in/mail/", {"email": EMAIL})
    assert not SignInLink.objects.exclude(kept="").exists()


def test_what_waits_beside_a_link_that_is_over_goes_when_anybody_signs_in(browser, note_address):
    kept = kept_in(browser.post(note_address, {**browser.drawn, "text": NOTE}))
    browser.post("/account/sign-in/mail/", {"email": EMAIL, "kept": kept})
    long_ago = timezone.now() - timedelta(hours=1)
    SignInLink.objects.update(asked_at=long_ago, expires_at=long_ago + timedelta(minutes=10))
    Client().post("/account/sign-in/", {"email": EMAIL, "password": PASSWORD})
    assert SignInLink.objects.get().kept == ""


def test_the_page_of_a_kept_form_leads_to_no_other_host(browser, note_address):
    came_from = "http://testserver//elsewhere.example/"
    kept = kept_in(browser.post(note_address, {"text": NOTE}, headers={"referer": came_from}))
    signed_in = browser.post("/account/sign-in/", {"email": EMAIL, "password": PASSWORD, "kept": kept})
    assert NOTE in signed_in.content.decode()
    assert 'href="//' not in signed_in.content.decode()


def test_too_much_to_keep_is_said_before_it_is_lost(browser, note_address):
    # Letters that take the most room in a page, and that nothing makes shorter.
    draw = Random(7)
    refused = browser.post(
        note_address, {"text": "".join(chr(draw.randrange(0x4E00, 0x9FFF)) for _ in range(45_000))}
    )
    assert refused.status_code == 403
    assert "copy what you wrote" in refused.content.decode()
    assert 'name="kept"' not in refused.content.decode()


def test_a_press_that_sends_nothing_leads_to_the_sign_in(browser, note_address):
    answer = browser.post(note_address, {})
    assert answer.status_code == 302
    assert answer["Location"].startswith("/account/sign-in/?next=")
