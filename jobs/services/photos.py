"""Photos: kept at once as they are sent, converted by the worker one at a time, withdrawn, never edited."""

import logging
from datetime import datetime, timedelta
from io import SEEK_END
from typing import BinaryIO, cast
from uuid import uuid4

from django.core.files.base import ContentFile, File
from django.db import transaction
from django.db.models import F, Q, QuerySet, Sum

from jobs.domain.actors import Actor
from jobs.domain.errors import JobsError
from jobs.domain.stages import Role
from jobs.models import Booking, Job, Photo
from jobs.photos.errors import PhotoRefused, PhotoStopsReader, PhotoUnreadable
from jobs.photos.intake import ConvertedPhoto, convert
from jobs.photos.limits import (
    BYTES_PER_JOB_FROM_CUSTOMER,
    MOST_TRIES,
    PHOTOS_PER_JOB_FROM_CUSTOMER,
    TRY_AGAIN_MINUTES,
)
from jobs.photos.quality import advise_stamp_shot, measure_quality
from jobs.photos.sniff import look

logger = logging.getLogger(__name__)
STAMP_SHOTS = frozenset({"number", "plate", "tag", "stamp"})


class TooManyPhotos(JobsError):
    """The booking or job holds as many photos as are kept for one unit."""


class TooManyBytes(JobsError):
    """The customer's photos of one unit take up as much room as is kept for it."""


def add_photo(
    file: "BinaryIO | File[bytes]",
    *,
    booking: Booking | None,
    job: Job | None,
    role: str,
    shot: str,
    caption: str,
    actor: Actor,
    now: datetime,
) -> Photo:
    """Return the photo, kept as it was sent until the worker converts it.

    Raises: PhotoRefused with the reason in words; TooManyPhotos; TooManyBytes.
    """
    look(cast(BinaryIO, file))
    file.seek(0, SEEK_END)
    size_bytes = file.tell()
    file.seek(0)
    if actor.role is Role.CUSTOMER:
        _check_room(_of_customer(booking, job=job), size_bytes=size_bytes)
    reference = uuid4()
    photo = Photo(
        reference=reference,
        booking=booking,
        job=job,
        role=role,
        shot=shot[:60],
        caption=caption[:200],
        by_role=actor.role.value,
        by_name=actor.name[:120],
        uploaded_at=now,
        stored_bytes=size_bytes,
    )
    photo.raw.save(reference.hex, File(cast(BinaryIO, file)), save=False)
    photo.save()
    return photo


def _of_customer(booking: Booking | None, *, job: Job | None) -> "QuerySet[Photo]":
    """Return the customer's photos of one unit, those sent with the booking included."""
    of_unit = Q(pk__in=[])
    if booking is not None:
        of_unit |= Q(booking=booking)
    if job is not None:
        of_unit |= Q(job=job)
    return Photo.objects.filter(of_unit, by_role=Role.CUSTOMER.value)


def _check_room(sent: "QuerySet[Photo]", *, size_bytes: int) -> None:
    if sent.filter(withdrawn_at__isnull=True).count() >= PHOTOS_PER_JOB_FROM_CUSTOMER:
        raise TooManyPhotos(
            f"There are {PHOTOS_PER_JOB_FROM_CUSTOMER} photos already. Remove one, then add this one."
        )
    kept_bytes = sent.aggregate(total=Sum("stored_bytes"))["total"] or 0
    if kept_bytes + size_bytes > BYTES_PER_JOB_FROM_CUSTOMER:
        most_mb = BYTES_PER_JOB_FROM_CUSTOMER // 10**6
        raise TooManyBytes(
            f"With this one the photos of this unit are larger than {most_mb} MB together. "
            "Those sent before are being made smaller: try again in ten minutes, or send a smaller photo."
        )


@transaction.atomic(durable=True)
def withdraw_photo(photo: Photo, *, now: datetime) -> None:
    """Take a photo off the pages; the row and the files stay as proof, once anybody could have seen it."""
    standing = Photo.objects.filter(pk=photo.pk, withdrawn_at__isnull=True)
    if standing.update(withdrawn_at=now) and Photo.objects.filter(pk=photo.pk, state="waiting").exists():
        _refuse(photo, reason="It was taken off before it was prepared.")


def convert_next(*, now: datetime) -> bool:
    """Return whether a waiting photo was found; it is then ready, or refused with the reason in words.

    A photo is marked as taken up before it is read: one that takes the worker down is left alone for some
    minutes, stands behind the others, and is refused after a few tries.
    """
    idle = Q(tried_at__isnull=True) | Q(tried_at__lt=now - timedelta(minutes=TRY_AGAIN_MINUTES))
    waiting = Photo.objects.filter(idle, state="waiting", withdrawn_at__isnull=True)
    photo = waiting.order_by("tries", "uploaded_at").first()
    if photo is None:
        return False
    if photo.tries >= MOST_TRIES:
        logger.error("photo %s was given up after %s tries", photo.pk, photo.tries)
        _refuse(photo, reason=str(PhotoStopsReader()))
        return True
    if not waiting.filter(pk=photo.pk, tries=photo.tries).update(tries=F("tries") + 1, tried_at=now):
        return True
    try:
        with photo.raw.open("rb") as raw:
            converted = convert(raw.read())
    except PhotoRefused as refusal:
        _refuse(photo, reason=str(refusal))
    except OSError:
        _refuse(photo, reason="The file was lost. Send it again.")
    except Exception:
        # One photo that nobody foresaw must not keep all the others waiting for ever.
        logger.exception("photo %s could not be converted", photo.pk)
        _refuse(photo, reason=str(PhotoUnreadable()))
    else:
        keep_converted(photo, converted=converted)
    return True


def _refuse(photo: Photo, *, reason: str) -> None:
    changed = Photo.objects.filter(pk=photo.pk, state="waiting").update(
        state="refused", refusal=reason[:300], raw="", stored_bytes=0
    )
    if changed:
        photo.raw.delete(save=False)


def keep_converted(photo: Photo, *, converted: ConvertedPhoto) -> None:
    """Store the two derivatives and drop the file as it was sent; of two workers, one keeps files."""
    raw_name = photo.raw.name
    storage = photo.raw.storage
    name = f"{photo.reference.hex}.jpg"
    photo.page.save(name, ContentFile(converted.page_jpeg), save=False)
    photo.thumb.save(name, ContentFile(converted.thumb_jpeg), save=False)
    hints = advise_stamp_shot(measure_quality(converted.page_jpeg)) if photo.shot in STAMP_SHOTS else ()
    kept = Photo.objects.filter(pk=photo.pk, state="waiting").update(
        state="ready",
        page=photo.page.name,
        thumb=photo.thumb.name,
        width_px=converted.width_px,
        height_px=converted.height_px,
        sha256=converted.sha256,
        stored_bytes=len(converted.page_jpeg) + len(converted.thumb_jpeg),
        taken_at=converted.taken_at,
        hint=" ".join(hints)[:300],
        raw="",
    )
    if not kept:
        photo.page.delete(save=False)
        photo.thumb.delete(save=False)
    elif raw_name:
        storage.delete(raw_name)
