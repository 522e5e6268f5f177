"""Photos: kept at once as they are sent, converted by the worker one at a time, withdrawn, never edited.

Only a word on the photo itself costs it its file. What the machine lacks for a while, a full disk or a store
that does not answer, puts it off for longer and longer, and in the end leaves it to the owner.
"""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from io import SEEK_END
from typing import BinaryIO, cast
from uuid import UUID, uuid4

from django.core.files.base import ContentFile, File
from django.db import transaction
from django.db.models import F, Q, QuerySet, Sum

from jobs.domain.actors import Actor
from jobs.domain.errors import JobsError
from jobs.domain.stages import Role
from jobs.models import Booking, Job, Photo
from jobs.photos.errors import PhotoLost, PhotoReaderKilled, PhotoRefused, PhotoStopsReader
from jobs.photos.intake import ConvertedPhoto, convert
from jobs.photos.limits import (
    BYTES_PER_JOB_FROM_CUSTOMER,
    MOST_FAULTS,
    MOST_TRIES,
    MOST_WAIT_MINUTES,
    PHOTOS_PER_JOB_FROM_CUSTOMER,
    TRY_AGAIN_MINUTES,
)
from jobs.photos.quality import advise_stamp_shot, measure_quality
from jobs.photos.sniff import look
from jobs.selectors.unprepared_photos import unprepared

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
    with _nothing_left(f"raw/{reference.hex}"):
        photo.raw.save(reference.hex, File(cast(BinaryIO, file)), save=False)
        _add_row(photo)
    return photo


@transaction.atomic(durable=True)
def _add_row(photo: Photo) -> None:
    if photo.booking_id is not None and photo.job_id is None:
        # Sent in while the file was on its way: the other photos have gone on to the job already.
        photo.job_id = (
            Booking.objects.select_for_update().values_list("job", flat=True).get(pk=photo.booking_id)
        )
    photo.save()


@contextmanager
def _nothing_left(*names: str) -> Iterator[None]:
    """Take the named files away again when keeping them fails: a full disk leaves halves behind."""
    storage = Photo._meta.get_field("raw").storage
    try:
        yield
    except Exception:
        for name in names:
            storage.delete(name)
        raise


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
    """Return whether a waiting photo was found; it is then ready, refused with the reason, or put off.

    A photo is marked as taken up before it is read: one that takes the worker down, or the process that reads
    it, is left alone for some minutes, stands behind the others, and is refused after a few tries.
    """
    idle = Q(not_before__isnull=True) | Q(not_before__lte=now)
    waiting = Photo.objects.filter(idle, state="waiting", withdrawn_at__isnull=True, faults__lt=MOST_FAULTS)
    photo = waiting.order_by("tries", "faults", "uploaded_at").first()
    if photo is None:
        return False
    if photo.tries >= MOST_TRIES:
        _give_up(photo)
        return True
    mark = {"tries": F("tries") + 1, "tried_at": now, "not_before": now + _wait(0)}
    if waiting.filter(pk=photo.pk, tries=photo.tries, faults=photo.faults).update(**mark):
        _convert(photo, now=now)
    return True


def try_again(reference: UUID) -> bool:
    """Return whether a photo that had troubles is taken up again at once, as if it had just come."""
    changed = unprepared().filter(reference=reference).update(
        state="waiting", refusal="", tries=0, faults=0, last_fault="", not_before=None
    )  # fmt: skip
    return bool(changed)


def _convert(photo: Photo, *, now: datetime) -> None:
    try:
        converted = convert(_read_raw(photo))
    except PhotoRefused as refusal:
        _refuse(photo, reason=str(refusal))
        return
    except PhotoReaderKilled as end:
        logger.warning("photo %s: its reader was killed", photo.pk)
        Photo.objects.filter(pk=photo.pk).update(last_fault=str(end))
        return
    except Exception as fault:
        logger.exception("photo %s could not be converted", photo.pk)
        _put_off(photo, words=_words_of(fault), now=now)
        return
    # It was read, so whatever fails from here on is not its doing; noted first, because a full disk may not
    # take the note either.
    _put_off(photo, words="The work was stopped while its pictures were being stored.", now=now)
    try:
        keep_converted(photo, converted=converted)
    except Exception as fault:
        logger.exception("photo %s could not be stored", photo.pk)
        Photo.objects.filter(pk=photo.pk, state="waiting").update(last_fault=_words_of(fault))


def _read_raw(photo: Photo) -> bytes:
    try:
        with photo.raw.open("rb") as raw:
            return bytes(raw.read())
    except FileNotFoundError as gone:
        raise PhotoLost from gone


def _put_off(photo: Photo, *, words: str, now: datetime) -> None:
    """Count a fault of the machine instead of a try of the photo, and leave the photo alone for a while."""
    faults = photo.faults + 1
    Photo.objects.filter(pk=photo.pk, state="waiting").update(
        tries=photo.tries, faults=faults, last_fault=words, not_before=now + _wait(photo.faults)
    )
    if faults >= MOST_FAULTS:
        logger.error("photo %s was given up after %s faults", photo.pk, faults)


def _wait(faults: int) -> timedelta:
    return timedelta(minutes=min(TRY_AGAIN_MINUTES * 2**faults, MOST_WAIT_MINUTES))


def _words_of(fault: Exception) -> str:
    if isinstance(fault, MemoryError):
        return "The machine had no memory left."
    if isinstance(fault, OSError) and fault.strerror:
        return fault.strerror[:300]
    return (str(fault) if isinstance(fault, JobsError) else f"{type(fault).__name__}: {fault}")[:300]


def _give_up(photo: Photo) -> None:
    """Refuse a photo whose readers were all killed; its file stays, for the machine may have killed them."""
    logger.error("photo %s was given up after %s tries", photo.pk, photo.tries)
    Photo.objects.filter(pk=photo.pk, state="waiting").update(
        state="refused", refusal=str(PhotoStopsReader()), last_fault=str(PhotoReaderKilled())
    )


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
    hints = advise_stamp_shot(measure_quality(converted.page_jpeg)) if photo.shot in STAMP_SHOTS else ()
    # A name of this try's own: what a failed one leaves can be taken away without touching another's.
    name = f"{photo.reference.hex}-{uuid4().hex[:8]}.jpg"
    with _nothing_left(f"page/{name}", f"thumb/{name}"):
        photo.page.save(name, ContentFile(converted.page_jpeg), save=False)
        photo.thumb.save(name, ContentFile(converted.thumb_jpeg), save=False)
        kept = _mark_ready(photo, converted=converted, hint=" ".join(hints)[:300])
    if not kept:
        photo.page.delete(save=False)
        photo.thumb.delete(save=False)
    elif raw_name:
        storage.delete(raw_name)


def _mark_ready(photo: Photo, *, converted: ConvertedPhoto, hint: str) -> bool:
    changed = Photo.objects.filter(pk=photo.pk, state="waiting").update(
        state="ready",
        page=photo.page.name,
        thumb=photo.thumb.name,
        width_px=converted.width_px,
        height_px=converted.height_px,
        sha256=converted.sha256,
        stored_bytes=len(converted.page_jpeg) + len(converted.thumb_jpeg),
        taken_at=converted.taken_at,
        hint=hint,
        raw="",
        last_fault="",
    )
    return bool(changed)
