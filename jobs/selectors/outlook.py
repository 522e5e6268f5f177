"""What did the worker work out beside the dates? Read from stored rows only; every answer may be missing."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from jobs.leadtime.contributions import Contribution
from jobs.leadtime.intake import Sending, SendingAdvice
from jobs.leadtime.newcomers import NewcomerCurve, NewcomerDay
from jobs.leadtime.outlook import PromiseChance, ShopOutlook
from jobs.leadtime.starts import StartGain
from jobs.models import ForecastRun, OutlookPart
from jobs.selectors import shop
from jobs.selectors.refusals import last_refusal
from jobs.selectors.stored import read_each, read_stored
from jobs.selectors.unit_names import name_family
from packing.selectors import Catalogue

CALENDAR_WEEKS = 12
ADVICE_KEPT = timedelta(days=3)


@dataclass(frozen=True, slots=True)
class FamilyIntake:
    """The weeks ahead for one family, and the advice to whoever sends one."""

    family: str
    name: str
    advice: SendingAdvice | None
    curve: NewcomerCurve


@dataclass(frozen=True, slots=True)
class Chances:
    """The chance of each promise as it was worked out, by job number."""

    by_number: Mapping[str, PromiseChance]

    def of(self, number: str, *, promised_on: date | None) -> float | None:
        """Return the chance of this promise; None of one that is new or was moved since."""
        found = self.by_number.get(number)
        return found.kept_share if found is not None and found.promised_on == promised_on else None


@dataclass(frozen=True, slots=True)
class Stakes:
    """What is at stake at the benches: the chance of each promise, and what a start would change."""

    chances: Chances
    gains: Mapping[str, StartGain]
    computed_at: datetime | None


@dataclass(frozen=True, slots=True)
class IntakeCalendar:
    """All families with the moment they were worked out; `refusal` says why there are none."""

    families: tuple[FamilyIntake, ...]
    computed_at: datetime | None
    refusal: str


def weeks_ahead() -> tuple[ShopOutlook | None, str]:
    """Return the stored outlook, or why there is none; what was stored before a refusal is out of date."""
    if said := last_refusal():
        return None, said
    row = OutlookPart.objects.filter(part="weeks").first()
    if row is None or "refusal" in row.content:
        return None, str(row.content["refusal"]) if row else ""
    return read_stored(ShopOutlook, row.content), ""


def is_out_of_date(computed_at: datetime, *, now: datetime) -> bool:
    """Say whether what was worked out then is too old to be told as today's, as when the worker stopped."""
    return now - computed_at > ADVICE_KEPT


def read_chances(content: object) -> Chances:
    """Return the chances in what a run found out, none where there is none or it has another shape."""
    stored = content.get("promises", ()) if isinstance(content, Mapping) else ()
    found = (_chance(each) for each in stored if isinstance(each, Mapping))
    return Chances({each.job_number: each for each in found if each is not None})


def _chance(stored: Mapping[str, object]) -> PromiseChance | None:
    """Return one stored chance, None of another shape; there are hundreds, and the owner's page waits."""
    try:
        promised_on = date.fromisoformat(str(stored["promised_on"]))
        return PromiseChance(str(stored["job_number"]), promised_on, float(str(stored["kept_share"])))
    except (KeyError, ValueError):
        return None


def stakes() -> Stakes:
    """Return the stored chances and starts by job number, in two queries; the time is that of the older.

    None from before a refusal.
    """
    starts = OutlookPart.objects.filter(part="starts").first()
    run = ForecastRun.objects.order_by("-computed_at").first()
    if run is not None and run.overview.get("refusal"):
        return Stakes(Chances({}), {}, None)
    gains = read_each(StartGain, starts.content.get("gains", ()) if starts else ())
    return Stakes(
        read_chances(run.overview if run else None),
        {gain.job_number: gain for gain in gains},
        min((row.computed_at for row in (starts, run) if row), default=None),
    )


def contributions_of(number: str) -> tuple[Contribution, ...]:
    """Return what costs this job most, found by working the shop without it."""
    return _contributions("jobs", number)


def contributions_of_family(family: str) -> tuple[Contribution, ...]:
    """Return what costs a unit of the family most that arrives now."""
    return _contributions("families", family)


def _contributions(group: str, name: str) -> tuple[Contribution, ...]:
    row = OutlookPart.objects.filter(part="contributions").first()
    stored = row.content.get(group, {}) if row else {}
    return read_each(Contribution, stored.get(name, ()) if isinstance(stored, Mapping) else ())


def day_on_arrival(family: str, *, arrives_on: date, now: datetime) -> NewcomerDay | None:
    """Return what a unit of the family meets that arrives on this day; None where that is out of date."""
    return days_on_arrival((family,), arrives_on=arrives_on, now=now).get(family)


def days_on_arrival(families: Iterable[str], *, arrives_on: date, now: datetime) -> Mapping[str, NewcomerDay]:
    """Return what a unit of each family meets that arrives on this day, in two queries.

    A family whose curve is out of date, or does not reach so far, is not in it.
    """
    rows = OutlookPart.objects.filter(part="curve", subject__in=set(families))
    fresh = [row for row in rows if not is_out_of_date(row.computed_at, now=now)]
    if not fresh or last_refusal():
        return {}
    curves = {row.subject: read_stored(NewcomerCurve, row.content) for row in fresh}
    days = {family: curve.days if curve else () for family, curve in curves.items()}
    found = {
        family: next((day for day in listed if day.arrives_on == arrives_on), None)
        for family, listed in days.items()
    }
    return {family: day for family, day in found.items() if day is not None}


def sending_advice(family: str, *, now: datetime) -> SendingAdvice | None:
    """Return when a unit of the family is best sent, unless that is out of date or its week is over."""
    if last_refusal():
        return None
    return _advice_of(OutlookPart.objects.filter(part="advice", subject=family).first(), now=now)


def families_to_hold_on(*, published: Catalogue, now: datetime) -> tuple[tuple[str, SendingAdvice], ...]:
    """Return (name, advice) of each family that is better sent later than now, in two queries."""
    if last_refusal():
        return ()
    rows = OutlookPart.objects.filter(part="advice").order_by("subject")
    found = [(row.subject, _advice_of(row, now=now)) for row in rows if row.subject in published.families]
    return tuple(
        (published.families[family].plural, advice)
        for family, advice in found
        if advice is not None and advice.sending is Sending.HOLD_ON
    )


def _advice_of(row: OutlookPart | None, *, now: datetime) -> SendingAdvice | None:
    if row is None or is_out_of_date(row.computed_at, now=now):
        return None
    advice = read_stored(SendingAdvice, row.content)
    if advice is None or (advice.sending is Sending.HOLD_ON and _is_over(advice.arrive_in_week, now=now)):
        return None
    return advice


def intake_calendar(*, published: Catalogue) -> IntakeCalendar:
    """Return the weeks ahead of every family, in three queries; none from before a refusal."""
    if said := last_refusal():
        return IntakeCalendar((), None, said)
    own = OutlookPart.objects.filter(part="newcomers").first()
    rows = OutlookPart.objects.filter(part__in=("curve", "advice")).order_by("subject")
    stored: dict[str, dict[str, Mapping[str, object]]] = {}
    for row in rows:
        stored.setdefault(row.subject, {})[row.part] = row.content
    families = []
    for family, parts in stored.items():
        curve = read_stored(NewcomerCurve, parts.get("curve", {}))
        if curve is not None and family in published.families:
            advice = read_stored(SendingAdvice, parts.get("advice", {}))
            families.append(FamilyIntake(family, name_family(family, published=published), advice, curve))
    return IntakeCalendar(
        tuple(families),
        own.computed_at if own else None,
        str(own.content.get("refusal", "")) if own else "",
    )


def _is_over(monday: date, *, now: datetime) -> bool:
    return monday + timedelta(days=6) < now.astimezone(shop.zone()).date()
