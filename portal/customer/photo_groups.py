"""The photos of a unit as groups on a page: one for each wanted shot, then the rest."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import BinaryIO, cast

from django.http import HttpRequest
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.domain.errors import JobsError
from jobs.models import Photo
from packing.catalogue.schema import Shot
from portal.shared.forms import SummaryError

INPUT_NAME = "photo"
ANYTHING_ELSE = "else"


@dataclass(frozen=True, slots=True)
class PhotoWords:
    """One photo as `_photo.html` draws it."""

    url: str
    width: int
    height: int
    alt: str
    caption: str
    full_url: str
    remove_url: str


@dataclass(frozen=True, slots=True)
class PhotoGroup:
    """One wanted shot with the photos of it that are saved, what was just done, and what was refused."""

    shot: str
    title: str
    instruction: str
    grid_id: str
    notice: str
    photos: tuple[PhotoWords, ...]
    refused: tuple[PhotoWords, ...]
    error: str = ""


@dataclass(frozen=True, slots=True)
class PhotoAddresses:
    """Where a photo is shown and taken off; `remove` gives "" where that is not offered."""

    show: Callable[[Photo, str], str]
    remove: Callable[[Photo], str]


def photo_words(photo: Photo, *, title: str, at: int, addresses: PhotoAddresses) -> PhotoWords:
    """Return one photo for a page; while it is prepared, or was refused, it has no picture yet."""
    is_ready = photo.state == "ready"
    name = _("%(title)s, photo %(at)d") % {"title": title, "at": at}
    caption = photo.refusal or photo.hint or photo.caption
    return PhotoWords(
        url=addresses.show(photo, "thumb") if is_ready else "",
        width=_thumb_side(photo.width_px, of=photo.height_px),
        height=_thumb_side(photo.height_px, of=photo.width_px),
        alt=name,
        caption=caption,
        full_url=addresses.show(photo, "page") if is_ready else "",
        remove_url=addresses.remove(photo),
    )


def group_photos(
    photos: Sequence[Photo],
    *,
    shots: Iterable[Shot],
    addresses: PhotoAddresses,
    errors: dict[str, str],
    removed: str = "",
) -> tuple[PhotoGroup, ...]:
    """Return the wanted shots in order, each with its photos, and last a group for any other photo.

    `removed` is the key of the group a photo was just taken off, as `removed_query` wrote it.
    """
    wanted = [*((shot.slug, shot.title, shot.instruction) for shot in shots), _anything_else()]
    named = {slug for slug, _title, _instruction in wanted}
    groups = []
    for slug, title, instruction in wanted:
        own = [photo for photo in photos if (photo.shot if photo.shot in named else "") == slug]
        words = tuple(
            (photo, photo_words(photo, title=title, at=at, addresses=addresses))
            for at, photo in enumerate(own, start=1)
        )
        key = slug or ANYTHING_ELSE
        notice = _("Removed: a photo of “%s”.") % title if key == removed else ""
        groups.append(
            PhotoGroup(
                shot=slug,
                title=title,
                instruction=instruction,
                grid_id=f"shot-{key}",
                notice=notice,
                photos=tuple(shown for photo, shown in words if photo.state != "refused"),
                refused=tuple(shown for photo, shown in words if photo.state == "refused"),
                error=errors.get(slug, ""),
            )
        )
    return tuple(groups)


def sent_shot(request: HttpRequest, *, shots: Iterable[Shot]) -> str:
    """Return for which wanted shot the photos were sent, or "" for any other."""
    sent = request.POST.get("shot", "")
    return sent if sent in {shot.slug for shot in shots} else ""


def removed_query(photo: Photo, *, shots: Iterable[Shot]) -> str:
    """Return what leads back to the group that `photo` was taken off, and lets the page say so there."""
    key = photo.shot if photo.shot in {shot.slug for shot in shots} else ANYTHING_ELSE
    return f"?removed={key}#shot-{key}"


def add_each(request: HttpRequest, *, add: Callable[[BinaryIO], object]) -> str:
    """Add every photo that was sent, each on its own, and return what was refused, in words, or nothing."""
    files = request.FILES.getlist(INPUT_NAME)
    if not files:
        return _("Choose a photo first, then save it")
    refused = []
    for file in files:
        try:
            add(cast(BinaryIO, file))
        except JobsError as refusal:
            refused.append(str(refusal) if len(files) == 1 else f"{file.name}: {refusal}")
    if not refused:
        return ""
    saved = len(files) - len(refused)
    words = " ".join(refused)
    if saved:
        kept = ngettext("%d photo was saved.", "%d photos were saved.", saved) % saved
        return f"{words} {kept}"
    return words


def summary_of(groups: Iterable[PhotoGroup]) -> tuple[SummaryError, ...]:
    """Return the refusals as lines of the error summary."""
    return tuple(SummaryError(f"{group.grid_id}-file", group.error) for group in groups if group.error)


def _anything_else() -> tuple[str, str, str]:
    return (
        "",
        _("Anything else"),
        _("Damage, loose parts, the unit on its engine: whatever shows the bench something."),
    )


def _thumb_side(side_px: int | None, *, of: int | None) -> int:
    """Return a side of the thumb, whose longest side is 320 px, so that the page does not jump."""
    if not side_px or not of:
        return 320
    return max(1, round(320 * side_px / max(side_px, of)))
