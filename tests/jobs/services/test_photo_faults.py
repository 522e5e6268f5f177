"""What is no fault of the photo never costs it: it waits, is tried again later and later, and is kept."""

import errno
import sys
from datetime import timedelta
from io import BytesIO
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.storage import FileSystemStorage
from django.db.models.fields.files import FieldFile
from PIL import Image

from jobs.models import Photo
from jobs.photos import codecs
from jobs.photos.limits import MOST_FAULTS, MOST_TRIES, TRY_AGAIN_MINUTES
from jobs.selectors.unprepared_photos import unprepared_photos
from jobs.services import photos
from tests.factories import NOW, WORKSHOP, make_booking
from tests.jobs.photos import corpus

pytestmark = pytest.mark.django_db
SOON = timedelta(minutes=TRY_AGAIN_MINUTES, seconds=1)
MUCH_LATER = timedelta(days=1)


def add(raw=None, *, now=NOW):
    return photos.add_photo(
        BytesIO(raw or corpus.make_jpeg()), booking=make_booking(), job=None, role="before", shot="whole",
        caption="", actor=WORKSHOP, now=now,
    )  # fmt: skip


def stored(folder):
    return sorted(path for path in (Path(settings.MEDIA_ROOT) / folder).rglob("*") if path.is_file())


def too_many_files(*_args, **_kwargs):
    raise OSError(errno.EMFILE, "Too many open files")


def no_store(*_args, **_kwargs):
    raise RuntimeError("could not connect to the endpoint")


def no_memory(*_args, **_kwargs):
    raise MemoryError


def full_disk(self, name, content):
    """Write half of the file as a disk that fills up does, then fail."""
    path = Path(self.path(name))
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content.read()[:100])
    raise OSError(errno.ENOSPC, "No space left on device")


OUTAGES = {
    "no file can be opened": (FieldFile, "open", too_many_files),
    "the store does not answer": (FieldFile, "open", no_store),
    "no memory to open it": (Image, "open", no_memory),
    "no memory to draw it": (Image, "new", no_memory),
    "no file to be had while reading": (Image, "open", too_many_files),
    "the disk is full": (FileSystemStorage, "_save", full_disk),
}


@pytest.mark.parametrize("name", OUTAGES)
def test_a_photo_outlasts_a_fault_of_the_machine_and_is_ready_afterwards(monkeypatch, name):
    photo = add()
    with monkeypatch.context() as outage:
        outage.setattr(*OUTAGES[name])
        assert photos.convert_next(now=NOW)
    photo.refresh_from_db()
    assert (photo.state, len(stored("raw"))) == ("waiting", 1)
    assert not photos.convert_next(now=NOW + timedelta(minutes=1))
    assert photos.convert_next(now=NOW + SOON)
    photo.refresh_from_db()
    assert (photo.state, photo.last_fault, stored("raw")) == ("ready", "", [])


def test_a_disk_that_is_full_for_a_day_costs_no_photo_and_leaves_no_halves(monkeypatch):
    photo = add()
    rounds = 0
    with monkeypatch.context() as outage:
        outage.setattr(*OUTAGES["the disk is full"])
        for minutes in range(0, 24 * 60, 5):
            rounds += photos.convert_next(now=NOW + timedelta(minutes=minutes))
    photo.refresh_from_db()
    assert (photo.state, photo.tries) == ("waiting", 0)
    assert MOST_TRIES < rounds < MOST_FAULTS
    assert (stored("page"), stored("thumb"), len(stored("raw"))) == ([], [], 1)
    assert photos.convert_next(now=NOW + 2 * MUCH_LATER)
    photo.refresh_from_db()
    assert photo.state == "ready"


def test_each_wait_after_a_fault_is_longer_than_the_one_before(monkeypatch):
    photo = add()
    monkeypatch.setattr(*OUTAGES["no file can be opened"])
    waits = []
    for day in range(4):
        at = NOW + day * MUCH_LATER
        assert photos.convert_next(now=at)
        photo.refresh_from_db()
        waits.append(photo.not_before - at)
    assert waits == sorted(set(waits))


def test_a_photo_that_is_given_up_keeps_its_file_and_the_owner_can_have_it_tried_again(monkeypatch):
    photo = add()
    with monkeypatch.context() as outage:
        outage.setattr(*OUTAGES["the disk is full"])
        for day in range(MOST_FAULTS):
            assert photos.convert_next(now=NOW + day * MUCH_LATER)
    later = NOW + 60 * MUCH_LATER
    assert not photos.convert_next(now=later)
    (seen,) = unprepared_photos()
    assert (seen.reference, seen.is_given_up, seen.last_fault) == (
        photo.reference,
        True,
        "No space left on device",
    )
    assert len(stored("raw")) == 1
    assert photos.try_again(photo.reference)
    assert unprepared_photos() == ()
    assert photos.convert_next(now=later)
    photo.refresh_from_db()
    assert photo.state == "ready"
    assert not photos.try_again(photo.reference)


def test_a_fault_that_passes_by_itself_is_not_told_to_the_owner(monkeypatch):
    add()
    monkeypatch.setattr(*OUTAGES["no file can be opened"])
    assert photos.convert_next(now=NOW)
    assert unprepared_photos() == ()
    for day in range(1, 3):
        photos.convert_next(now=NOW + day * MUCH_LATER)
    (seen,) = unprepared_photos()
    assert (seen.is_given_up, seen.last_fault) == (False, "Too many open files")


@pytest.fixture
def heic_reader(monkeypatch, tmp_path):
    """Return a way to put another program in the place of the one that decodes HEIC photos."""

    def replace(program):
        script = tmp_path / "reader.py"
        script.write_text(program, encoding="utf-8")
        monkeypatch.setattr(codecs, "HEIC_READER", script)

    return replace


KILLED = "import os, signal\nos.kill(os.getpid(), signal.{})\n"
SLOW = "import time\ntime.sleep(30)\n"


@pytest.mark.parametrize("signal_name", ["SIGSEGV", "SIGKILL"])
def test_a_file_that_kills_its_decoder_each_time_is_refused_after_its_tries_and_kept(
    heic_reader, signal_name
):
    photo = add(corpus.read_heic())
    heic_reader(KILLED.format(signal_name))
    for tries in range(MOST_TRIES):
        assert photos.convert_next(now=NOW + tries * SOON)
        photo.refresh_from_db()
        assert (photo.state, photo.tries, photo.faults) == ("waiting", tries + 1, 0)
    assert photos.convert_next(now=NOW + MUCH_LATER)
    photo.refresh_from_db()
    assert photo.state == "refused"
    assert "stopped the program that reads it" in photo.refusal
    assert len(stored("raw")) == 1
    (seen,) = unprepared_photos()
    assert (seen.reference, seen.is_given_up) == (photo.reference, True)


def test_a_decoder_that_takes_too_long_is_a_fault_of_the_machine(heic_reader, monkeypatch):
    photo = add(corpus.read_heic())
    heic_reader(SLOW)
    monkeypatch.setattr(codecs, "HEIC_WAIT_S", 0.2)
    assert photos.convert_next(now=NOW)
    photo.refresh_from_db()
    assert (photo.state, photo.tries, photo.faults) == ("waiting", 0, 1)


def test_a_decoder_that_cannot_be_started_is_a_fault_of_the_machine(monkeypatch):
    photo = add(corpus.read_heic())
    with monkeypatch.context() as outage:
        outage.setattr(sys, "executable", "/nowhere/python")
        assert photos.convert_next(now=NOW)
    photo.refresh_from_db()
    assert (photo.state, photo.tries, photo.faults) == ("waiting", 0, 1)
    assert photos.convert_next(now=NOW + SOON)
    photo.refresh_from_db()
    assert photo.state == "ready"


def test_a_decoder_that_finds_no_library_is_a_fault_of_the_machine(heic_reader):
    photo = add(corpus.read_heic())
    heic_reader("import no_such_library_anywhere\n")
    assert photos.convert_next(now=NOW)
    photo.refresh_from_db()
    assert (photo.state, photo.tries, photo.faults) == ("waiting", 0, 1)


def test_a_damaged_heic_is_refused_at_once_and_its_file_goes():
    raw = corpus.read_heic()
    photo = add(raw[: len(raw) // 2])
    assert photos.convert_next(now=NOW)
    photo.refresh_from_db()
    assert photo.state == "refused"
    assert "could not be read to its end" in photo.refusal
    assert stored("raw") == []


def test_a_photo_that_cannot_be_kept_leaves_no_half_of_itself(monkeypatch):
    monkeypatch.setattr(*OUTAGES["the disk is full"])
    with pytest.raises(OSError, match="No space"):
        add()
    assert (Photo.objects.count(), stored("raw")) == (0, [])
