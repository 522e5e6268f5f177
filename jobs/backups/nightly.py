"""The back-up of each night, with the folders of the settings."""

from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.utils import timezone

from jobs.backups.keeping import is_due, newest_in
from jobs.backups.making import Made, make_backup
from jobs.backups.manifest import Manifest
from jobs.backups.restoring import restore_backup


def photo_folder() -> Path | None:
    """Return where photos lie; None when they are in a bucket, which the shop backs up there."""
    return None if settings.S3_BUCKET else Path(settings.MEDIA_ROOT)


def back_up_now(*, now: datetime) -> Made:
    """Return the back-up that was made in the folder of the settings. Raises: BackupNotMade."""
    zone = timezone.get_default_timezone()
    return make_backup(Path(settings.BACKUP_DIR), media=photo_folder(), zone=zone, now=now)


def back_up_nightly(*, now: datetime) -> bool:
    """Return whether a back-up was due and made: after half past two at night, or at the next chance."""
    folder = Path(settings.BACKUP_DIR)
    zone = timezone.get_default_timezone()
    if not settings.BACKUP_NIGHTLY or not is_due(newest_in(folder), now=now, zone=zone):
        return False
    back_up_now(now=now)
    return True


def put_back(folder: Path) -> Manifest:
    """Return what was put back into the empty data folder of the settings. Raises: BackupError."""
    return restore_backup(folder, media=photo_folder())
