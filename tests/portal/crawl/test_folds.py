"""What a phone folds on the owner's page stands whole on a laptop and on paper."""

import pytest

from tests.portal.samples import pages

pytestmark = [pytest.mark.browser]
PHONE_PX, LAPTOP_PX = 390, 1280
PAGE = next(page for page in pages() if page.route.name == "owner:dashboard" and page.sample.get == 200)
SEEN = """() => [...document.querySelectorAll("main .phone-fold > :not(summary)")]
  .map((el) => el.checkVisibility({contentVisibilityAuto: true}) && el.getBoundingClientRect().height > 0)"""
HEADINGS = """() => [...document.querySelectorAll("main .phone-fold > summary > h2")]
  .map((el) => el.checkVisibility({visibilityProperty: true}))"""


def test_a_phone_folds_what_need_not_be_read_tonight(open_page):
    window = open_page(PAGE, width_px=PHONE_PX)
    seen = window.evaluate(SEEN)
    assert len(seen) >= 5
    assert not any(seen)
    window.locator("main .phone-fold > summary").last.click()
    assert window.evaluate(SEEN)[-1]


def test_a_laptop_and_paper_show_it_whole_and_offer_no_button_that_does_nothing(open_page):
    window = open_page(PAGE, width_px=LAPTOP_PX)
    for medium in ("screen", "print"):
        window.emulate_media(media=medium)
        assert all(window.evaluate(SEEN))
        assert all(window.evaluate(HEADINGS))
    window.emulate_media(media="screen")
    focused = "() => document.activeElement.closest('.phone-fold > summary') !== null"
    for _press in range(60):
        window.keyboard.press("Tab")
        assert not window.evaluate(focused)


def test_the_figures_lead_into_a_fold_and_open_it(open_page):
    window = open_page(PAGE, width_px=PHONE_PX)
    window.locator(".figures a[href='#standing']").click()
    assert window.locator("details:has(> #standing)").get_attribute("open") is not None
