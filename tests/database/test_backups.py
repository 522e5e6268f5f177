"""A back-up taken beside a working shop, put back elsewhere, is the shop; a damaged one is not put back."""

import fcntl
import json
import os
import subprocess
import sys
import threading
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.base import ContentFile
from django.core.management import call_command
from django.db import connection, connections, transaction

from jobs.backups.database import FILES, engine_in_use
from jobs.backups.errors import BackupDamaged, BackupNotMade, TargetInUse
from jobs.backups.nightly import back_up_nightly, back_up_now, late_backup, put_back
from jobs.demo.five_people import five_people_shop
from jobs.domain.actors import Actor
from jobs.domain.shop import ShopKind
from jobs.domain.stages import Role
from jobs.models import Job, JobEvent, Photo
from jobs.services import photos
from portal.accounts.models import User
from tests.conventions.sources import ROOT
from tests.factories import NOW, make_booking, make_job, open_shop, publish

pytestmark = pytest.mark.django_db(transaction=True)
FILES_OF_TESTS = Path(__file__).parent.parent / "files"
LATER = NOW + timedelta(days=1)


@pytest.fixture(autouse=True)
def backups(settings, tmp_path):
    settings.BACKUP_DIR = tmp_path / "backups"
    return settings.BACKUP_DIR


@pytest.fixture
def elsewhere(tmp_path):
    """Return what makes `manage.py` work on a shop that is empty: another folder, another database."""
    environment = {
        name: value for name, value in os.environ.items() if name not in {"TEST_DATABASE_URL", "DATABASE_URL"}
    } | {"DJANGO_SETTINGS_MODULE": "portal.settings.development", "DATA_DIR": str(tmp_path / "elsewhere")}
    if connection.vendor == "sqlite":
        yield environment
        return
    values = connection.settings_dict
    name = f"put_back_{os.getpid()}"
    ask(f"CREATE DATABASE {name}")
    address = f"postgresql://{values['USER']}:{values['PASSWORD']}@{values['HOST']}:{values['PORT']}/{name}"
    yield environment | {"DATABASE_URL": address}
    ask(f"DROP DATABASE {name} WITH (FORCE)")


def ask(words):
    with connection.cursor() as cursor:
        cursor.execute(words)


def manage(environment, *words):
    return subprocess.run(
        [sys.executable, "manage.py", *map(str, words)],
        check=False,
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        timeout=120,
    )


def add_photos():
    """Send a photo with a booking, have it converted, and leave a second one waiting."""
    booking = make_booking()
    someone = Actor(Role.CUSTOMER, "Ada Thornby")
    for name in ("photo.png", "photo_gps_rotated.jpg"):
        file = ContentFile((FILES_OF_TESTS / name).read_bytes(), name=name)
        photos.add_photo(
            file, booking=booking, job=None, role="before", shot="whole", caption="", actor=someone, now=NOW
        )
        if name == "photo.png":
            assert photos.convert_next(now=NOW)


def content_of(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in Path(folder).rglob("*")
        if path.is_file()
    }


@pytest.mark.slow
def test_the_shop_that_is_put_back_is_row_for_row_the_one_backed_up(elsewhere):
    make_job(stage="tested")
    add_photos()
    made = back_up_now(now=LATER)
    tables = ("jobs", "packing", "accounts")
    told = manage(elsewhere, "restore", made.folder)
    assert told.returncode == 0, told.stderr
    assert "Back as of 2026-03-11" in told.stdout
    there = json.loads(manage(elsewhere, "dumpdata", *tables).stdout)
    assert by_key(there) == by_key(json.loads(dump_here(*tables)))
    assert "1 jobs compared, 0 differ" in manage(elsewhere, "replay_jobs").stdout
    assert content_of(settings.MEDIA_ROOT) == content_of(Path(elsewhere["DATA_DIR"]) / "media")
    assert manage(elsewhere, "migrate", "--check").returncode == 0


def dump_here(*tables):
    words = StringIO()
    call_command("dumpdata", *tables, stdout=words)
    return words.getvalue()


def by_key(rows):
    assert rows
    return {(row["model"], row["pk"]): row["fields"] for row in rows}


@pytest.mark.slow
def test_a_back_up_beside_writers_holds_what_was_acknowledged_and_no_half(elsewhere):
    acknowledged, stop = [], threading.Event()

    def write(place):
        number = 0
        while not stop.is_set():
            with transaction.atomic():
                User.objects.create(
                    email=f"{place}.{number}.a@quillfeather.example", name="a", role="workshop"
                )
                User.objects.create(
                    email=f"{place}.{number}.b@quillfeather.example", name="b", role="workshop"
                )
            acknowledged.append((place, number))
            number += 1
        connections.close_all()

    writers = [threading.Thread(target=write, args=(place,)) for place in range(3)]
    for writer in writers:
        writer.start()
    while len(acknowledged) < 20:
        stop.wait(0.01)
    before = list(acknowledged)
    made = back_up_now(now=LATER)
    stop.set()
    for writer in writers:
        writer.join()
    assert len(acknowledged) > len(before)
    assert manage(elsewhere, "restore", made.folder).returncode == 0
    rows = json.loads(manage(elsewhere, "dumpdata", "accounts.user").stdout)
    kept = {row["fields"]["email"].split("@")[0] for row in rows}
    pairs = [{f"{place}.{number}.a", f"{place}.{number}.b"} for place, number in acknowledged]
    assert all(pair <= kept or not pair & kept for pair in pairs)
    assert all({f"{place}.{number}.a", f"{place}.{number}.b"} <= kept for place, number in before)


@pytest.fixture
def made():
    make_job(stage="cleared")
    add_photos()
    return back_up_now(now=LATER)


def any_photo(folder):
    return next(path for path in sorted((folder / "media").rglob("*")) if path.is_file())


def database_in(folder):
    return folder / FILES[engine_in_use()]


@pytest.mark.parametrize("find", [any_photo, database_in], ids=["photo", "database"])
def test_one_damaged_byte_is_found_before_anything_is_written(made, elsewhere, find):
    file = find(made.folder)
    bytes_in_it = bytearray(file.read_bytes())
    bytes_in_it[len(bytes_in_it) // 2] ^= 1
    file.unlink()  # a photo shares its bytes with the shop's own
    file.write_bytes(bytes_in_it)
    told = manage(elsewhere, "restore", made.folder)
    assert told.returncode == 1
    assert "is not what was backed up: use another back-up." in told.stderr
    assert content_of(elsewhere["DATA_DIR"]).keys() <= {"secret_key"}


@pytest.mark.parametrize("find", [any_photo, database_in], ids=["photo", "database"])
def test_a_missing_file_is_named(made, find):
    file = find(made.folder)
    file.unlink()
    with pytest.raises(BackupDamaged, match=f"{file.name} is missing"):
        put_back(made.folder)


def change_list(folder, **changes):
    file = folder / "manifest.json"
    file.write_text(json.dumps(json.loads(file.read_text()) | changes))


def test_a_list_that_names_a_file_outside_is_refused(made):
    change_list(made.folder, files=[{"path": "../secret", "size_bytes": 1, "sha256": "0"}])
    with pytest.raises(BackupDamaged, match="outside the back-up"):
        put_back(made.folder)


def test_a_list_that_cannot_be_read_is_refused(made):
    (made.folder / "manifest.json").write_text("{half of")
    with pytest.raises(BackupDamaged, match="cannot be read"):
        put_back(made.folder)


def test_a_folder_that_is_no_back_up_is_refused(tmp_path):
    with pytest.raises(BackupDamaged, match="name the folder of one back-up"):
        put_back(tmp_path)


def test_a_back_up_of_a_newer_version_is_refused(made):
    change_list(made.folder, migrations=["jobs.9999_later"])
    with pytest.raises(TargetInUse, match=r"newer version \(jobs.9999_later\)"):
        put_back(made.folder)


def test_rows_that_do_not_come_back_are_noticed(made, elsewhere):
    rows = json.loads((made.folder / "manifest.json").read_text())["rows"]
    change_list(made.folder, rows=rows | {"jobs_job": rows["jobs_job"] + 1})
    told = manage(elsewhere, "restore", made.folder)
    assert "The table jobs_job did not come back whole" in told.stderr


def test_nothing_is_put_back_over_a_shop(made):
    jobs, events = Job.objects.count(), JobEvent.objects.count()
    with pytest.raises(TargetInUse, match="already holds photos"):
        put_back(made.folder)
    for path in sorted(Path(settings.MEDIA_ROOT).rglob("*"), reverse=True):
        path.unlink() if path.is_file() else path.rmdir()
    with pytest.raises(TargetInUse, match="already holds a shop"):
        put_back(made.folder)
    assert (Job.objects.count(), JobEvent.objects.count()) == (jobs, events)


def test_a_photo_takes_its_room_once_however_many_back_ups_hold_it(made):
    second = back_up_now(now=LATER + timedelta(days=1))
    one = any_photo(made.folder)
    assert (second.folder / one.relative_to(made.folder)).stat().st_ino == one.stat().st_ino
    assert second.files == made.files


def test_a_photo_that_was_changed_in_size_is_backed_up_anew(made):
    one = any_photo(made.folder)
    own = Path(settings.MEDIA_ROOT) / one.relative_to(made.folder / "media")
    own.unlink()
    own.write_bytes(b"another")
    second = back_up_now(now=LATER + timedelta(days=1))
    assert (second.folder / one.relative_to(made.folder)).read_bytes() == b"another"


def test_only_its_owner_can_read_a_back_up(made):
    files = [path for path in made.folder.rglob("*") if path.is_file()]
    assert {path.stat().st_mode & 0o077 for path in (made.folder, *files)} == {0}


def test_what_a_crash_left_behind_is_cleared_and_never_counted(backups, made):
    (backups / ".part-2026-03-01T023000Z").mkdir()
    back_up_now(now=LATER + timedelta(days=1))
    assert len(list(backups.glob("2026*"))) == 2
    assert list(backups.glob(".part*")) == []


def test_one_back_up_is_made_at_a_time(backups):
    backups.mkdir()
    with (backups / ".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        with pytest.raises(BackupNotMade, match="wait for it"):
            back_up_now(now=LATER)
    assert back_up_now(now=LATER).folder.is_dir()


def test_a_folder_that_cannot_be_written_is_said_in_words(settings, tmp_path):
    (tmp_path / "file").write_text("")
    settings.BACKUP_DIR = tmp_path / "file"
    with pytest.raises(BackupNotMade, match="The shop itself is unchanged"):
        back_up_now(now=LATER)


def test_the_worker_makes_one_each_night(settings, backups):
    assert back_up_nightly(now=LATER) is False
    settings.BACKUP_NIGHTLY = True
    nights = [datetime(2026, 3, 2, 9, tzinfo=UTC) + timedelta(hours=hours) for hours in (0, 1, 20, 21)]
    assert [back_up_nightly(now=night) for night in nights] == [True, False, True, False]


def test_the_night_is_that_of_the_shop_and_not_of_the_machine(settings):
    open_shop()
    settings.BACKUP_NIGHTLY = True
    publish(ShopKind.HOURS, replace(five_people_shop().working_hours, time_zone="Pacific/Auckland"))
    hours = (13.0, 13.4, 13.6)  # half past two in Auckland is half past one in the afternoon, UTC
    nights = [datetime(2026, 3, 2, tzinfo=UTC) + timedelta(hours=hour) for hour in hours]
    assert [back_up_nightly(now=night) for night in nights] == [True, False, True]


def test_photos_in_a_bucket_stay_there(settings):
    add_photos()
    settings.S3_BUCKET = "photos"
    made = back_up_now(now=LATER)
    assert made.files == 1
    assert json.loads((made.folder / "manifest.json").read_text())["photos"] == "bucket"
    assert Photo.objects.count() == 2


@pytest.mark.parametrize(("hours", "is_late"), [(36, False), (37, True)])
def test_a_back_up_older_than_a_day_and_a_half_is_late(settings, hours, is_late):
    made_at = back_up_now(now=LATER) and LATER
    settings.BACKUP_NIGHTLY = True
    late = late_backup(now=made_at + timedelta(hours=hours))
    assert (late is not None) is is_late


def test_a_new_shop_is_not_late_and_one_that_works_without_is(settings):
    settings.BACKUP_NIGHTLY = True
    assert late_backup(now=LATER) is None
    recorded_at = make_job(stage="cleared").events.first().recorded_at
    assert late_backup(now=recorded_at + timedelta(hours=30)) is None
    assert late_backup(now=recorded_at + timedelta(hours=40)).newest is None


def test_the_owner_is_told_of_a_late_back_up(settings, client_of, person):
    settings.BACKUP_NIGHTLY = True
    page = client_of(person("owner")).get("/owner/").content.decode()
    assert "Back-up is late" not in page
    back_up_now(now=datetime(2026, 1, 1, tzinfo=UTC))
    page = client_of(person("owner", email="two@quillfeather.example")).get("/owner/").content.decode()
    assert "Back-up is late" in page
