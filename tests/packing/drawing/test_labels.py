"""Real text boxes of every sheet in a browser: on a phone 390 px wide, and printed."""

from pathlib import Path

import pytest

from packing.drawing.shapes import PRINT_WIDTH_MM, text_width
from tests.packing.drawing.sheets import CASES, CHOICES, PHONE_PX, PRINT_AREA_MM, demo_plans, render

pytestmark = [pytest.mark.browser]
STYLE = Path(__file__).parents[3] / "static" / "style.css"
PX_PER_MM = 96 / 25.4
LEAST_PX = {"screen": 10.99, "print": 8 * 96 / 72}  # 11 pixels on a phone, 8 points on paper
FACE = "'DejaVu Sans'"  # the widest of the usual sans-serif faces; the others leave more air

# Every mark is one box: a ring with its number, or a line of text. Boxes that meet by more than half a pixel,
# or that leave their picture, are returned in words.
MEASURE = """(least) => {
  const found = [], widths = [];
  for (const svg of document.querySelectorAll("svg.dw-sheet")) {
    const frame = svg.getBoundingClientRect(), marks = [];
    for (const text of svg.querySelectorAll("text")) {
      const ring = text.closest("g[data-for]"), box = (ring || text).getBoundingClientRect();
      marks.push([text.textContent, box, text.closest("g[data-part], g[data-slug]")]);
      const own = text.getBoundingClientRect();
      const scale = frame.width / svg.viewBox.baseVal.width;
      widths.push([text.textContent, own.width / scale]);
      if (ring && own.width > box.width) found.push(`${text.textContent} is wider than its ring`);
      if (parseFloat(getComputedStyle(text).fontSize) * scale < least)
        found.push(`${text.textContent} is small`);
    }
    marks.forEach(([words, a], at) => {
      if (a.left < frame.left - .5 || a.right > frame.right + .5 || a.top < frame.top - .5
          || a.bottom > frame.bottom + .5) found.push(`${words} leaves the sheet`);
      for (const [others, b] of marks.slice(at + 1)) {
        const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        if (across > .5 && down > .5) found.push(`${words} meets ${others}`);
      }
    });
  }
  return { found, widths, sheets: document.querySelectorAll("svg.dw-sheet").length };
}"""


@pytest.fixture(scope="module")
def sheets():
    """The pictures of every sheet without its tables, in both units."""
    plans = {**CASES, **demo_plans()}
    return [
        render(plan, unit, choice=choice)[1].split("<table", 1)[0] + "</figure>"
        for plan, unit in plans.values()
        for choice in CHOICES
    ]


def measured(window, sheets, *, media):
    window.emulate_media(media=media)
    style = f"{STYLE.read_text('utf-8')} figure {{ margin: 0 }} .dw-sheet text {{ font-family: {FACE} }}"
    body = f"<style>{style}</style><main>{''.join(sheets)}</main>"
    window.set_content(f"<!doctype html><meta charset=utf-8>{body}")
    if media == "screen":
        window.add_style_tag(content=f"main {{ inline-size: {PHONE_PX}px; margin: 0; padding: 0 }}")
    return window.evaluate(MEASURE, LEAST_PX[media])


@pytest.mark.slow
def test_no_label_meets_another_on_a_phone_and_each_fits_the_box_kept_free_for_it(open_browser, sheets):
    seen = measured(open_browser(width_px=390), sheets, media="screen")
    assert seen["sheets"] == 3 * len(sheets) >= 400
    assert seen["found"] == []
    texts = {(text, wide) for text, wide in seen["widths"] if len(text) > 2}  # shorter ones stand in rings
    assert len(texts) > 300
    assert [text for text, wide in texts if wide > text_width(text)] == []


@pytest.mark.slow
def test_no_label_meets_another_in_print(open_browser, sheets):
    width_px = round(PRINT_AREA_MM[0] * PX_PER_MM)
    seen = measured(open_browser(width_px=width_px), sheets, media="print")
    assert seen["sheets"] == 3 * len(sheets) >= 400
    assert seen["found"] == []


def test_printed_both_sections_stand_side_by_side_as_wide_as_their_scale_says(open_browser):
    window = open_browser(width_px=round(PRINT_AREA_MM[0] * PX_PER_MM))
    measured(window, [render(*CASES["balled"])[1].split("<table", 1)[0] + "</figure>"], media="print")
    boxes = [window.locator(f"[data-plate={name}]").bounding_box() for name in ("front", "side")]
    assert boxes[0]["y"] == boxes[1]["y"]
    assert boxes[0]["x"] + boxes[0]["width"] <= boxes[1]["x"] + 0.5
    assert [box["width"] / PX_PER_MM for box in boxes] == pytest.approx([PRINT_WIDTH_MM] * 2, abs=0.1)


def test_a_label_that_was_moved_is_seen(open_browser):
    window = open_browser(width_px=390)
    one = [render(*CASES["balled"])[1].split("<table", 1)[0] + "</figure>"]
    assert measured(window, one, media="screen")["found"] == []
    window.evaluate(
        """() => {
          const [one, two] = document.querySelectorAll("g[data-part] text");
          two.setAttribute("y", one.getAttribute("y"));
        }"""
    )
    assert len(window.evaluate(MEASURE, LEAST_PX["screen"])["found"]) >= 1
