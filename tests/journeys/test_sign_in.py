"""Somebody of the workshop signs in on a phone and signs out, in a real browser under the strict rules."""

import re

import pytest
from django.core import mail

from tests.journeys.people import work_until_done

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
PASSWORD = "seven rusty float bowls"


def test_a_person_signs_in_and_keeps_a_new_password(live_site, open_browser, person):
    person("workshop", email="bench@quillfeather.example", password=PASSWORD)
    page = open_browser(width_px=320)
    complaints = []
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.goto(f"{live_site}/account/password/")
    assert "/account/sign-in/" in page.url
    assert page.evaluate("document.documentElement.scrollWidth") <= 320

    page.get_by_label("Your mail address").first.fill("bench@quillfeather.example")
    page.get_by_label("Your password").fill("wrong")
    page.get_by_role("button", name="Sign in").click()
    assert page.get_by_role("alert").is_visible()
    # The browser itself notes the refused form; nothing else may be noted.
    assert all("422" in complaint for complaint in complaints), complaints

    page.get_by_label("Your mail address").first.fill("bench@quillfeather.example")
    page.get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/account/password/")
    page.get_by_label("Your present password").fill(PASSWORD)
    page.get_by_label("Your new password").fill("eleven brass main jets")
    page.get_by_role("button", name="Keep this password").click()
    assert page.get_by_role("heading", level=1).inner_text() == "Your new password counts from now"


def test_a_person_signs_in_by_the_mailed_link(live_site, open_browser, person):
    person("workshop", email="bench@quillfeather.example")
    page = open_browser(width_px=390)
    page.goto(f"{live_site}/account/sign-in/")
    page.get_by_label("Your mail address").last.fill("bench@quillfeather.example")
    page.get_by_role("button", name="Send me a link").click()
    page.wait_for_url("**/sent/")
    work_until_done()
    (link,) = re.findall(r"https?://\S+/account/sign-in/\S+", mail.outbox[-1].body)
    page.goto(link)
    page.locator("main button.action").click()
    page.wait_for_url("**/workshop/")
    assert page.get_by_role("heading", level=1).is_visible()
