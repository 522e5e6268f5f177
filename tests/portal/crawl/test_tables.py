"""Wide tables of the shop: on a phone they are read in blocks, on a tablet nothing of them is cut."""

import pytest

from tests.portal.samples import Reader, pages

pytestmark = [pytest.mark.browser]
PHONE_PX, TABLET_PX, LAPTOP_PX = 390, 768, 1280
STAFF = {Reader.WORKSHOP, Reader.OWNER}
SHOWN = [page for page in pages() if page.sample.get == 200 and page.is_html and page.reader in STAFF]
ONE_EACH = list({page.route.name: page for page in reversed(SHOWN)}.values())
BLOCKS = [
    page
    for page in ONE_EACH
    if page.route.name in {"owner:weeks_ahead", "owner:quotes", "owner:what_if_run", "owner:entry"}
]

MOVES_ASIDE = """() => [...document.querySelectorAll("main .scroll")].filter((el) =>
  el.checkVisibility() && el.scrollWidth > el.clientWidth + 1).map((el) => el.ariaLabel)"""
PAST_THE_SHEET = """() => {
  const edge = document.querySelector("main").getBoundingClientRect().right + 1;
  return [...document.querySelectorAll("main table, main table *")].filter((el) =>
    !el.closest(".scroll") && el.checkVisibility() && el.getBoundingClientRect().right > edge
  ).map((el) => el.outerHTML.slice(0, 120));
}"""
CUT_WORDS = """() => [...document.querySelectorAll("main table :is(td, th) > span, main table td.whole")]
  .filter((el) => el.checkVisibility() && el.scrollWidth > el.clientWidth + 1
    && getComputedStyle(el).display !== "inline").map((el) => el.outerHTML.slice(0, 120))"""


@pytest.mark.parametrize("page", BLOCKS, ids=lambda page: page.label)
def test_a_wide_table_is_read_in_blocks_on_a_phone(page, open_page):
    window = open_page(page, width_px=PHONE_PX)
    assert window.evaluate(MOVES_ASIDE) == []
    assert window.evaluate(CUT_WORDS) == []


@pytest.mark.parametrize("page", ONE_EACH, ids=lambda page: page.label)
def test_no_table_reaches_out_of_the_sheet(page, open_page):
    window = open_page(page, width_px=TABLET_PX)
    assert window.evaluate(PAST_THE_SHEET) == []
    window.set_viewport_size({"width": LAPTOP_PX, "height": 800})
    assert window.evaluate(PAST_THE_SHEET) == []


def test_a_week_of_the_calendar_names_itself_and_its_families_on_a_phone(open_page):
    page = next(each for each in ONE_EACH if each.route.name == "owner:weeks_ahead")
    window = open_page(page, width_px=PHONE_PX)
    week = window.locator(".weeks tbody tr").first
    assert week.locator("th").inner_text().startswith("Week of ")
    before = "(cell) => getComputedStyle(cell, '::before').content"
    names = window.locator(".weeks thead th").all_text_contents()[1:]
    assert names
    assert week.locator("td").evaluate_all(f"(cells) => cells.map({before})") == [
        f'"{each}"' for each in names
    ]
    window.set_viewport_size({"width": LAPTOP_PX, "height": 800})
    assert week.locator("th").inner_text().startswith("Mon ")


PAPER_PX = 703  # A4 less its two margins of 12 mm, at 96 px to the inch
PRINTED = [
    page
    for page in ONE_EACH
    if page.route.name
    in {"owner:dashboard", "owner:weeks_ahead", "owner:what_if_run", "owner:quotes", "workshop:queue"}
]
GROUNDS = """() => [...document.querySelectorAll("body, .sheet, .frame, main table, main li, main .scroll")]
  .map((el) => getComputedStyle(el).backgroundColor)
  .filter((colour) => !["rgba(0, 0, 0, 0)", "rgb(255, 255, 255)"].includes(colour))"""


@pytest.mark.parametrize("page", PRINTED, ids=lambda page: page.label)
def test_what_is_printed_fits_the_paper_and_has_no_dark_ground(page, open_page):
    window = open_page(page, width_px=PAPER_PX, scheme="dark")
    assert window.evaluate(GROUNDS) != []
    window.emulate_media(media="print", color_scheme="dark")
    assert window.evaluate(PAST_THE_SHEET) == []
    assert window.evaluate(GROUNDS) == []
