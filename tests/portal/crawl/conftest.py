"""One filled shop, served for real, and one browser, for every page of the crawl."""

from dataclasses import dataclass
from urllib.parse import urlsplit

import pytest
from django.conf import settings
from django.test import override_settings

from tests.portal.conftest import open_for_looking
from tests.portal.samples import Page
from tests.portal.site import Site


@pytest.fixture(scope="package")
def seeded(django_db_setup, django_db_blocker, tmp_path_factory):
    """Return the filled shop; its rows stay for the whole crawl."""
    with open_for_looking(django_db_blocker, media=tmp_path_factory.mktemp("media")) as site:
        yield site


@pytest.fixture(scope="package")
def transactional_db(seeded):
    """Stand in place of the database that is emptied after each test: the crawl looks and changes nothing."""


@dataclass
class OnAir:
    """The served shop and the browser that looks at it."""

    address: str
    site: Site
    browser: object
    complaints: list[str]

    def open(self, page: Page, *, width_px=390, scheme="light", **options):
        """Return a browser window with the page in it, opened by its own reader."""
        context = self.browser.new_context(
            viewport={"width": width_px, "height": 800},
            color_scheme=scheme,
            locale="en-GB",
            timezone_id="Europe/London",
            reduced_motion="reduce",
            **options,
        )
        context.set_default_timeout(20_000)
        reader = page.open_as_reader(self.site)
        cookie = reader.cookies.get(settings.SESSION_COOKIE_NAME)
        if cookie is not None:
            context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": self.address}])
        window = context.new_page()
        self.complaints.clear()
        window.on("console", self._note_message)
        window.on("pageerror", lambda error: self.complaints.append(str(error)))
        window.on("request", self._note_request)
        window.goto(self.address + page.address(self.site))
        return window

    def _note_message(self, message):
        if message.type in {"error", "warning"}:
            self.complaints.append(message.text)

    def _note_request(self, request):
        if urlsplit(request.url).scheme in {"http", "https"} and not request.url.startswith(self.address):
            self.complaints.append(f"asked another host: {request.url}")


@pytest.fixture(scope="package")
def on_air(transactional_db, seeded, chromium):
    """Return the shop on a free port of this machine, with a browser."""
    from pytest_django.live_server_helper import LiveServer

    server = LiveServer("localhost")
    with override_settings(SITE_URL=server.url, CSRF_TRUSTED_ORIGINS=[server.url]):
        yield OnAir(server.url, seeded, chromium, [])
    server.stop()


@pytest.fixture
def open_page(on_air):
    """Return a function that opens a page in a window of its own; all windows are closed afterwards."""
    windows = []

    def open_window(page, **options):
        windows.append(on_air.open(page, **options))
        return windows[-1]

    yield open_window
    for window in windows:
        window.context.close()
