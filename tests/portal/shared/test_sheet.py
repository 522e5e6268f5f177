"""The sheet: the stylesheet's budget and contrast, nothing inline, a style guide of every part."""

import gzip
import re
from datetime import date
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth.models import AnonymousUser
from django.template.loader import render_to_string
from django.test import RequestFactory

from portal.owner.samples import style_sample
from portal.shared.refusals import bad_request, fault, form_too_old, not_allowed, not_found

ROOT = Path(settings.BASE_DIR)
CSS = (ROOT / "static" / "style.css").read_text()
COMPONENTS = sorted((ROOT / "templates" / "components").glob("_*.html"))
# Mails carry their style inline, because mail programs read no stylesheet.
PAGES = sorted(path for path in (ROOT / "templates").rglob("*.html") if "emails" not in path.parts)
INSIDE_OTHERS = {"_error_line", "_pager", "_photo", "_back", "_origin", "_shape", "_stage"}
SHOWN = [path for path in COMPONENTS if path.stem not in INSIDE_OTHERS]
SHOP = {"name": "Quillfeather Fuel & Spark", "phone": "01632 960 118", "email": "a@quillfeather.example"}


def guide():
    context = {**style_sample(today=date(2026, 5, 12)), "shop": SHOP}
    return render_to_string("owner/styleguide.html", context, RequestFactory().get("/"))


def luminance(colour):
    """WCAG 2.2, relative luminance of an sRGB colour."""
    channels = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def colours(scheme):
    blocks = re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)
    text = blocks[0] if scheme == "light" else blocks[1]
    found = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{3,6})(?=;)", text))
    return {
        name: value if len(value) == 7 else "#" + "".join(c * 2 for c in value[1:])
        for name, value in found.items()
    }


def test_the_contrast_sum_agrees_with_the_published_ends():
    # WCAG 2.2, contrast ratio: "can range from 1 to 21"; #767676 on white is the well-known 4.54 : 1.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", ["ink", "muted", "warn"])
@pytest.mark.parametrize("ground", ["paper", "sheet", "field"])
def test_text_is_readable_on_every_ground(scheme, name, ground):
    assert contrast(colours(scheme)[name], colours(scheme)[ground]) >= 4.5


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_controls_and_the_main_action_stand_out(scheme):
    found = colours(scheme)
    assert contrast(found["edge"], found["sheet"]) >= 3
    assert contrast(found["edge"], found["field"]) >= 3
    assert contrast(found["accent"], found["sheet"]) >= 3
    assert contrast(found["accent-ink"], found["accent"]) >= 4.5
    assert contrast(found["accent-ink"], found["accent-hover"]) >= 4.5


def test_the_stylesheet_fits_its_budget():
    assert len(gzip.compress(CSS.encode(), 9)) < 10_000


def test_the_stylesheet_fetches_nothing():
    assert "url(" not in CSS
    assert "@import" not in CSS


@pytest.mark.parametrize("template", PAGES, ids=lambda path: path.stem)
def test_no_template_has_inline_style_or_script(template):
    text = template.read_text()
    assert not re.search(r"\sstyle\s*=", text)
    assert not re.search(r"<style|\son[a-z]+\s*=\s*[\"']", text)
    assert not re.search(r"<script(?![^>]*\ssrc=)", text)


@pytest.mark.parametrize("component", COMPONENTS, ids=lambda path: path.stem)
def test_every_component_names_its_context(component):
    assert re.match(r"\{% comment %\}.*Context: .+?\{% endcomment %\}", component.read_text(), re.DOTALL)


@pytest.mark.parametrize("component", SHOWN, ids=lambda path: path.stem)
def test_the_style_guide_shows_every_component(component):
    pages = "".join(
        (ROOT / "templates" / name).read_text() for name in ("owner/styleguide.html", "base.html")
    )
    assert f"components/{component.name}" in pages


def test_the_style_guide_has_one_main_heading_and_no_id_twice():
    html = guide()
    assert html.count("<h1>") == 1
    ids = re.findall(r'\sid="([^"]+)"', html)
    assert len(ids) > 40
    assert sorted(set(ids)) == sorted(ids)


def test_every_chart_repeats_its_numbers_in_a_table():
    html = guide()
    charts = re.findall(r'<figure class="chart".*?</figure>', html, re.DOTALL)
    assert len(charts) == 6
    for chart in charts:
        assert re.search(r"<svg[^>]*role=\"img\"[^>]*aria-labelledby=.*?<title.*?<desc", chart, re.DOTALL)
        assert len(re.findall(r"<tr>", chart)) >= 4


def test_the_title_of_a_page_ends_with_the_shop_and_the_help_is_in_its_place():
    html = guide()
    assert "<title>Style guide - Quillfeather Fuel &amp; Spark</title>" in html
    assert html.index("</main>") < html.index('class="title-block"') < html.index('class="help"')
    assert 'href="tel:01632960118"' in html


def test_the_page_for_a_fault_needs_nothing_from_the_site():
    text = fault(RequestFactory().get("/")).content.decode()
    assert "<h1>Something went wrong here</h1>" in text
    assert [sign for sign in ("{%", "{{", "href=", "src=") if sign in text] == []


@pytest.mark.django_db
@pytest.mark.parametrize("refuse", [bad_request, not_allowed, not_found, form_too_old])
def test_pages_for_refusals_say_what_to_do(refuse):
    request = RequestFactory().get("/")
    request.user = AnonymousUser()
    html = refuse(request).content.decode()
    assert html.count("<h1>") == 1
    assert "data-refusal" in html
    assert not re.search(r"\b(please|sorry|invalid|forbidden|oops)\b", html, re.IGNORECASE)
