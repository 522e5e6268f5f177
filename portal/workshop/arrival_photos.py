"""The photos that come with a form of the receiving table: every chosen one is kept, or refused in words.

Each wanted photo has an input of its own in the page's one form, so whichever button is pressed, what was
chosen arrives together with what was typed. The script sends the same photos one by one, under `photo`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.domain.errors import JobsError
from jobs.domain.lifecycle import BEFORE_ARRIVAL
from jobs.selectors import receiving
from jobs.selectors.bench import JobAtBench
from jobs.selectors.receiving import ArrivalShot, ShotState
from jobs.services import photos as photo_service
from portal.shared.actors import staff_actor
from portal.shared.forms import SummaryError

SINGLE = "photo"


@dataclass(frozen=True, slots=True)
class ShotRow:
    """A wanted photo as `_shots.html` draws it."""

    shot: ArrivalShot
    count: int
    is_done: bool
    is_next: bool
    error: str


@dataclass(frozen=True, slots=True)
class PhotosTaken:
    """How many of the sent photos were kept, and what stood against the others: (shot, words)."""

    saved: int = 0
    refused: tuple[tuple[str, str], ...] = ()

    def errors(self) -> tuple[SummaryError, ...]:
        """Return the refusals as lines of the error summary."""
        return tuple(SummaryError(f"shot-{slug}" if slug else "", words) for slug, words in self.refused)

    def rows(self, states: Sequence[ShotState]) -> tuple[ShotRow, ...]:
        """Return the wanted photos with what was refused of them."""
        words: dict[str, str] = {}
        for slug, refusal in self.refused:
            words[slug] = " ".join(filter(None, (words.get(slug, ""), refusal)))
        return tuple(
            ShotRow(
                state.shot, len(state.photos), state.is_done, state.is_next, words.get(state.shot.slug, "")
            )
            for state in states
        )


def take_photos(request: HttpRequest, seen: JobAtBench, *, now: datetime) -> PhotosTaken:
    """Keep every photo that was sent with the form, in the order in which they have to be taken."""
    if request.method != "POST":
        return PhotosTaken()
    saved, refused = 0, []
    for shot in (*receiving.ARRIVAL_SHOTS, *receiving.CLOSE_SHOTS):
        for file in _chosen(request, shot):
            refusal = _out_of_turn(seen, shot) or _keep(request, seen, shot=shot, file=file, now=now)
            if refusal:
                refused.append((shot.slug, refusal))
            else:
                saved += 1
    if saved:
        messages.success(request, ngettext("%d photo is saved.", "%d photos are saved.", saved) % saved)
    return PhotosTaken(saved, tuple(refused))


def _chosen(request: HttpRequest, shot: ArrivalShot) -> "list[UploadedFile[bytes]]":
    single = request.FILES.getlist(SINGLE) if request.POST.get("shot") == shot.slug else []
    return [*request.FILES.getlist(f"photo-{shot.slug}"), *single]


def _out_of_turn(seen: JobAtBench, shot: ArrivalShot) -> str:
    """Return what has to be photographed first while the box is still closed, or nothing."""
    if seen.stage not in BEFORE_ARRIVAL or shot in receiving.CLOSE_SHOTS:
        return ""
    states = receiving.shot_states(receiving.shop_photos(seen.job))
    first = next((each for each in states if each.is_next), None)
    state = next(each for each in states if each.shot == shot)
    if first is None or state.is_done or state.is_next:
        return ""
    return _("First photograph: %s. It cannot be taken later.") % first.shot.title


def _keep(
    request: HttpRequest, seen: JobAtBench, *, shot: ArrivalShot, file: "UploadedFile[bytes]", now: datetime
) -> str:
    try:
        photo_service.add_photo(
            file,
            booking=None,
            job=seen.job,
            role=shot.role,
            shot=shot.slug,
            caption=shot.title,
            actor=staff_actor(request),
            now=now,
        )
    except JobsError as refusal:
        return f"{file.name}: {refusal}"
    return ""
