"""How deep is the queue, who waits for whom, and which promise is at risk? Read from stored rows only.

One query reads every open job with its customer and its stored forecast; everything here is counted from
those rows, so that the number of queries stays the same however many jobs there are.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from django.db.models import OuterRef, Subquery
from django.db.models.fields.json import KeyTextTransform, KeyTransform

from jobs.domain.staff_words import hold_for_staff, reason_for_staff
from jobs.domain.stages import AWAITED, HOLD_LABELS, IN_SHOP, OPEN_STAGES, EventKind, HoldKind, Stage
from jobs.models import Job, JobEvent
from jobs.selectors.listing import MODEL_TOLD
from jobs.selectors.promises_at_risk import PromiseAtRisk, RiskKind, threat_to
from jobs.selectors.questions import open_questions
from jobs.selectors.shop_state import expected_at
from jobs.selectors.unit_names import name_model
from packing.selectors import Catalogue

AGE_BANDS_DAYS = (7, 14, 28, 56)
WEEKS_AHEAD = 5
COLUMNS = (
    "number", "family", "unit_model", "model_told", "customer__name", "stage", "stage_since", "hold",
    "hold_since", "hold_reason", "promise_latest_on", "forecast__likely_on", "forecast__latest_on",
    "first_reason", "first_promise", "priority",
)  # fmt: skip
FIRST_PROMISE = Subquery(
    JobEvent.objects.filter(job=OuterRef("pk"), kind=EventKind.PROMISE_MADE.value)
    .order_by("number")
    .annotate(day=KeyTextTransform("latest_on", "facts"))
    .values("day")[:1]
)
FIRST_REASON = KeyTextTransform("sentence", KeyTransform(0, "forecast__reasons"))


class Waiting(StrEnum):
    """For whom or for what an open job waits."""

    SHOP_ANSWER = "shop_answer"
    POSTING = "posting"
    CARRIER = "carrier"
    INSPECTION = "inspection"
    BENCH = "bench"
    ANSWER = "answer"
    PARTS = "parts"
    OUTSIDE = "outside"
    PAYMENT = "payment"
    PACKING = "packing"


@dataclass(frozen=True, slots=True)
class OpenJob:
    """What this page reads of one open job, in the order of `COLUMNS`.

    `asked_at` is when the shop asked what its booking waits for; None where nothing is asked.
    """

    number: str
    family: str
    unit_model: str
    model_told: str | None
    customer_name: str | None
    stage: str
    stage_since: datetime
    hold: str
    hold_since: datetime | None
    hold_reason: str
    promised_on: date | None
    likely_on: date | None
    latest_on: date | None
    first_reason: str | None
    first_promise: str | None
    priority: bool
    asked_at: datetime | None


@dataclass(frozen=True, slots=True)
class StageAges:
    """How many jobs stand at one stage, by how long: one count per band, the last band open."""

    stage: Stage
    counts: tuple[int, ...]

    @property
    def total(self) -> int:
        """All jobs at the stage."""
        return sum(self.counts)


@dataclass(frozen=True, slots=True)
class HeldJob:
    """One held job: for what, why, and since when."""

    number: str
    unit_words: str
    customer_name: str
    kind: HoldKind
    reason: str
    since: datetime


@dataclass(frozen=True, slots=True)
class WaitingCount:
    """How many jobs wait for one thing, and since when the first of them does."""

    waiting: Waiting
    count: int
    oldest_since: datetime | None
    oldest_number: str


@dataclass(frozen=True, slots=True)
class WeekAhead:
    """Parcels expected in the week of this Monday; `is_last` also counts everything after it."""

    monday: date
    posted: int
    cleared: int
    is_last: bool


@dataclass(frozen=True, slots=True)
class OpenJobs:
    """Everything the owner's page says about the jobs that are open now."""

    count: int
    in_shop: int
    promised: int
    stages: tuple[StageAges, ...]
    holds: tuple[HeldJob, ...]
    risks: tuple[PromiseAtRisk, ...]
    waits: tuple[WaitingCount, ...]
    weeks_ahead: tuple[WeekAhead, ...]

    @property
    def own_risks(self) -> tuple[PromiseAtRisk, ...]:
        """The promises at risk while the shop has the work."""
        return tuple(risk for risk in self.risks if not risk.waits_for_customer)

    @property
    def waiting_risks(self) -> tuple[PromiseAtRisk, ...]:
        """The promises whose days do not count at present, because the shop waits for its customer."""
        return tuple(risk for risk in self.risks if risk.waits_for_customer)

    @property
    def risks_count(self) -> int:
        """How many promises are at risk while the shop has the work."""
        return len(self.own_risks)

    @property
    def holds_count(self) -> int:
        """How many jobs are held."""
        return len(self.holds)


def open_jobs(*, published: Catalogue, refused: Mapping[str, str], zone: ZoneInfo, now: datetime) -> OpenJobs:
    """Return the counts of all open jobs, in two queries.

    `refused` holds, by job number, why the newest run could give a job no date.
    """
    rows = Job.objects.filter(stage__in=[stage.value for stage in OPEN_STAGES]).order_by("pk")
    told = rows.annotate(model_told=MODEL_TOLD, first_reason=FIRST_REASON, first_promise=FIRST_PROMISE)
    asked = open_questions(rows.filter(stage=Stage.BOOKED.value))
    asked_at = {pk: question.asked_at for pk, question in asked.items()}
    jobs = [OpenJob(*(*row, asked_at.get(pk))) for pk, *row in told.values_list("pk", *COLUMNS)]
    today = now.astimezone(zone).date()
    in_shop = [job for job in jobs if Stage(job.stage) in IN_SHOP]
    return OpenJobs(
        count=len(jobs),
        in_shop=len(in_shop),
        promised=sum(job.promised_on is not None for job in in_shop),
        stages=_ages(jobs, now=now),
        holds=tuple(_held(jobs, published=published)),
        risks=_risks(in_shop, published=published, refused=refused, today=today),
        waits=tuple(_waits(jobs)),
        weeks_ahead=_weeks_ahead(jobs, zone=zone, now=now),
    )


def _ages(jobs: Iterable[OpenJob], *, now: datetime) -> tuple[StageAges, ...]:
    counted: Counter[tuple[str, int]] = Counter()
    for job in jobs:
        days = (now - job.stage_since) / timedelta(days=1)
        counted[job.stage, sum(days >= bound for bound in AGE_BANDS_DAYS)] += 1
    bands = range(len(AGE_BANDS_DAYS) + 1)
    rows = (
        StageAges(stage, tuple(counted[stage.value, band] for band in bands))
        for stage in Stage
        if stage in OPEN_STAGES
    )
    return tuple(row for row in rows if row.total)


def _held(jobs: Iterable[OpenJob], *, published: Catalogue) -> Iterable[HeldJob]:
    held = sorted((job for job in jobs if job.hold), key=lambda job: job.hold_since or job.stage_since)
    for job in held:
        yield HeldJob(
            number=job.number,
            unit_words=_unit_words(job, published=published),
            customer_name=job.customer_name or "",
            kind=HoldKind(job.hold),
            reason=_hold_reason(job) or HOLD_LABELS[HoldKind(job.hold)],
            since=job.hold_since or job.stage_since,
        )


def _risks(
    jobs: Iterable[OpenJob], *, published: Catalogue, refused: Mapping[str, str], today: date
) -> tuple[PromiseAtRisk, ...]:
    found = [_risk(job, published=published, refused=refused, today=today) for job in jobs]
    order = list(RiskKind)
    return tuple(
        sorted((risk for risk in found if risk), key=lambda risk: (order.index(risk.kind), -risk.late_days))
    )


def _risk(
    job: OpenJob, *, published: Catalogue, refused: Mapping[str, str], today: date
) -> PromiseAtRisk | None:
    promised = job.promised_on
    if promised is None or job.stage == Stage.PACKED.value:
        return None
    likely_on, latest_on, is_untold = job.likely_on, job.latest_on, job.number in refused
    threat = threat_to(promised, likely_on=likely_on, latest_on=latest_on, is_untold=is_untold, today=today)
    if threat is None:
        return None
    kind, late_days = threat
    first = date.fromisoformat(job.first_promise) if job.first_promise else None
    return PromiseAtRisk(
        number=job.number,
        unit_words=_unit_words(job, published=published),
        customer_name=job.customer_name or "",
        stage=Stage(job.stage),
        hold=HoldKind(job.hold) if job.hold else None,
        kind=kind,
        late_days=late_days,
        promised_on=promised,
        likely_on=likely_on,
        latest_on=latest_on,
        reason=refused.get(job.number) or _hold_reason(job) or reason_for_staff(job.first_reason or ""),
        first_promised_on=first if first != promised else None,
        is_first=job.priority,
        is_untold=is_untold,
    )


def _hold_reason(job: OpenJob) -> str:
    return hold_for_staff(job.hold_reason, hold=HoldKind(job.hold)) if job.hold else ""


def _unit_words(job: OpenJob, *, published: Catalogue) -> str:
    return name_model(job.unit_model, family=job.family, told=job.model_told or "", published=published)


# What a job waits for by its stage; a hold comes before it, and every other stage waits for a bench.
_WAITING_AT: dict[Stage, Waiting] = {
    Stage.BOOKED: Waiting.SHOP_ANSWER,
    Stage.CLEARED: Waiting.POSTING,
    Stage.POSTED: Waiting.CARRIER,
    Stage.ARRIVED: Waiting.INSPECTION,
    Stage.SIGNED_OFF: Waiting.PACKING,
    Stage.PACKED: Waiting.PACKING,
    Stage.SENT_BACK: Waiting.CARRIER,
}


def _waits(jobs: Iterable[OpenJob]) -> Iterable[WaitingCount]:
    since: dict[Waiting, list[tuple[datetime, str]]] = {waiting: [] for waiting in Waiting}
    for job in jobs:
        if job.hold:
            since[Waiting(job.hold)].append((job.hold_since or job.stage_since, job.number))
        elif job.asked_at:
            since[Waiting.ANSWER].append((job.asked_at, job.number))
        else:
            waiting = _WAITING_AT.get(Stage(job.stage), Waiting.BENCH)
            since[waiting].append((job.stage_since, job.number))
    for waiting, moments in since.items():
        oldest, number = min(moments, default=(None, ""))
        yield WaitingCount(waiting, len(moments), oldest, number)


def _weeks_ahead(jobs: Sequence[OpenJob], *, zone: ZoneInfo, now: datetime) -> tuple[WeekAhead, ...]:
    """Return the announced parcels by the week they are expected in, by the same rule as the forecast's."""
    today = now.astimezone(zone).date()
    this_monday = today - timedelta(days=today.weekday())
    counted: Counter[tuple[str, int]] = Counter()
    for job in jobs:
        if Stage(job.stage) not in AWAITED:
            continue
        expected = expected_at(Stage(job.stage), since=job.stage_since, now=now).astimezone(zone).date()
        week = min((expected - this_monday).days // 7, WEEKS_AHEAD - 1)
        counted[job.stage, week] += 1
    return tuple(
        WeekAhead(
            monday=this_monday + timedelta(weeks=week),
            posted=counted[Stage.POSTED.value, week],
            cleared=counted[Stage.CLEARED.value, week],
            is_last=week == WEEKS_AHEAD - 1,
        )
        for week in range(WEEKS_AHEAD)
    )
