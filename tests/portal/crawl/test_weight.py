"""What a page costs on a weak connection, and the rules its answer carries."""

import gzip
import re
from urllib.parse import urlsplit

import pytest

from portal.shared.gates import Audience
from tests.portal.samples import Reader, pages

pytestmark = [pytest.mark.browser]
CUSTOMER_MOST_BYTES, STAFF_MOST_BYTES = 30_000, 60_000
REQUESTS_MOST = 8
ASKED = "performance.getEntriesByType('resource').map((entry) => entry.name)"
STAFF = {Reader.WORKSHOP, Reader.OWNER}
SHOWN = [page for page in pages() if page.sample.get == 200 and page.is_html]
ONE_EACH = list({page.route.name: page for page in reversed(SHOWN)}.values())


def is_photo(address):
    return re.search(r"/photos/[0-9a-f-]{36}/", urlsplit(address).path) is not None


@pytest.mark.parametrize("page", ONE_EACH, ids=lambda page: page.label)
def test_it_is_light_and_asks_for_little(page, open_page):
    window = open_page(page)
    asked = {window.url.split("#")[0], *window.evaluate(ASKED)}
    weights = {
        address: len(gzip.compress(window.request.get(address).body(), 6))
        for address in asked
        if not is_photo(address)
    }
    most = STAFF_MOST_BYTES if page.reader in STAFF else CUSTOMER_MOST_BYTES
    assert weights
    assert sum(weights.values()) < most, weights
    assert len(weights) <= REQUESTS_MOST


@pytest.mark.parametrize("page", SHOWN, ids=lambda page: page.label)
def test_its_answer_carries_the_strict_rules(page, seeded):
    response = page.open_as_reader(seeded).get(page.address(seeded))
    policy = response.headers["Content-Security-Policy"]
    directives = dict(part.strip().split(" ", 1) for part in policy.split(";"))
    assert "unsafe" not in policy
    assert directives["default-src"] == "'self'"
    for closed in ("object-src", "base-uri", "frame-ancestors"):
        assert directives[closed] == "'none'", closed
    assert directives["form-action"] == "'self'"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert response.headers["X-Frame-Options"] == "DENY"
    assert response.headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert response.headers["Referrer-Policy"] in {"same-origin", "strict-origin"}
    if page.route.audience is not Audience.PUBLIC or page.sample.draft:
        assert "no-store" in response.headers["Cache-Control"]
