"""The back-up of each night, with the folders of the settings."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings

from jobs.backups.keeping import is_due, newest_in
from jobs.backups.making import Made, make_backup
from jobs.backups.manifest import Manifest
from jobs.backups.restoring import restore_backup
from jobs.models import JobEvent
from jobs.selectors import shop

LATE_AFTER = timedelta(hours=36)


@dataclass(frozen=True, slots=True)
class LateBackup:
    """When the newest back-up was made, None if there is none, and where it should lie."""

    newest: datetime | None
    folder: str


def photo_folder() -> Path | None:
    """Return where photos lie; None when they are in a bucket, which the shop backs up there."""
    return None if settings.S3_BUCKET else Path(settings.MEDIA_ROOT)


def back_up_now(*, now: datetime) -> Made:
    """Return the back-up that was made in the folder of the settings. Raises: BackupNotMade."""
    return make_backup(Path(settings.BACKUP_DIR), media=photo_folder(), zone=shop.zone(), now=now)


def back_up_nightly(*, now: datetime) -> bool:
    """Return whether a back-up was due and made: after half past two at night, or at the next chance."""
    newest = newest_in(Path(settings.BACKUP_DIR))
    if not settings.BACKUP_NIGHTLY or not is_due(newest, now=now, zone=shop.zone()):
        return False
    back_up_now(now=now)
    return True


def late_backup(*, now: datetime) -> LateBackup | None:
    """Return what the owner has to know when no back-up was made for a day and a half; None if all is well.

    Nothing is late where none is made each night, nor in a shop that is younger than that.
    """
    if not settings.BACKUP_NIGHTLY:
        return None
    newest = newest_in(Path(settings.BACKUP_DIR))
    if newest is not None and now - newest <= LATE_AFTER:
        return None
    if newest is None and not JobEvent.objects.filter(recorded_at__lt=now - LATE_AFTER).exists():
        return None
    return LateBackup(newest, str(settings.BACKUP_DIR))


def put_back(folder: Path) -> Manifest:
    """Return what was put back into the empty data folder of the settings. Raises: BackupError."""
    return restore_backup(folder, media=photo_folder())
