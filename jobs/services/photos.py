"""Photos: kept at once as they are sent, converted by the worker one at a time, withdrawn, never edited."""

import logging
from datetime import datetime
from typing import BinaryIO, cast
from uuid import uuid4

from django.core.files.base import ContentFile, File
from django.db import transaction
from django.db.models import Q

from jobs.domain.actors import Actor
from jobs.domain.errors import JobsError
from jobs.domain.stages import Role
from jobs.models import Booking, Job, Photo
from jobs.photos.errors import PhotoRefused, PhotoUnreadable
from jobs.photos.intake import ConvertedPhoto, convert
from jobs.photos.limits import PHOTOS_PER_JOB_FROM_CUSTOMER
from jobs.photos.quality import advise_stamp_shot, measure_quality
from jobs.photos.sniff import look

logger = logging.getLogger(__name__)
STAMP_SHOTS = frozenset({"number", "plate", "tag", "stamp"})


class TooManyPhotos(JobsError):
    """The booking or job holds as many photos as are kept for one unit."""


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

    Raises: PhotoRefused with the reason in words; TooManyPhotos.
    """
    look(cast(BinaryIO, file))
    file.seek(0)
    if actor.role is Role.CUSTOMER and _count_of_customer(booking, job=job) >= PHOTOS_PER_JOB_FROM_CUSTOMER:
        raise TooManyPhotos(
            f"There are {PHOTOS_PER_JOB_FROM_CUSTOMER} photos already. Remove one, then add this one."
        )
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
    )
    photo.raw.save(reference.hex, File(cast(BinaryIO, file)), save=False)
    photo.save()
    return photo


def _count_of_customer(booking: Booking | None, *, job: Job | None) -> int:
    """Return how many photos the customer has standing, those sent with the booking included."""
    of_unit = Q(pk__in=[])
    if booking is not None:
        of_unit |= Q(booking=booking)
    if job is not None:
        of_unit |= Q(job=job)
    return Photo.objects.filter(of_unit, by_role=Role.CUSTOMER.value, withdrawn_at__isnull=True).count()


@transaction.atomic(durable=True)
def withdraw_photo(photo: Photo, *, now: datetime) -> None:
    """Take a photo off the pages; the row and the files stay as proof."""
    Photo.objects.filter(pk=photo.pk, withdrawn_at__isnull=True).update(withdrawn_at=now)


def convert_next(*, now: datetime) -> bool:
    """Return whether a waiting photo was found; it is then ready, or refused with the reason in words."""
    del now
    photo = Photo.objects.filter(state="waiting", withdrawn_at__isnull=True).order_by("uploaded_at").first()
    if photo is None:
        return False
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
        state="refused", refusal=reason[:300], raw=""
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
        taken_at=converted.taken_at,
        hint=" ".join(hints)[:300],
        raw="",
    )
    if not kept:
        photo.page.delete(save=False)
        photo.thumb.delete(save=False)
    elif raw_name:
        storage.delete(raw_name)
