"""A signed-in person of the workshop, a second one, and the forms as a browser would send them."""

import re
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image


@pytest.fixture
def tobin(client_of, django_user_model):
    """Return the browser of the person who works at the bench in the factories."""
    return client_of(
        django_user_model.objects.create_user("tobin@q.example", None, name="Tobin Ashgrove", role="workshop")
    )


@pytest.fixture
def wren(client_of, django_user_model):
    """Return the browser of the second person."""
    return client_of(
        django_user_model.objects.create_user("wren@q.example", None, name="Wren Castlemoor", role="workshop")
    )


@pytest.fixture
def page_of(tobin):
    """Return a function that gives a page of a job as text: `page_of(job, "inspect/")`."""

    def get(job, part=""):
        return tobin.get(f"/workshop/jobs/{job.number}/{part}").content.decode()

    return get


@pytest.fixture
def send(tobin):
    """Return a function that sends a form on a job with the count the person saw."""

    def post(job, page, *, browser=None, seen=None, **fields):
        job.refresh_from_db()
        count = job.event_count if seen is None else seen
        return (browser or tobin).post(f"/workshop/jobs/{job.number}/{page}/", {"seen": count, **fields})

    return post


def a_photo(name="carton.jpg"):
    """Return a small photo as a browser uploads it."""
    out = BytesIO()
    Image.new("RGB", (400, 300), (120, 110, 90)).save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), content_type="image/jpeg")


def main_of(html):
    """Return the words of the main part of a page, tags taken out."""
    main = html.split("<main", 1)[1].split("</main>", 1)[0]
    return " ".join(re.sub(r"<[^>]+>", " ", main).split())


def large_action(page):
    """Return the words of the one large action of a job's page."""
    assert page.count("action large") == 1, page.count("action large")
    return page.split("action large", 1)[1].split(">", 1)[1].split("<", 1)[0]
