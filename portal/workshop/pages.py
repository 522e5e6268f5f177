"""What every workshop page is given: the way round, the title block, photos and rows with their addresses."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext as _

from jobs.domain.stages import ENDED, Role
from jobs.models import Job, Photo
from jobs.selectors.counter import ASKED_WORDS, CounterLine
from jobs.selectors.queue import JobLine
from jobs.selectors.scan import ScanHit
from portal.templatetags.portal_format import job_number

THUMB_PX = 320


@dataclass(frozen=True, slots=True)
class NavLink:
    """One entry of the navigation."""

    words: str
    url: str
    current: bool


@dataclass(frozen=True, slots=True)
class TitleCell:
    """One cell of the title block."""

    label: str
    value: str


@dataclass(frozen=True, slots=True)
class TableRow:
    """One job in a table, as `_job_rows.html` draws it."""

    number: str
    url: str
    unit_words: str
    customer_name: str
    stage: str
    hold: str
    promise_end: date | None
    risk_words: str
    since: datetime
    is_first: bool = False
    next_url: str = ""
    next_words: str = ""
    stage_words: str = ""


@dataclass(frozen=True, slots=True)
class PhotoView:
    """One photo, as `_photo.html` draws it."""

    url: str
    width: int
    height: int
    alt: str
    caption: str
    full_url: str
    remove_url: str = ""
    withdraw_url: str = ""
    pk: int = 0
    refused: str = ""


def nav_links(request: HttpRequest) -> tuple[NavLink, ...]:
    """Return the navigation, the present page marked; the owner also finds the way to the owner's pages."""
    entries = [
        (_("Counter"), reverse("workshop:counter")),
        (_("Bench"), reverse("workshop:queue")),
        (_("Bookings"), reverse("workshop:bookings")),
        (_("All jobs"), reverse("workshop:jobs")),
    ]
    if getattr(request.user, "is_owner", False):
        entries.append((_("Owner"), "/owner/"))
    return tuple(NavLink(words, url, current=request.path == url) for words, url in entries)


def title_cells(job: Job, *, unit_words: str) -> tuple[TitleCell, ...]:
    """Return the title block of a job's page."""
    revision = str(job.unit_model_revision or "") or _("none")
    return (
        TitleCell(_("Job"), job_number(job.number)),
        TitleCell(_("Unit"), unit_words),
        TitleCell(_("Catalogue revision"), revision),
    )


def table_rows(lines: Iterable[JobLine]) -> tuple[TableRow, ...]:
    """Return queue lines with their addresses."""
    return tuple(
        TableRow(
            number=line.number,
            url=reverse("workshop:job", args=[line.number]),
            unit_words=line.unit_words,
            customer_name=line.customer_name,
            stage=line.stage.value,
            hold=line.hold.value if line.hold else "",
            promise_end=line.promise_end,
            risk_words=line.risk_words,
            since=line.since,
            is_first=line.priority and line.stage not in ENDED,
            stage_words=ASKED_WORDS if line.is_asked else "",
        )
        for line in lines
    )


def counter_rows(lines: Iterable[CounterLine | ScanHit]) -> tuple[dict[str, object], ...]:
    """Return counter lines and scan hits with their addresses."""
    return tuple(
        {
            "number": line.number,
            "url": reverse("workshop:job", args=[line.number]),
            "unit_words": line.unit_words,
            "customer_name": line.customer_name,
            "stage": line.stage.value,
            "since": line.since,
            "words": line.words if isinstance(line, CounterLine) else line.reason,
            "tracking_number": line.tracking_number if isinstance(line, CounterLine) else "",
            "is_late": isinstance(line, CounterLine) and line.is_late,
            "stage_words": line.stage_words if isinstance(line, CounterLine) else "",
            "smells": isinstance(line, CounterLine) and line.smells,
        }
        for line in lines
    )


def photo_views(photos: Sequence[Photo], *, title: str, job_number: str = "") -> tuple[PhotoView, ...]:
    """Return photos with their addresses and names; one that is being prepared has no picture yet.

    Each has the way to withdraw it where the number of their job is given.
    """
    return tuple(_photo_view(photo, title=title, at=at, job=job_number) for at, photo in enumerate(photos, 1))


def _photo_view(photo: Photo, *, title: str, at: int, job: str) -> PhotoView:
    ready = photo.state == "ready"
    width, height = photo.width_px or 4, photo.height_px or 3
    scale = THUMB_PX / max(width, height)
    shot = photo.shot.replace("_", " ").capitalize() if photo.shot else title
    refused = _refused_words(photo)
    caption = photo.caption or shot
    return PhotoView(
        url=photo_url(photo, size="thumb") if ready else "",
        width=max(1, round(width * scale)),
        height=max(1, round(height * scale)),
        alt=_("%(title)s, photo %(at)d: %(caption)s") % {"title": title, "at": at, "caption": caption},
        caption=caption,
        full_url=photo_url(photo, size="page") if ready else "",
        withdraw_url=reverse("workshop:withdraw_photo", args=[job, photo.reference]) if job else "",
        pk=photo.pk,
        refused=refused,
    )


def _refused_words(photo: Photo) -> str:
    """Return for the shop's people why there is no picture: the cause, and who can mend it."""
    if photo.state != "refused":
        return ""
    # The first sentence says the cause; what follows tells the sender what to do.
    cause = photo.refusal.split(". ")[0].rstrip(".")
    if photo.by_role == Role.CUSTOMER.value:
        return _("Not kept. %(cause)s. The customer's page says so; ask for another one if you need it.") % {
            "cause": cause
        }
    return _("Not kept. %(cause)s. Take it again while the unit is at hand.") % {"cause": cause}


def photo_url(photo: Photo, *, size: str) -> str:
    """Return where the shop's people see a photo."""
    return reverse("workshop:photo", args=[photo.reference, size])
