"""What holds for every test: no network but this machine, fixed clocks, and a browser on request."""

import gc
import os
import random
import secrets
import shutil
import socket
from pathlib import Path

import hypothesis
import pytest

# The same engine of the same release; without a window round it a page takes a quarter of the processor time.
CHROMIUMS = (Path("/usr/lib/chromium/chromium-headless-shell"), Path("/usr/bin/chromium"))
CHROMIUM_FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
LOOPBACK = {"127.0.0.1", "::1", "localhost", ""}


class NetworkRefused(Exception):
    """A test reached for another machine."""


def pytest_configure(config):
    """Refuse every connection that leaves this machine, for the whole run.

    Every run tries the same examples, and none fails because the machine was busy with something else.
    """
    hypothesis.settings.register_profile("suite", deadline=None, derandomize=True, database=None)
    hypothesis.settings.load_profile("suite")
    plain_connect = socket.socket.connect

    def connect(self, address):
        if self.family in (socket.AF_INET, socket.AF_INET6) and address[0] not in LOOPBACK:
            raise NetworkRefused(f"Tests stay on this machine; {address[0]} is elsewhere.")
        return plain_connect(self, address)

    socket.socket.connect = connect

    from django.conf import settings

    settings.STATIC_ROOT.mkdir(mode=0o700, parents=True, exist_ok=True)


def pytest_collection_modifyitems(items):
    """Mark by folder what runs on both databases and what asks for pages, so that nobody has to remember."""
    for item in items:
        parts = set(Path(item.fspath).parts)
        if {"database", "journeys"} & parts:
            item.add_marker(pytest.mark.both_databases)
        if "portal" in parts and {"customer", "workshop", "owner", "accounts"} & parts:
            item.add_marker(pytest.mark.page)


def pytest_collection_finish():
    """Look for unreachable objects rarely, and never among what was there before the first test.

    Thousands of collected tests and the loaded libraries outlive every test; going through them again and
    again took a sixth of the processor time of the tests that ask for pages.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 100)


def pytest_unconfigure(config):
    """Take away what the run wrote outside the checkout."""
    from django.conf import settings

    if settings.configured and hasattr(settings, "RUN_DIR"):
        shutil.rmtree(settings.RUN_DIR, ignore_errors=True)


@pytest.fixture(autouse=True)
def _own_media(settings, tmp_path):
    """Give every test its own folder for photos."""
    settings.MEDIA_ROOT = tmp_path / "media"


@pytest.fixture(autouse=True)
def _own_job_numbers(request, monkeypatch):
    """Draw the same job numbers for a test in every run: a forecast draws the luck of a unit by its number.

    With new numbers in every run, a test that reads days off a forecast failed once in forty.
    """
    monkeypatch.setattr(secrets, "randbelow", random.Random(request.node.nodeid).randrange)


@pytest.fixture
def person(django_user_model):
    """Return a function that makes a person of the shop: `person("owner")`, `person("workshop")`."""

    def make(role, *, email="", password=None):
        return django_user_model.objects.create_user(
            email or f"{role}@quillfeather.example", password, name=f"Somebody of the {role}", role=role
        )

    return make


@pytest.fixture
def client_of(client):
    """Return a function that signs a person in: `client_of(person("owner")).get(...)`."""
    from datetime import UTC, datetime

    from django.test import Client

    def sign_in(somebody):
        browser = Client()
        browser.force_login(somebody)
        session = browser.session
        session["staff_began_at"] = session["staff_seen_at"] = datetime.now(UTC).timestamp()
        session.save()
        return browser

    return sign_in


@pytest.fixture(scope="session")
def chromium():
    """Return a running Chromium, or skip with one line when there is none; under CI that is a failure."""
    program = next((path for path in CHROMIUMS if path.exists()), None)
    if program is None:
        sentence = f"No browser at {CHROMIUMS[-1]}: run `apt-get install chromium` to see the pages tested."
        if os.environ.get("CI", "").lower() in {"1", "true"}:
            pytest.fail(sentence)
        pytest.skip(sentence)
    from playwright.sync_api import sync_playwright

    # The browser's driver keeps an event loop in this thread; Django would refuse the database because of it.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=str(program), args=CHROMIUM_FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def open_browser(chromium):
    """Return a function that opens a fresh browser window: `open_browser(width_px=360, scheme="dark")`."""
    contexts = []

    def open_window(*, width_px=360, height_px=740, scheme="light", **options):
        context = chromium.new_context(
            viewport={"width": width_px, "height": height_px},
            color_scheme=scheme,
            locale="en-GB",
            timezone_id="Europe/London",
            **options,
        )
        context.set_default_timeout(45_000)  # a loaded machine is slow, not broken
        contexts.append(context)
        return context.new_page()

    yield open_window
    for context in contexts:
        context.close()


@pytest.fixture
def live_site(live_server, settings):
    """Return the address of the site, served for real on a free port of this machine."""
    settings.SITE_URL = live_server.url
    settings.CSRF_TRUSTED_ORIGINS = [live_server.url]
    return live_server.url
