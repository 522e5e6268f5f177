"""Photos through the services: kept as sent, converted by the worker, refused in words."""

from datetime import timedelta
from io import BytesIO
from pathlib import Path

import pytest
from django.conf import settings
from django.db.models.fields.files import FieldFile
from PIL import Image

from jobs.domain.actors import Actor
from jobs.domain.stages import Role
from jobs.models import Photo
from jobs.photos.errors import PhotoRefused
from jobs.photos.intake import convert
from jobs.photos.limits import (
    BYTES_PER_JOB_FROM_CUSTOMER,
    MOST_BYTES,
    MOST_TRIES,
    PHOTOS_PER_JOB_FROM_CUSTOMER,
    TRY_AGAIN_MINUTES,
)
from jobs.services import bookings, photos
from tests.factories import NOW, WORKSHOP, make_booking
from tests.jobs.photos import corpus

pytestmark = pytest.mark.django_db
CUSTOMER = Actor(role=Role.CUSTOMER, name="Ada Thornby")


@pytest.fixture
def booking():
    return make_booking()


def add(booking, raw, *, job=None, actor=CUSTOMER, shot="whole", now=NOW):
    return photos.add_photo(
        BytesIO(raw), booking=booking, job=job, role="before", shot=shot, caption="", actor=actor, now=now
    )


def convert_all():
    count = 0
    while photos.convert_next(now=NOW):
        count += 1
    return count


def stored():
    root = Path(settings.MEDIA_ROOT)
    return sorted(path for path in root.rglob("*") if path.is_file()) if root.exists() else []


REFUSED_AT_ONCE = {
    **{name: (raw, word) for name, (raw, word) in corpus.wrong_types().items()},
    "empty": (b"", "empty"),
    "too big": (corpus.make_jpeg() + bytes(MOST_BYTES), "the most is 20 MB"),
    "too many pixels": (corpus.make_png_claiming(width_px=60_000, height_px=60_000), "megapixel"),
    "moving webp": (corpus.make_animation(kind="WEBP"), "moves"),
    "moving png": (corpus.make_animation(kind="PNG"), "moves"),
}


@pytest.mark.parametrize("name", REFUSED_AT_ONCE)
def test_a_hostile_or_wrong_file_is_refused_in_words_and_nothing_is_kept(booking, name):
    raw, word = REFUSED_AT_ONCE[name]
    with pytest.raises(PhotoRefused, match=word):
        add(booking, raw)
    assert not Photo.objects.exists()
    assert stored() == []


def test_a_photo_waits_as_it_was_sent_under_a_name_of_ours(booking):
    raw = corpus.make_jpeg()
    photo = add(booking, raw)
    assert photo.state == "waiting"
    (kept,) = stored()
    assert kept.read_bytes() == raw
    assert kept.name.startswith(photo.reference.hex)
    assert kept.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("name", corpus.good_photos())
def test_a_good_photo_becomes_two_pictures_and_the_raw_file_goes(booking, name):
    photo = add(booking, corpus.good_photos()[name])
    assert convert_all() == 1
    photo.refresh_from_db()
    assert (photo.state, photo.raw.name, photo.refusal) == ("ready", "", "")
    assert {path.parent.name for path in stored()} == {"page", "thumb"}
    with Image.open(photo.page.path) as page:
        assert page.size == (photo.width_px, photo.height_px)


def test_nothing_of_the_place_and_the_camera_is_left_in_the_kept_files(booking):
    raw = (corpus.FILES / "photo_gps_rotated.jpg").read_bytes()
    assert b"Exif" in raw
    photo = add(booking, raw)
    convert_all()
    photo.refresh_from_db()
    kept = stored()
    assert len(kept) == 2
    for path in kept:
        assert [mark for mark in corpus.ACTIVE_CONTENT if mark in path.read_bytes()] == []
        with Image.open(path) as picture:
            assert not picture.getexif()
    assert photo.height_px > photo.width_px


POLYGLOT = corpus.make_jpeg() + b"<html>" + corpus.SCRIPT + corpus.make_zip()


def test_what_was_hidden_behind_a_photo_is_not_kept(booking):
    add(booking, POLYGLOT)
    convert_all()
    assert len(stored()) == 2
    for path in stored():
        assert [mark for mark in corpus.ACTIVE_CONTENT if mark in path.read_bytes()] == []


@pytest.mark.parametrize(
    "raw",
    [corpus.make_jpeg()[:4000], corpus.make_png()[:3000], corpus.make_scan_bomb()],
    ids=["half a jpeg", "half a png", "endless scans"],
)
def test_a_photo_that_cannot_be_decoded_is_refused_with_the_reason_and_its_file_goes(booking, raw):
    photo = add(booking, raw)
    assert convert_all() == 1
    photo.refresh_from_db()
    assert photo.state == "refused"
    assert "could not be read to its end" in photo.refusal
    assert stored() == []


def test_a_photo_whose_file_is_gone_is_refused_and_the_next_one_goes_on(booking):
    lost = add(booking, corpus.make_jpeg())
    Path(lost.raw.path).unlink()
    good = add(booking, corpus.make_jpeg(), now=NOW + timedelta(seconds=1))
    assert convert_all() == 2
    lost.refresh_from_db()
    good.refresh_from_db()
    assert (lost.state, good.state) == ("refused", "ready")
    assert "Send it again" in lost.refusal


def test_of_two_workers_with_the_same_photo_one_keeps_its_files(booking):
    photo = add(booking, corpus.make_jpeg())
    with photo.raw.open("rb") as raw:
        converted = convert(raw.read())
    first, second = Photo.objects.get(), Photo.objects.get()
    photos.keep_converted(first, converted=converted)
    photos.keep_converted(second, converted=converted)
    photo.refresh_from_db()
    assert sorted(map(str, stored())) == sorted([photo.page.path, photo.thumb.path])


def test_a_withdrawn_photo_is_not_converted_and_its_row_stays(booking):
    photo = add(booking, corpus.make_jpeg())
    photos.withdraw_photo(photo, now=NOW)
    assert convert_all() == 0
    photo.refresh_from_db()
    assert photo.withdrawn_at == NOW


def test_a_blurred_stamp_gets_a_hint_and_any_other_shot_none(booking):
    flat = corpus.write(Image.new("RGB", (1200, 900), (90, 90, 90)), kind="JPEG")
    stamp = add(booking, flat, shot="number")
    other = add(booking, flat, shot="whole")
    convert_all()
    stamp.refresh_from_db()
    other.refresh_from_db()
    assert stamp.hint
    assert not other.hint


def test_a_customer_sends_so_many_photos_and_no_more_before_and_after_booking(booking):
    raw = corpus.make_jpeg()
    for _ in range(PHOTOS_PER_JOB_FROM_CUSTOMER):
        first = add(booking, raw)
    with pytest.raises(photos.TooManyPhotos, match="20 photos already"):
        add(booking, raw)
    job = bookings.send_booking(booking.reference, now=NOW)
    with pytest.raises(photos.TooManyPhotos):
        add(None, raw, job=job)
    photos.withdraw_photo(first, now=NOW)
    assert add(None, raw, job=job).state == "waiting"
    assert add(None, raw, job=job, actor=WORKSHOP).state == "waiting"


def with_room_taken(photo, *, stored_bytes):
    Photo.objects.filter(pk=photo.pk).update(stored_bytes=stored_bytes)


def test_a_customers_photos_of_one_unit_have_so_much_room_and_no_more(booking):
    raw = corpus.make_jpeg()
    first = add(booking, raw)
    assert first.stored_bytes == len(raw)
    with_room_taken(first, stored_bytes=BYTES_PER_JOB_FROM_CUSTOMER - len(raw))
    job = bookings.send_booking(booking.reference, now=NOW)
    assert add(None, raw, job=job).state == "waiting"
    with pytest.raises(photos.TooManyBytes, match="larger than 200 MB together"):
        add(None, raw, job=job)
    assert add(None, raw, job=job, actor=WORKSHOP).state == "waiting"
    assert add(make_booking(name="Bram Dunnage"), raw).state == "waiting"


def test_a_photo_counts_with_what_is_kept_of_it_and_with_nothing_when_refused(booking):
    good, cut = add(booking, corpus.make_jpeg()), add(booking, corpus.make_jpeg()[:4000])
    convert_all()
    good.refresh_from_db()
    cut.refresh_from_db()
    assert good.stored_bytes == good.page.size + good.thumb.size
    assert (cut.state, cut.stored_bytes) == ("refused", 0)


def test_a_photo_taken_off_still_counts_while_its_files_are_kept(booking):
    photo = add(booking, corpus.make_jpeg())
    convert_all()
    photos.withdraw_photo(Photo.objects.get(), now=NOW)
    with_room_taken(photo, stored_bytes=BYTES_PER_JOB_FROM_CUSTOMER)
    with pytest.raises(photos.TooManyBytes):
        add(booking, corpus.make_jpeg())


def test_a_photo_taken_off_before_it_was_prepared_keeps_no_file(booking):
    photo = add(booking, corpus.make_jpeg())
    photos.withdraw_photo(photo, now=NOW)
    photo.refresh_from_db()
    assert (photo.state, photo.stored_bytes, stored()) == ("refused", 0, [])


def killed(*_args):
    raise KeyboardInterrupt


@pytest.fixture
def crash(monkeypatch):
    """Return a way to take a photo up as a worker that is killed: the mark stays, nothing else happens."""

    def take_up(now):
        with monkeypatch.context() as storage:
            storage.setattr(FieldFile, "open", killed)
            with pytest.raises(KeyboardInterrupt):
                photos.convert_next(now=now)

    return take_up


def test_a_photo_that_takes_its_reader_down_lets_the_others_pass_and_is_given_up(booking, crash):
    bad = add(booking, corpus.make_jpeg())
    crash(NOW)
    good = add(booking, corpus.make_jpeg(), now=NOW + timedelta(seconds=1))
    assert convert_all() == 1
    good.refresh_from_db()
    bad.refresh_from_db()
    assert (good.state, bad.state, bad.tries) == ("ready", "waiting", 1)
    for tries in range(1, MOST_TRIES):
        crash(NOW + tries * timedelta(minutes=TRY_AGAIN_MINUTES, seconds=1))
    bad.refresh_from_db()
    assert (bad.state, bad.tries) == ("waiting", MOST_TRIES)
    assert photos.convert_next(now=NOW + timedelta(hours=1))
    bad.refresh_from_db()
    assert bad.state == "refused"
    assert "stopped the program that reads it" in bad.refusal
    assert not photos.convert_next(now=NOW + timedelta(hours=2))


def test_a_photo_whose_reader_was_killed_once_is_read_the_next_time(booking, crash):
    photo = add(booking, corpus.make_jpeg())
    crash(NOW)
    assert not photos.convert_next(now=NOW + timedelta(minutes=1))
    assert photos.convert_next(now=NOW + timedelta(minutes=TRY_AGAIN_MINUTES, seconds=1))
    photo.refresh_from_db()
    assert photo.state == "ready"


def test_photos_of_a_booking_go_with_it_to_the_job(booking):
    photo = add(booking, corpus.make_jpeg())
    job = bookings.send_booking(booking.reference, now=NOW)
    photo.refresh_from_db()
    assert photo.job == job


def test_a_photo_that_arrives_behind_its_booking_goes_to_the_job_too(booking):
    job = bookings.send_booking(booking.reference, now=NOW)
    assert add(booking, corpus.make_jpeg()).job == job
