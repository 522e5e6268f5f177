"""Makes a back-up: a folder with the database of one moment, every photo, and a list of both.

Photos are never changed once they are written, so one that an earlier back-up holds is linked, not copied:
a year of back-ups takes the room of one, and of what has come since. Linked copies share their bytes, so keep
a copy of the folder on another machine. The photos are gathered before the database and again after it:
whatever the database names is then there, and what is there too many does no harm.
"""

import fcntl
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from django.db import DatabaseError

from jobs.backups import database
from jobs.backups.errors import BackupError, BackupNotMade
from jobs.backups.keeping import PART, left_behind, made_in, name_of, select_kept
from jobs.backups.manifest import (
    FORM,
    MEDIA,
    KeptFile,
    Manifest,
    Photos,
    describe_file,
    read_manifest,
    write_manifest,
)


@dataclass(frozen=True, slots=True)
class Made:
    """A finished back-up, and how many older ones were cleared away after it."""

    folder: Path
    files: int
    size_bytes: int
    rows: int
    cleared: int


def make_backup(folder: Path, *, media: Path | None, zone: ZoneInfo, now: datetime) -> Made:
    """Return the back-up that was made below `folder`; `media` is None where photos lie in a bucket.

    Readable by its owner only. It has its name only once it is complete and on the disk.
    Raises: BackupNotMade.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        with _alone(folder):
            for path in left_behind(folder.iterdir()):
                shutil.rmtree(path)
            part = folder / f"{PART}{name_of(now)}"
            try:
                manifest = _fill(part, folder=folder, media=media, now=now)
                final = folder / name_of(now)
                part.rename(final)
                _sync(folder)
            except BaseException:
                shutil.rmtree(part, ignore_errors=True)
                raise
            cleared = _clear_old(folder, zone=zone)
    except (OSError, DatabaseError) as error:
        raise BackupNotMade(f"The back-up was not made: {error}. The shop itself is unchanged.") from error
    size_bytes = sum(file.size_bytes for file in manifest.files)
    return Made(final, len(manifest.files), size_bytes, sum(manifest.rows.values()), cleared)


def _fill(part: Path, *, folder: Path, media: Path | None, now: datetime) -> Manifest:
    part.mkdir(mode=0o700)
    earlier = _earlier_files(folder)
    files: dict[str, KeptFile] = {}
    _gather(media, part=part, earlier=earlier, files=files)
    migrations = database.applied_migrations()
    file, rows = database.take_snapshot(part)
    file.chmod(0o600)
    _sync(file)
    described = describe_file(file, within=part)
    _gather(media, part=part, earlier=earlier, files=files)
    manifest = Manifest(
        form=FORM,
        made_at=now,
        engine=database.engine_in_use(),
        photos=Photos.BUCKET if media is None else Photos.HERE,
        migrations=migrations,
        rows=rows,
        files=(described, *(files[name] for name in sorted(files))),
    )
    write_manifest(manifest, folder=part)
    _sync(part)
    return manifest


def _earlier_files(folder: Path) -> dict[str, tuple[Path, KeptFile]]:
    """Return the photos of the newest readable back-up by their path in it."""
    for path in reversed(made_in(folder).values()):
        try:
            return {file.path: (path / file.path, file) for file in read_manifest(path).files}
        except BackupError:
            continue
    return {}


def _gather(
    media: Path | None,
    *,
    part: Path,
    earlier: dict[str, tuple[Path, KeptFile]],
    files: dict[str, KeptFile],
) -> None:
    """Bring every photo that is not there yet into the back-up, and describe it."""
    if media is None or not media.is_dir():
        return
    for source in sorted(path for path in media.rglob("*") if path.is_file()):
        name = f"{MEDIA}/{source.relative_to(media).as_posix()}"
        if name in files:
            continue
        target = part / name
        target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        try:
            size_bytes = source.stat().st_size
            before = earlier.get(name)
            if before is not None and before[1].size_bytes == size_bytes and _link(before[0], target=target):
                files[name] = before[1]
                continue
            if not _link(source, target=target):
                shutil.copyfile(source, target)
                target.chmod(0o600)
                _sync(target)
            files[name] = describe_file(target, within=part)
        except (
            FileNotFoundError
        ):  # the worker has converted it meanwhile; the second round finds what came of it
            target.unlink(missing_ok=True)


def _link(source: Path, *, target: Path) -> bool:
    """Say whether a second name for the same bytes could be made; not across disks."""
    try:
        target.hardlink_to(source)
    except OSError:
        return False
    return True


def _clear_old(folder: Path, *, zone: ZoneInfo) -> int:
    made = made_in(folder)
    kept = select_kept(tuple(made), zone=zone)
    old = [path for at, path in made.items() if at not in kept]
    for path in old:
        shutil.rmtree(path)
    return len(old)


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """Let one back-up be made at a time; the lock ends with the process. Raises: BackupNotMade."""
    with (folder / ".lock").open("w") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise BackupNotMade("Another back-up is being made right now: wait for it.") from error
        yield


def _sync(path: Path) -> None:
    """Have the system write a file or folder to the disk before going on."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
