"""A scanner is a keyboard that types fast: it finds the job, and by itself it changes nothing."""

from datetime import timedelta
from hashlib import sha256

import pytest
from django.apps import apps
from django.utils import timezone
from playwright.sync_api import expect

from jobs.domain.job_number import show
from tests.factories import make_job

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
NOT_THE_SHOPS = {"Session", "AttemptCount", "User"}


def everything():
    """Return what stands in every table, sessions and counts of attempts aside."""
    return {
        model.__name__: sha256(repr(list(model.objects.order_by("pk").values_list())).encode()).hexdigest()
        for model in apps.get_models()
        if model.__name__ not in NOT_THE_SHOPS
    }


def type_like_a_scanner(worker, words):
    worker.page.keyboard.type(words, delay=8)
    worker.page.keyboard.press("Enter")


@pytest.fixture
def posted(shop):
    return make_job(stage="posted", now=timezone.now() - timedelta(days=9))


@pytest.mark.parametrize(
    "written",
    ["{site}/W/{number}", "{number}", "{shown}", " {number}\t"],
    ids=["address", "number", "number as shown", "with blanks"],
)
@pytest.mark.parametrize("has_script", [True, False], ids=["with scripts", "without scripts"])
def test_a_scan_opens_the_job_and_changes_nothing(shop, posted, sign_in, written, has_script):
    worker = sign_in(shop, name="Tobin Ashgrove", role="workshop", has_script=has_script)
    before = everything()
    worker.visit("/workshop/")
    if has_script:
        expect(worker.page.locator("input[data-scan]")).to_be_focused()
    else:
        worker.page.locator("input[data-scan]").focus()
    words = written.format(site=shop, number=posted.number, shown=show(posted.number)).upper()
    type_like_a_scanner(worker, words.replace("\t", ""))
    worker.page.wait_for_url(f"**/workshop/jobs/{posted.number}/**")
    expect(worker.page.locator(".panel.next")).to_have_attribute("role", "status")
    expect(worker.page.locator(".panel.next .action")).to_have_count(1)
    assert everything() == before


def test_two_scans_one_after_the_other_open_the_second_job(shop, posted, sign_in):
    other = make_job(stage="cleared", now=timezone.now() - timedelta(days=3))
    worker = sign_in(shop, name="Tobin Ashgrove", role="workshop")
    worker.visit("/workshop/")
    type_like_a_scanner(worker, posted.number)
    worker.page.wait_for_url(f"**/workshop/jobs/{posted.number}/**")
    worker.page.get_by_role("link", name="Counter").first.click()
    expect(worker.page.locator("input[data-scan]")).to_be_focused()
    type_like_a_scanner(worker, other.number)
    worker.page.wait_for_url(f"**/workshop/jobs/{other.number}/**")


def test_a_scan_after_one_that_was_not_found_takes_its_place(shop, posted, sign_in):
    worker = sign_in(shop, name="Tobin Ashgrove", role="workshop")
    worker.visit("/workshop/?q=999+999-9")
    expect(worker.page.locator("#scan-result")).to_contain_text("is not a job number")
    expect(worker.page.locator("input[data-scan]")).to_be_focused()
    type_like_a_scanner(worker, posted.number)
    worker.page.wait_for_url(f"**/workshop/jobs/{posted.number}/**")


def test_what_is_being_typed_stays_when_the_lists_are_drawn_anew(shop, posted, sign_in):
    worker = sign_in(shop, name="Tobin Ashgrove", role="workshop")
    worker.visit("/workshop/")
    expect(worker.page.locator("input[data-scan]")).to_be_focused()
    worker.page.keyboard.type("Thorn")
    worker.page.evaluate("document.querySelector('#lists').dataset.old = ''")
    worker.page.evaluate("htmx.trigger('#lists [hx-get]', 'click')")
    expect(worker.page.locator("#lists:not([data-old]):not(.htmx-settling)")).to_have_count(1)
    worker.page.keyboard.type("by")
    expect(worker.page.locator("input[data-scan]")).to_have_value("Thornby")


def test_a_number_that_was_typed_wrong_says_so(shop, posted, sign_in):
    worker = sign_in(shop, name="Tobin Ashgrove", role="workshop")
    worker.visit("/workshop/")
    last = (int(posted.number[-1]) + 1) % 10
    type_like_a_scanner(worker, posted.number[:-1] + str(last))
    expect(worker.page.locator("#scan-result")).not_to_be_empty()
    assert "/workshop/jobs/" not in worker.page.url
