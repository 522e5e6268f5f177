"""The owner's page tells of photos that the worker gave up, and has them tried again."""

from io import BytesIO

import pytest
from django.urls import reverse
from PIL import Image

from jobs.models import Photo
from jobs.photos.limits import MOST_FAULTS
from jobs.services import photos
from tests.factories import NOW, WORKSHOP, make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(db, person, client_of):
    return client_of(person("owner"))


def test_a_photo_that_the_worker_gave_up_is_told_and_can_be_tried_again(owner):
    picture = BytesIO()
    Image.new("RGB", (64, 48), (90, 90, 90)).save(picture, "JPEG")
    job = make_job(stage="arrived")
    photo = photos.add_photo(
        picture, booking=None, job=job, role="carton", shot="", caption="", actor=WORKSHOP, now=NOW
    )
    assert "could not be prepared" not in owner.get(reverse("owner:dashboard")).content.decode()
    Photo.objects.update(faults=MOST_FAULTS, last_fault="No space left on device")
    page = owner.get(reverse("owner:dashboard")).content.decode()
    assert [words for words in ("No space left on device", "Given up") if words not in page] == []
    again = reverse("owner:prepare_again", args=[photo.reference])
    assert "is tried again now" in owner.post(again, follow=True).content.decode()
    photo.refresh_from_db()
    assert (photo.faults, photo.last_fault) == (0, "")
    assert "nothing is left to try" in owner.post(again, follow=True).content.decode()
