"""Clearing away what is left of photos: files that nothing needs, and photos that nobody ever saw."""

import logging
from collections.abc import Iterator
from datetime import datetime, timedelta

from django.core.files.storage import Storage
from django.db.models import F, Q

from jobs.domain.stages import Role
from jobs.models import Photo

logger = logging.getLogger(__name__)
KEPT_A_WHILE = timedelta(days=1)
"""So long a file may be on its way to its row, and a removed photo be asked for by an open page."""
GIVEN_UP_KEPT = timedelta(days=30)
"""So long the owner may have a photo tried again that was refused without a word on the photo itself."""
FOLDERS = ("raw", "page", "thumb")


def clear_photos(*, now: datetime) -> int:
    """Return how many photos and stray files were cleared away; safe to run at any time and twice."""
    return _drop_never_seen(now=now) + _drop_raw(now=now) + _sweep_files(now=now)


def _drop_never_seen(*, now: datetime) -> int:
    """Delete the photos that a customer took off before the booking was sent: nobody relied on them."""
    unsent = Q(job__isnull=True) | Q(withdrawn_at__lt=F("job__booked_at"))
    removed = Photo.objects.filter(
        unsent, booking__isnull=False, by_role=Role.CUSTOMER.value, withdrawn_at__lt=now - KEPT_A_WHILE
    )
    count = 0
    for photo in removed:
        files = list(_files_of(photo))
        photo.delete()
        count += 1
        for name in files:
            _storage().delete(name)
    return count


def _drop_raw(*, now: datetime) -> int:
    """Let go of files as they were sent that will not be prepared any more; the rows of them stay."""
    long_given_up = Q(state="refused", tried_at__lt=now - GIVEN_UP_KEPT)
    count = 0
    for photo in Photo.objects.filter(long_given_up | Q(withdrawn_at__isnull=False)).exclude(raw=""):
        reason = photo.refusal or "It was taken off before it was prepared."
        changed = Photo.objects.filter(pk=photo.pk, raw=photo.raw.name).update(
            state="refused", refusal=reason, raw="", stored_bytes=0
        )
        if changed:
            _storage().delete(str(photo.raw.name))
            count += 1
    return count


def _sweep_files(*, now: datetime) -> int:
    """Delete files that no photo names: their writer was stopped, or their booking was deleted."""
    present = {f"{folder}/{name}" for folder in FOLDERS for name in _listed(folder)}
    named = {name for names in Photo.objects.values_list(*FOLDERS) for name in names if name}
    # Looked up after the files, so that a row that was written meanwhile is known.
    strays = present - named
    if len(strays) > len(present & named):
        # More likely another database than so many writers that were stopped.
        logger.error("%s of %s photo files are named by no photo; none is deleted", len(strays), len(present))
        return 0
    old = [name for name in strays if _storage().get_modified_time(name) < now - KEPT_A_WHILE]
    for name in old:
        _storage().delete(name)
    return len(old)


def _listed(folder: str) -> list[str]:
    try:
        return list(_storage().listdir(folder)[1])
    except FileNotFoundError:
        return []  # nothing was ever kept in it


def _files_of(photo: Photo) -> Iterator[str]:
    for file in (photo.raw, photo.page, photo.thumb):
        if file.name:
            yield file.name


def _storage() -> Storage:
    return Photo._meta.get_field("raw").storage
