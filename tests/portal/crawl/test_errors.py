"""A form sent empty, in a real browser: the summary takes the focus, and its links lead to the fields."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.portal.refusing import REFUSES_EMPTY
from tests.portal.samples import pages

pytestmark = [pytest.mark.browser]
SHOWN = [page for page in pages() if page.sample.get == 200]
STATE = {"customer:job": "asked", "customer:posted": "may_post"}
CHOSEN = {
    page.route.name: page
    for page in reversed(SHOWN)
    if page.route.name in REFUSES_EMPTY and page.sample.job == STATE.get(page.route.name, page.sample.job)
}
CLEAR = """form => {
  for (const field of form.querySelectorAll("input, textarea, select")) {
    if (field.matches("[type=hidden], [type=submit], [type=image]")) continue;
    if (field.matches("[type=radio], [type=checkbox]")) field.checked = false;
    else if (!field.matches("[type=file]")) field.value = "";
  }
}"""


def test_every_form_that_refuses_is_looked_at():
    assert set(CHOSEN) == set(REFUSES_EMPTY)


@pytest.mark.parametrize("page", CHOSEN.values(), ids=lambda page: page.label)
def test_the_summary_has_the_focus_and_leads_to_the_fields(page, open_page, on_air):
    window = open_page(page, width_px=320, bypass_csp=True)
    form = window.locator(REFUSES_EMPTY[page.route.name]).first
    form.evaluate(CLEAR)
    main_actions = form.locator("button.action, button.action-stop")
    button = (main_actions if main_actions.count() else form.locator("button.action-plain")).first
    if button.is_visible():
        button.click()
    else:  # the script sends photos one by one and hides the button
        form.evaluate("form => form.submit()")
    summary = window.locator("#error-summary")
    expect(summary).to_be_focused(timeout=20_000)
    assert window.title().startswith("Error: ")
    assert window.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    for at in range(summary.locator("a").count()):
        link = summary.locator("a").nth(at)
        target = link.get_attribute("href")
        link.click()
        assert window.evaluate("'#' + document.activeElement.id") == target
    window.evaluate(Axe().axe_script)
    result = window.evaluate("axe.run(document, {resultTypes: ['violations']})")
    assert [violation["id"] for violation in result["violations"]] == []
    # The browser itself notes the refused form; nothing else may be noted.
    assert [said for said in on_air.complaints if "422" not in said] == []
