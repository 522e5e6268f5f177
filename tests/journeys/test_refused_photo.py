"""A photo that is refused for what it is: the page says why, and does not offer to try the same one again."""

import pytest
from playwright.sync_api import expect

from jobs.models import Photo
from tests import factories as make

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
LARGE = {"name": "large.tif", "mimeType": "image/tiff", "buffer": b"II*\x00" + b"\x00" * 400_000}
LETTER = {"name": "letter.pdf", "mimeType": "application/pdf", "buffer": b"%PDF-1.7\n" + b"0" * 400}
EMPTY = {"name": "empty.jpg", "mimeType": "image/jpeg", "buffer": b""}


@pytest.fixture
def customer(shop, come_in, settings, request):
    """Return a visitor at the photos of their booking, on a site that takes files up to 200 000 bytes."""
    settings.UPLOAD_MAX_FILE_BYTES = 200_000
    visitor = come_in(shop, has_script=request.param)
    visitor.visit("/book/family/")
    visitor.choose("Carburettor")
    visitor.click("Continue")
    visitor.visit("/book/photos/")
    return visitor


@pytest.mark.parametrize("customer", [True], indirect=True, ids=["with scripts"])
@pytest.mark.parametrize(
    ("file", "why"),
    [
        (LARGE, "One of the files is larger than"),
        (LETTER, "JPEG, PNG, WebP or HEIC"),
        (EMPTY, "This file is empty"),
    ],
    ids=["too large", "wrong kind", "empty"],
)
def test_what_cannot_help_is_not_offered(customer, file, why):
    customer.page.locator("input[type=file]").first.set_input_files([file])
    row = customer.page.locator(".uploads > li")
    expect(row).to_contain_text(why)
    expect(row.get_by_role("button")).to_have_text(["Leave out"])
    assert "Check the connection" not in row.inner_text()


def test_the_workshop_is_not_offered_it_either(shop, sign_in):
    job = make.make_job(stage="posted")
    worker = sign_in(shop, name="Tobin Ashgrove", role="workshop", has_script=True)
    worker.visit(f"/workshop/jobs/{job.number}/receive/")
    worker.page.locator("input[type=file]").first.set_input_files([LETTER])
    row = worker.page.locator(".uploads > li")
    expect(row).to_contain_text("JPEG, PNG, WebP or HEIC")
    expect(row.get_by_role("button")).to_have_text(["Leave out"])


@pytest.mark.parametrize("customer", [True], indirect=True, ids=["with scripts"])
def test_a_lost_connection_may_be_tried_again(customer):
    customer.page.context.set_offline(True)
    customer.page.locator("input[type=file]").first.set_input_files([LETTER])
    row = customer.page.locator(".uploads > li")
    expect(row).to_contain_text("Check the connection")
    expect(row.get_by_role("button")).to_have_text(["Try again", "Leave out"])


@pytest.mark.parametrize("customer", [False], indirect=True, ids=["without scripts"])
def test_a_photo_too_large_leads_back_to_the_photos(customer):
    customer.page.locator("input[type=file]").first.set_input_files([LARGE])
    customer.click("Save these photos", first=True)
    customer.sees("larger than")
    customer.click("Back to the page you came from")
    assert customer.heading() == "Photos of the unit"
    assert Photo.objects.count() == 0
