"""Which booking does a box belong to that came without a name, and what speaks for each?

Nothing is matched by itself: everything known about the box is compared with every parcel that is still
awaited, the likeliest stands first, and each row says why it may be the one. The points are our own order of
how much each sign tells; no published figure exists.
"""

import unicodedata
from dataclasses import dataclass
from datetime import datetime
from difflib import SequenceMatcher
from zoneinfo import ZoneInfo

from jobs.domain.lifecycle import BEFORE_ARRIVAL
from jobs.domain.stages import Stage
from jobs.models import Job
from jobs.selectors import shop
from jobs.selectors.listing import as_lines
from jobs.selectors.scan import HITS_MOST, ScanHit, as_hit, clean, search_jobs
from jobs.selectors.scan_reasons import models_of_number, reason_for
from packing import selectors as catalogue
from packing.catalogue.schema import UnitModel
from packing.identify.normalise import normalise

NEARLY_LEAST = 0.8
"""Share of like letters from which two names count as nearly the same: Mosop and Mossop have 0.91."""
NAME_LEAST = 3
CLEAR_POINTS = 3
AWAITED_READ_MOST = 500
STAGE_ORDER = {Stage.POSTED.value: 0, Stage.CLEARED.value: 1, Stage.BOOKED.value: 2}


@dataclass(frozen=True, slots=True)
class BoxSigns:
    """What is known about a box: the words on it, the number on the unit, the parcel number, the family."""

    words: str = ""
    number: str = ""
    parcel_number: str = ""
    family: str = ""


def find_awaited(text: str, *, box: BoxSigns, now: datetime) -> tuple[ScanHit, ...]:
    """Return the bookings whose parcel has not come yet and that may be this box, the likeliest first."""
    typed = clean(text)
    awaited = [stage.value for stage in BEFORE_ARRIVAL]
    asked = {job.pk: job for job in as_lines(search_jobs(typed).filter(stage__in=awaited))} if typed else {}
    jobs = as_lines(Job.objects.filter(stage__in=awaited)).order_by("-stage_since")[:AWAITED_READ_MOST]
    zone = shop.zone()
    models = models_of_number(box.number)
    named = _words(f"{box.words} {typed}")
    rows = []
    for job in jobs:
        signs = _signs(job, box=box, named=named, models=models)
        if job.pk in asked:
            signs.insert(0, (CLEAR_POINTS + 2, _as_part(reason_for(asked[job.pk], typed=typed))))
        if signs:
            rows.append((sum(points for points, _words in signs), job, [words for _points, words in signs]))
    most = max((points for points, _job, _why in rows), default=0)
    rows = [row for row in rows if most < CLEAR_POINTS or row[0] >= CLEAR_POINTS - 1]
    rows.sort(key=lambda row: (-row[0], STAGE_ORDER[row[1].stage]))
    published = catalogue.catalogue()
    return tuple(
        as_hit(job, published=published, reason=_sentence([*why, _stage_words(job, now=now, zone=zone)]))
        for _points, job, why in rows[:HITS_MOST]
    )


def _signs(
    job: Job, *, box: BoxSigns, named: frozenset[str], models: dict[str, UnitModel]
) -> list[tuple[int, str]]:
    """Return what speaks for this booking, each with its points."""
    signs: list[tuple[int, str]] = []
    parcel = normalise(box.parcel_number).compact
    if parcel and parcel == normalise(job.tracking_in).compact:
        signs.append((8, "the parcel number is the one we were given"))
    signs += _name_signs(job, named=named)
    number = normalise(box.number).compact
    if number and number == normalise(job.number_as_read).compact:
        signs.append((3, f"the same number, “{job.number_as_read}”"))
    elif job.unit_model in models:
        signs.append((3, f"the number is one of {models[job.unit_model].name}, as booked"))
    elif job.family == box.family:
        signs.append((1, "the same kind of unit"))
    return signs


def _name_signs(job: Job, *, named: frozenset[str]) -> list[tuple[int, str]]:
    customer = job.customer
    if customer is None or not named:
        return []
    signs = []
    surname = next(iter(reversed(_listed(customer.name))), "")
    near = max(((_likeness(surname, word), word) for word in named), default=(0.0, ""))
    if surname and near[0] == 1:
        signs.append((4, f"the same name, {customer.name}"))
    elif surname and near[0] >= NEARLY_LEAST:
        signs.append((3, f"nearly the same name, {customer.name}"))
    places = [word for word in _listed(customer.address_lines) if len(word) > NAME_LEAST]
    place = next((word for word in reversed(places) if word in named), "")
    if place:
        signs.append((2, f"the same place, {place.capitalize()}"))
    return signs


def _likeness(surname: str, word: str) -> float:
    return SequenceMatcher(None, surname, word, autojunk=False).ratio()


def _words(text: str) -> frozenset[str]:
    return frozenset(_listed(text))


def _listed(text: str) -> list[str]:
    """Return the words of a text without case, accents and signs; what is too short to tell is left out."""
    plain = unicodedata.normalize("NFD", text.casefold())
    letters = "".join(
        sign if sign.isalpha() else " " for sign in plain if not unicodedata.combining(sign) and sign != "'"
    )
    return [word for word in letters.split() if len(word) >= NAME_LEAST]


def _stage_words(job: Job, *, now: datetime, zone: ZoneInfo) -> str:
    on = job.stage_since.astimezone(zone).date()
    days = (now.astimezone(zone).date() - on).days
    when = {0: "today", 1: "yesterday"}.get(days, f"on {on:%A} {on.day} {on:%B}")
    if job.stage == Stage.POSTED.value:
        return f"posted {when}"
    return f"not posted yet, {'cleared' if job.stage == Stage.CLEARED.value else 'booked'} {when}"


def _as_part(reason: str) -> str:
    text = reason.rstrip(".")
    return text[:1].lower() + text[1:]


def _sentence(parts: list[str]) -> str:
    text = "; ".join(parts)
    return text[:1].upper() + text[1:] + "."
