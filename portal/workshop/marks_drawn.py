"""Where do the marks of a unit lie on its photos? Circles with numbers, as the page draws them."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _t

from jobs.domain.attribution import Cause
from jobs.domain.condition import DamageKind, Severity
from jobs.models import Mark
from jobs.selectors.log_words import label_of
from portal.workshop.pages import photo_url

CAUSE_WORDS = {
    Cause.BEFORE_POSTING.value: _t("from before it was posted"),
    Cause.IN_TRANSIT.value: _t("first seen on arrival, with the marks of a blow"),
    Cause.IN_TRANSIT_POORLY_PACKED.value: _t("first seen on arrival, in packing that let it move"),
    Cause.AT_THIS_SHOP.value: _t("made in this shop"),
    Cause.CANNOT_TELL.value: _t("cannot be told"),
}
DRAWN_PX = 640


@dataclass(frozen=True, slots=True)
class MarkLine:
    """One mark in words; `lost_photo` where the photo it lay on was withdrawn."""

    number: int
    zone: str
    damage: str
    severity: str
    origin: str
    note: str
    lost_photo: bool


@dataclass(frozen=True, slots=True)
class MarkDot:
    """One mark on a photo, in the photo's drawn pixels."""

    number: int
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class MarkedPhoto:
    """A photo with its marks."""

    url: str
    alt: str
    width_px: int
    height_px: int
    dots: tuple[MarkDot, ...]


@dataclass(frozen=True, slots=True)
class DrawnMarks:
    """All marks of a job: the list, and the photos on which some of them lie."""

    lines: tuple[MarkLine, ...]
    photos: tuple[MarkedPhoto, ...]


def marked_photos(marks: Sequence[Mark]) -> DrawnMarks:
    """Return the marks in words and on their photos, numbered alike."""
    lines = tuple(
        MarkLine(
            number=number,
            zone=mark.zone,
            damage=label_of(DamageKind, mark.damage_kind),
            severity=Severity(mark.severity).label,
            origin=str(CAUSE_WORDS.get(mark.origin, mark.origin)),
            note=mark.note,
            lost_photo=mark.photo is not None and mark.photo.withdrawn_at is not None,
        )
        for number, mark in enumerate(marks, 1)
    )
    on_photo: dict[int, list[tuple[int, Mark]]] = {}
    for number, mark in enumerate(marks, 1):
        if mark.photo is not None and mark.x_share is not None and mark.photo.state == "ready":
            on_photo.setdefault(mark.photo.pk, []).append((number, mark))
    return DrawnMarks(lines, tuple(_photo(listed) for listed in on_photo.values()))


def _photo(listed: list[tuple[int, Mark]]) -> MarkedPhoto:
    photo = listed[0][1].photo
    assert photo is not None  # noqa: S101 - only marks on a photo come here
    height_px = round(DRAWN_PX * (photo.height_px or 3) / (photo.width_px or 4))
    return MarkedPhoto(
        url=photo_url(photo, size="page"),
        alt=photo.caption or photo.shot,
        width_px=DRAWN_PX,
        height_px=height_px,
        dots=tuple(
            MarkDot(
                number, round((mark.x_share or 0) * DRAWN_PX, 1), round((mark.y_share or 0) * height_px, 1)
            )
            for number, mark in listed
        ),
    )
