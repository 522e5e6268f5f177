"""What did the worker work out beside the dates? Read from stored rows only; every answer may be missing."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TypeVar

from jobs.leadtime.contributions import Contribution
from jobs.leadtime.intake import Sending, SendingAdvice
from jobs.leadtime.newcomers import NewcomerCurve
from jobs.leadtime.outlook import ShopOutlook
from jobs.leadtime.starts import StartGain
from jobs.models import OutlookPart
from jobs.selectors.unit_names import name_family
from packing.errors import CatalogueError
from packing.plain import from_plain
from packing.selectors import Catalogue

CALENDAR_WEEKS = 12
ADVICE_KEPT = timedelta(days=3)
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class FamilyIntake:
    """The weeks ahead for one family, and the advice to whoever sends one."""

    family: str
    name: str
    advice: SendingAdvice | None
    curve: NewcomerCurve


@dataclass(frozen=True, slots=True)
class Stakes:
    """What is at stake at the benches: the chance of each promise, and what a start would change."""

    kept_shares: Mapping[str, float]
    gains: Mapping[str, StartGain]
    computed_at: datetime | None


@dataclass(frozen=True, slots=True)
class IntakeCalendar:
    """All families with the moment they were worked out; `refusal` says why there are none."""

    families: tuple[FamilyIntake, ...]
    computed_at: datetime | None
    refusal: str


def weeks_ahead() -> tuple[ShopOutlook | None, str]:
    """Return the stored outlook, or why there is none."""
    row = OutlookPart.objects.filter(part="weeks").first()
    if row is None or "refusal" in row.content:
        return None, str(row.content["refusal"]) if row else ""
    return _read(ShopOutlook, row.content), ""


def promise_chances() -> dict[str, float]:
    """Return the stored chance of each promise by job number; of a promise that moved since, none."""
    found, _refusal = weeks_ahead()
    return {each.job_number: each.kept_share for each in found.promises} if found else {}


def start_gains() -> tuple[StartGain, ...]:
    """Return what starting each of the tried jobs next would change."""
    row = OutlookPart.objects.filter(part="starts").first()
    stored = row.content.get("gains", ()) if row else ()
    return tuple(gain for each in stored if (gain := _read(StartGain, each)))


def stakes() -> Stakes:
    """Return the stored chances and starts by job number, in one query; the time is that of the older."""
    rows = {row.part: row for row in OutlookPart.objects.filter(part__in=("weeks", "starts"))}
    weeks = _read(ShopOutlook, rows["weeks"].content) if "weeks" in rows else None
    stored = rows["starts"].content.get("gains", ()) if "starts" in rows else ()
    gains = [gain for each in stored if (gain := _read(StartGain, each))]
    return Stakes(
        {each.job_number: each.kept_share for each in weeks.promises} if weeks else {},
        {gain.job_number: gain for gain in gains},
        min((row.computed_at for row in rows.values()), default=None),
    )


def contributions_of(number: str) -> tuple[Contribution, ...]:
    """Return what costs this job most, found by working the shop without it."""
    row = OutlookPart.objects.filter(part="contributions").first()
    stored = row.content.get("jobs", {}).get(number, ()) if row else ()
    return tuple(part for each in stored if (part := _read(Contribution, each)))


def sending_advice(family: str, *, now: datetime) -> SendingAdvice | None:
    """Return when a unit of the family is best sent, unless that is days old or its week is over."""
    return _advice_of(OutlookPart.objects.filter(part="advice", subject=family).first(), now=now)


def families_to_hold_on(*, published: Catalogue, now: datetime) -> tuple[tuple[str, SendingAdvice], ...]:
    """Return (name, advice) of each family that is better sent later than now, in one query."""
    rows = OutlookPart.objects.filter(part="advice").order_by("subject")
    found = [(row.subject, _advice_of(row, now=now)) for row in rows if row.subject in published.families]
    return tuple(
        (published.families[family].plural, advice)
        for family, advice in found
        if advice is not None and advice.sending is Sending.HOLD_ON
    )


def _advice_of(row: OutlookPart | None, *, now: datetime) -> SendingAdvice | None:
    if row is None or now - row.computed_at > ADVICE_KEPT:
        return None
    advice = _read(SendingAdvice, row.content)
    if advice is None or (advice.sending is Sending.HOLD_ON and _is_over(advice.arrive_in_week, now=now)):
        return None
    return advice


def intake_calendar(*, published: Catalogue) -> IntakeCalendar:
    """Return the weeks ahead of every family, in two queries."""
    own = OutlookPart.objects.filter(part="newcomers").first()
    rows = OutlookPart.objects.filter(part__in=("curve", "advice")).order_by("subject")
    stored: dict[str, dict[str, Mapping[str, object]]] = {}
    for row in rows:
        stored.setdefault(row.subject, {})[row.part] = row.content
    families = []
    for family, parts in stored.items():
        curve = _read(NewcomerCurve, parts.get("curve", {}))
        if curve is not None and family in published.families:
            advice = _read(SendingAdvice, parts.get("advice", {}))
            families.append(FamilyIntake(family, name_family(family, published=published), advice, curve))
    return IntakeCalendar(
        tuple(families),
        own.computed_at if own else None,
        str(own.content.get("refusal", "")) if own else "",
    )


def _is_over(monday: date, *, now: datetime) -> bool:
    return monday + timedelta(days=6) < now.date()


def _read(cls: type[T], content: Mapping[str, object]) -> T | None:
    """Return what was stored, or None where an earlier release stored it in another shape."""
    try:
        return from_plain(cls, content)
    except CatalogueError:
        return None
