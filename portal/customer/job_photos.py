"""The photos of a job for its customer: what they sent, and what the bench took."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from jobs.models import Job, Photo
from jobs.selectors import customer_jobs
from jobs.selectors.customer_findings import MarkSeen
from portal.customer.photo_groups import PhotoAddresses, PhotoWords, photo_words

MARKED_WIDTH = 480
FROM_CUSTOMER = frozenset({"before"})
FROM_SHOP = frozenset({"carton", "packing", "item", "finding", "done", "back"})
ROLE_WORDS = {
    "carton": gettext_lazy("Your carton as it arrived"),
    "packing": gettext_lazy("The packing as we found it"),
    "item": gettext_lazy("The unit as it came out of the box"),
    "finding": gettext_lazy("What we found"),
    "done": gettext_lazy("Finished"),
    "back": gettext_lazy("Packed for the way back"),
}


def addresses_of(job: Job, *, may_remove: frozenset[str]) -> PhotoAddresses:
    """Return where the photos of this job are shown; those of the roles in `may_remove` may be taken off."""

    def show(photo: Photo, size: str) -> str:
        return reverse("customer:job_photo", args=[job.number, photo.reference, size])

    def remove(photo: Photo) -> str:
        if photo.role not in may_remove:
            return ""
        return reverse("customer:job_photo_remove", args=[job.number, photo.reference])

    return PhotoAddresses(show=show, remove=remove)


@dataclass(frozen=True, slots=True)
class Dot:
    """One mark on a photo, in the drawing's own units."""

    number: int
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class MarkedPhoto:
    """A photo with its marks, drawn `MARKED_WIDTH` units wide so that the numbers stay readable."""

    url: str
    alt: str
    width: int
    height: int
    dots: tuple[Dot, ...]


def marked_photos(job: Job, *, marks: Sequence[MarkSeen]) -> tuple[MarkedPhoto, ...]:
    """Return the photos on which damage was marked, each with the numbers of its marks."""
    show = addresses_of(job, may_remove=frozenset()).show
    found = []
    for photo in customer_jobs.job_photos(job, roles=FROM_SHOP):
        dots = [(at, mark) for at, mark in enumerate(marks, start=1) if mark.photo_id == photo.pk]
        if photo.state != "ready" or not photo.width_px or not photo.height_px or not dots:
            continue
        height = round(MARKED_WIDTH * photo.height_px / photo.width_px)
        placed = tuple(
            Dot(at, round(mark.x_share * MARKED_WIDTH, 1), round(mark.y_share * height, 1))
            for at, mark in dots
            if mark.x_share is not None and mark.y_share is not None
        )
        alt = _("%(title)s, with the damage listed below") % {"title": ROLE_WORDS[photo.role]}
        found.append(MarkedPhoto(show(photo, "page"), alt, MARKED_WIDTH, height, placed))
    return tuple(found)


def bench_photos(job: Job) -> tuple[PhotoWords, ...]:
    """Return the shop's photos in the order of the work, each with what it shows."""
    addresses = addresses_of(job, may_remove=frozenset())
    words = []
    for at, photo in enumerate(customer_jobs.job_photos(job, roles=FROM_SHOP), start=1):
        title = str(ROLE_WORDS[photo.role])
        shown = photo_words(photo, title=title, at=at, addresses=addresses)
        caption = photo.caption or title
        words.append(
            PhotoWords(
                url=shown.url,
                width=shown.width,
                height=shown.height,
                alt=_("%(title)s: %(caption)s") % {"title": title, "caption": photo.caption}
                if photo.caption
                else shown.alt,
                caption=caption,
                full_url=shown.full_url,
                remove_url="",
            )
        )
    return tuple(words)
