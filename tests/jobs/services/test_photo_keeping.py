"""What is kept of photos that belong to nothing any more: no file, and no row that nobody ever saw."""

import os
from datetime import timedelta
from io import BytesIO
from pathlib import Path

import pytest
from django.conf import settings

from jobs.domain.actors import Actor
from jobs.domain.stages import Role
from jobs.models import Photo
from jobs.photos.limits import MOST_FAULTS
from jobs.services import bookings, photos
from jobs.services.photo_keeping import GIVEN_UP_KEPT, clear_photos
from tests.factories import NOW, WORKSHOP, make_booking, make_job
from tests.jobs.photos import corpus

pytestmark = pytest.mark.django_db
CUSTOMER = Actor(role=Role.CUSTOMER, name="Ada Thornby")
DAY = timedelta(days=1)


def add(*, booking=None, job=None, actor=CUSTOMER, role="before", shot=""):
    return photos.add_photo(
        BytesIO(corpus.make_jpeg()), booking=booking, job=job, role=role, shot=shot, caption="",
        actor=actor, now=NOW,
    )  # fmt: skip


def convert_all():
    while photos.convert_next(now=NOW):
        continue


def stored():
    return sorted(path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file())


def age(path, *, at):
    os.utime(path, (at.timestamp(), at.timestamp()))


def test_a_photo_taken_off_a_booking_goes_a_day_later_with_its_files():
    booking = make_booking()
    removed, kept = add(booking=booking), add(booking=booking)
    convert_all()
    photos.withdraw_photo(removed, now=NOW)
    assert clear_photos(now=NOW + DAY / 2) == 0
    assert clear_photos(now=NOW + 2 * DAY) == 1
    assert list(Photo.objects.all()) == [kept]
    assert {path.name.split("-")[0] for path in stored()} == {kept.reference.hex}


def test_a_photo_taken_off_before_its_booking_was_sent_goes_too():
    booking = make_booking()
    photos.withdraw_photo(add(booking=booking), now=NOW)
    bookings.send_booking(booking.reference, now=NOW + DAY / 4)
    assert clear_photos(now=NOW + 2 * DAY) == 1
    assert (Photo.objects.count(), stored()) == (0, [])


def test_a_photo_that_the_shop_may_have_seen_stays_as_proof():
    job = make_job(stage="booked")
    photo = add(job=job)
    convert_all()
    photos.withdraw_photo(photo, now=NOW + DAY)
    assert clear_photos(now=NOW + 90 * DAY) == 0
    assert (Photo.objects.count(), len(stored())) == (1, 2)


def test_a_photo_withdrawn_with_its_finding_before_it_was_prepared_keeps_no_file():
    photo = add(job=make_job(stage="stripped"), actor=WORKSHOP, role="finding", shot="finding_3")
    Photo.objects.update(withdrawn_at=NOW)
    assert clear_photos(now=NOW) == 1
    photo.refresh_from_db()
    assert (photo.state, photo.raw.name, photo.stored_bytes, stored()) == ("refused", "", 0, [])


def test_the_file_of_a_refused_photo_that_was_given_up_goes_after_a_month():
    add(booking=make_booking())
    Photo.objects.update(state="refused", tried_at=NOW)
    assert clear_photos(now=NOW + GIVEN_UP_KEPT - DAY) == 0
    assert clear_photos(now=NOW + GIVEN_UP_KEPT + DAY) == 1
    assert (Photo.objects.get().raw.name, stored()) == ("", [])


def test_a_photo_that_waits_for_the_owner_keeps_its_file():
    add(booking=make_booking())
    Photo.objects.update(faults=MOST_FAULTS, tried_at=NOW)
    assert clear_photos(now=NOW + 2 * GIVEN_UP_KEPT) == 0
    assert len(stored()) == 1


@pytest.mark.parametrize("folder", ["raw", "page", "thumb"])
def test_a_file_that_no_photo_names_goes_after_a_day(folder):
    add(booking=make_booking())
    (named,) = stored()
    stray = Path(settings.MEDIA_ROOT) / folder / "left-by-a-stopped-worker"
    stray.parent.mkdir(exist_ok=True)
    stray.write_bytes(b"half of a photo")
    for path in (named, stray):
        age(path, at=NOW)
    assert clear_photos(now=NOW + DAY / 2) == 0
    assert clear_photos(now=NOW + 2 * DAY) == 1
    assert stored() == [named]


def test_files_of_another_database_are_left_alone():
    for _ in range(2):
        add(booking=make_booking())
    for path in stored():
        age(path, at=NOW)
    Photo.objects.all().delete()
    assert clear_photos(now=NOW + 2 * DAY) == 0
    assert len(stored()) == 2
