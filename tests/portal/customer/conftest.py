"""Browsers for the customer pages: a stranger, one in the middle of a booking, one that was let in."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from PIL import Image

from jobs.selectors import customer_jobs
from jobs.selectors.customer_when import see_when
from jobs.services import links
from tests.factories import open_shop


@pytest.fixture
def shop(db):
    """Publish the demo shop."""
    open_shop()


@pytest.fixture
def let_in():
    """Return a function that gives a browser holding the grant of a job's customer."""

    def browser_of(job):
        browser = Client()
        token = links.issue_job_link(job, now=timezone.now())
        answer = browser.post(f"/open/{token}/")
        assert answer.status_code == 302
        return browser

    return browser_of


@pytest.fixture
def photo_file():
    """Return a function that makes a small photo as a browser sends it."""

    def make(name="IMG_1.jpg", colour=(90, 90, 90)):
        out = BytesIO()
        Image.new("RGB", (64, 48), colour).save(out, "JPEG")
        return SimpleUploadedFile(name, out.getvalue(), content_type="image/jpeg")

    return make


ANSWERS = {
    "family": {"family": "carburettor"},
    "number": {"number_as_read": "KV4O8IB", "number_kind": "list", "number_where": "flange"},
    "model": {"unit_model": "tolvane-kv4081"},
    "fitted-to": {"fitted_to": "Launch of 1961"},
    "symptoms": {"symptoms": ["uneven_idle"], "flags": ["seized"], "own_words": "It hunts."},
    "photos": {"go_on": "1"},
    "contact": {
        "name": "Ada Thornby",
        "email": "ada@example.com",
        "phone": "01632 960 555",
        "address_lines": "2 Quay Cottages\nSaltmere",
        "postal_code": "SA1 2BC",
        "country": "England",
        "unit_choice": "imperial",
    },
    "wishes": {"wished_on": ""},
    "limit": {"limit_pounds": "50"},
}


@pytest.fixture
def write_booking(shop, client):
    """Return a function that answers every question up to and including `last` in one browser."""

    def write(*, last="limit", browser=None, **changes):
        browser = browser or client
        for step, answer in ANSWERS.items():
            browser.post(f"/book/{step}/", {**answer, **changes.get(step, {})})
            if step == last:
                break
        return browser

    return write


@pytest.fixture
def told(shop, let_in):
    """Return a function that gives the part of a job's page about when it is back, and its state."""

    def read(job):
        job.refresh_from_db()
        state = see_when(customer_jobs.see_job(job), now=timezone.now()).state
        page = let_in(job).get(f"/job/{job.number}/").content.decode().replace("&#x27;", "'")
        part = page.split('id="when"')[1].split("</section>")[0] if 'id="when"' in page else ""
        return state, part

    return read
