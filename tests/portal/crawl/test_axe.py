"""No page breaks a rule that axe-core can see: at three widths, on light and on dark paper."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.portal.samples import pages

pytestmark = [pytest.mark.browser]
SHOWN = [page for page in pages() if page.sample.get == 200 and page.is_html]
# Which rules can come out otherwise on dark paper: those about colours. All others read the same document.
COLOUR_RULES = {"runOnly": ["color-contrast", "link-in-text-block"], "resultTypes": ["violations"]}
# Every page in all six ways; its further states (a job at each stage) once on light and once on dark paper.
FIRST_STATES = {page.route.name: page for page in reversed(SHOWN)}
ALL_WAYS = [(width_px, scheme) for width_px in (390, 320, 1280) for scheme in ("light", "dark")]
FEWER_WAYS = [(320, "light"), (1280, "dark")]
ALL_RULES = {"resultTypes": ["violations"]}


@pytest.mark.parametrize("page", SHOWN, ids=lambda page: page.label)
def test_no_rule_of_axe_is_broken(page, open_page):
    # Injected scripts need the bypass; that the rules themselves hold is tested in test_layout.py.
    window = open_page(page, bypass_csp=True)
    window.evaluate(Axe().axe_script)
    found = []
    for width_px, scheme in ALL_WAYS if FIRST_STATES[page.route.name] is page else FEWER_WAYS:
        window.set_viewport_size({"width": width_px, "height": 800})
        window.emulate_media(color_scheme=scheme)
        rules = ALL_RULES if scheme == "light" else COLOUR_RULES
        result = window.evaluate("rules => axe.run(document, rules)", rules)
        for violation in result["violations"]:
            where = [node["target"] for node in violation["nodes"]][:4]
            found.append((width_px, scheme, violation["id"], where))
    assert found == []
