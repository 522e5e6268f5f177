"""Puts a back-up back: into an empty database and an empty photo folder only, once every byte was checked."""

import shutil
from pathlib import Path

from jobs.backups import database
from jobs.backups.errors import BackupDamaged, BackupNotMade, TargetInUse
from jobs.backups.manifest import MEDIA, Manifest, Photos, check_files, read_manifest


def restore_backup(folder: Path, *, media: Path | None) -> Manifest:
    """Return what was put back; nothing is written before the whole back-up has proved sound.

    Raises: BackupDamaged, TargetInUse, BackupNotMade.
    """
    manifest = read_manifest(folder)
    newer = database.unknown_migrations(manifest.migrations)
    if newer:
        raise TargetInUse(
            f"The back-up is of a newer version ({newer[-1]}): bring this one up to date first."
        )
    if manifest.photos is Photos.HERE and media is None:
        raise TargetInUse("The back-up holds photos, and these settings keep photos in a bucket.")
    check_files(manifest, folder=folder)
    if media is not None and media.is_dir() and any(media.iterdir()):
        raise TargetInUse(f"{media} already holds photos: name an empty DATA_DIR.")
    name = database.FILES[manifest.engine]
    if not (folder / name).is_file():
        raise BackupDamaged(f"{name} is missing from the back-up: use another one.")
    try:
        database.put_back(folder / name, engine=manifest.engine, rows=manifest.rows)
        if media is not None:
            _copy_photos(manifest, folder=folder, media=media)
    except OSError as error:
        raise BackupNotMade(f"It could not be put back: {error}. Empty the target and try again.") from error
    return manifest


def _copy_photos(manifest: Manifest, *, folder: Path, media: Path) -> None:
    """Copy, never link: the shop's own photos must not share bytes with the back-up they came from."""
    for kept in manifest.files:
        inside = Path(kept.path)
        if inside.parts[0] != MEDIA:
            continue
        target = media.joinpath(*inside.parts[1:])
        target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        shutil.copyfile(folder / inside, target)
        target.chmod(0o600)
