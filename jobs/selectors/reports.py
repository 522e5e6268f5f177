"""What came in and went out, what arrived damaged, how loaded the benches are, what the forecast says now?"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Count, Exists, OuterRef, QuerySet
from django.db.models.fields.json import KeyTextTransform

from jobs.domain.attribution import Cause
from jobs.domain.condition import PackingFound
from jobs.domain.staff_words import reason_for_staff
from jobs.domain.stages import EventKind, Stage
from jobs.leadtime.ranges import BasedOn, CentreLoad, Limit, Reason, Refusal
from jobs.models import FamilyForecast, ForecastRun, Job, JobEvent, Mark, OutboxMessage
from jobs.selectors.merged_boxes import arrived_units, merged_boxes
from jobs.selectors.outlook import Chances, read_chances
from jobs.selectors.refusals import refusal_of
from jobs.selectors.spans import SpanNumber, midnight
from jobs.selectors.stored import read_each, read_stored
from jobs.selectors.taken_back import taken_back
from jobs.selectors.unit_names import name_family
from packing.selectors import Catalogue

FLOW_WEEKS = 26
DAMAGE_MONTHS = 12
GIVEN_UP_SHOWN = 20
NOT_INSPECTED = (Stage.BOOKED.value, Stage.CLEARED.value, Stage.POSTED.value, Stage.ARRIVED.value)
PACKING_UNKNOWN = ""
KNOWN_OTHERWISE = (Cause.BEFORE_POSTING.value, Cause.AT_THIS_SHOP.value)


@dataclass(frozen=True, slots=True)
class WeekFlow:
    """Units that arrived and units that went back in the week of this Monday."""

    monday: date
    arrived: int
    sent_back: int
    is_running: bool


@dataclass(frozen=True, slots=True)
class DamageCount:
    """Of the inspected arrivals of one month, or of one kind of packing, how many had fresh damage.

    Damage is counted when it was first seen on arrival and nothing shows that it is older. What is said to
    have caused it is left out: that judgement looks at the packing, so a table of them would prove itself.
    """

    month: date | None
    packing: PackingFound | None
    arrivals: int
    damaged: int

    @property
    def share(self) -> float:
        """The damaged part, 0 to 1; 0 without arrivals."""
        return self.damaged / self.arrivals if self.arrivals else 0.0

    @property
    def percent(self) -> int:
        """The damaged part in whole hundredths."""
        return round(self.share * 100)


@dataclass(frozen=True, slots=True)
class Damages:
    """Damage first seen on arrival in the last months, by month and by how the unit was packed."""

    months: tuple[DamageCount, ...]
    packings: tuple[DamageCount, ...]


@dataclass(frozen=True, slots=True)
class FamilyRange:
    """When a unit of this family that arrives now would go back, and why."""

    family: str
    name: str
    earliest_on: date
    likely_on: date
    latest_on: date
    reasons: tuple[tuple[str, float], ...]
    based_on: BasedOn


@dataclass(frozen=True, slots=True)
class ForecastNow:
    """What the newest stored simulation says; `refusal` is why there is none.

    `refused_jobs` says by job number why it could give a job no date.
    """

    computed_at: datetime | None
    refusal: str
    centres: tuple[CentreLoad, ...]
    limit: Limit | None
    people_load_share: float
    quiet_week: date | None
    families: tuple[FamilyRange, ...]
    refusals: tuple[str, ...]
    refused_jobs: Mapping[str, str]
    chances: Chances


@dataclass(frozen=True, slots=True)
class MailGivenUp:
    """A mail that could not be sent, and what the last try said."""

    pk: int
    kind: str
    recipient: str
    job_number: str
    last_error: str
    created_at: datetime

    @property
    def kind_words(self) -> str:
        """The kind of mail in words."""
        return self.kind.replace("_", " ").capitalize()


def weekly_flow(*, zone: ZoneInfo, now: datetime) -> tuple[WeekFlow, ...]:
    """Return the last half year by week, in two queries; the last week is still running."""
    today = now.astimezone(zone).date()
    this_monday = today - timedelta(days=today.weekday())
    mondays = [this_monday - timedelta(weeks=count) for count in range(FLOW_WEEKS - 1, -1, -1)]
    since = midnight(mondays[0], zone=zone)

    def by_week(rows: "QuerySet[Any]", column: str) -> dict[int, int]:
        fitting = rows.filter(**{f"{column}__gte": since, f"{column}__lte": now}).order_by()
        week = SpanNumber(column, first_days=mondays, zone=zone)
        return dict(fitting.annotate(week=week).values_list("week").annotate(count=Count("pk")))

    arrived, sent_back = by_week(arrived_units(), "arrived_at"), by_week(_sent_back(), "happened_at")
    return tuple(
        WeekFlow(monday, arrived.get(week, 0), sent_back.get(week, 0), monday == this_monday)
        for week, monday in enumerate(mondays)
    )


def _sent_back() -> "QuerySet[JobEvent]":
    """Return the events of units going back, rebuilt or not, without those that a correction takes back."""
    kinds = [EventKind.SENT_BACK.value, EventKind.RETURNED_UNREPAIRED.value]
    return JobEvent.objects.filter(~taken_back(), kind__in=kinds)


def damages(*, zone: ZoneInfo, now: datetime) -> Damages:
    """Return how many inspected arrivals of the last twelve months had damage first seen then; one query."""
    this_month = now.astimezone(zone).date().replace(day=1)
    months = [_months_before(this_month, count=count) for count in range(DAMAGE_MONTHS - 1, -1, -1)]
    kinds = [EventKind.ARRIVED.value, EventKind.BOX_RECORDED.value]
    rows = (
        JobEvent.objects.filter(
            ~taken_back(),
            kind__in=kinds,
            happened_at__gte=midnight(months[0], zone=zone),
            happened_at__lte=now,
        )
        .exclude(job__in=Job.objects.filter(stage__in=NOT_INSPECTED))
        .exclude(job__in=merged_boxes())
        .order_by()
        .annotate(
            month=SpanNumber("happened_at", first_days=months, zone=zone),
            packing=KeyTextTransform("packing_found", "facts"),
            is_damaged=Exists(
                Mark.objects.filter(job=OuterRef("job"), withdrawn_at__isnull=True, severity__gt=0).exclude(
                    origin__in=KNOWN_OTHERWISE
                )
            ),
        )
        .values_list("month", "packing", "is_damaged")
        .annotate(count=Count("job", distinct=True))
    )
    arrivals: Counter[object] = Counter()
    damaged: Counter[object] = Counter()
    for month, packing, is_damaged, count in rows:
        for key in (months[month], packing or PACKING_UNKNOWN):
            arrivals[key] += count
            damaged[key] += count if is_damaged else 0
    return Damages(
        months=tuple(DamageCount(month, None, arrivals[month], damaged[month]) for month in months),
        packings=tuple(
            DamageCount(None, found, arrivals[found.value], damaged[found.value]) for found in PackingFound
        ),
    )


def _months_before(month: date, *, count: int) -> date:
    years, index = divmod(month.year * 12 + month.month - 1 - count, 12)
    return date(years, index + 1, 1)


def forecast_now(*, published: Catalogue) -> ForecastNow:
    """Return the newest stored forecast of the shop and of a unit arriving now, in two queries."""
    run = ForecastRun.objects.order_by("-computed_at").first()
    overview: dict[str, Any] = run.overview if run else {}
    refusals = read_each(Refusal, overview.get("refusals", ()))
    families = tuple(
        FamilyRange(
            family=row.family,
            name=name_family(row.family, published=published),
            earliest_on=row.earliest_on,
            likely_on=row.likely_on,
            latest_on=row.latest_on,
            reasons=tuple(
                (reason_for_staff(each.sentence), each.working_days)
                for each in read_each(Reason, row.reasons)
            ),
            based_on=BasedOn(row.based_on),
        )
        for row in FamilyForecast.objects.order_by("family")
    )
    return ForecastNow(
        computed_at=run.computed_at if run else None,
        refusal=refusal_of(run),
        centres=read_each(CentreLoad, overview.get("centres", ())),
        limit=read_stored(Limit, overview["limit"]) if overview.get("limit") else None,
        people_load_share=float(overview.get("people_load_share", 0.0)),
        quiet_week=read_stored(date, overview.get("quiet_week")),
        families=families,
        refusals=tuple(dict.fromkeys(each.sentence for each in refusals)),
        refused_jobs={each.job_number: each.sentence for each in refusals if each.job_number},
        chances=read_chances(overview),
    )


def mails_given_up() -> tuple[MailGivenUp, ...]:
    """Return the newest mails that were given up, in one query."""
    rows = (
        OutboxMessage.objects.filter(state="given_up")
        .select_related("job")
        .only("job__number", "kind", "recipient", "last_error", "created_at")
        .order_by("-created_at")
    )
    return tuple(
        MailGivenUp(
            pk=row.pk,
            kind=row.kind,
            recipient=row.recipient,
            job_number=row.job.number if row.job else "",
            last_error=row.last_error,
            created_at=row.created_at,
        )
        for row in rows[:GIVEN_UP_SHOWN]
    )
