"""Which quotes were kept, and what came of them?"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from django.db.models import Max, Min

from jobs.domain.holds import STOPPED_CLOCKS, TOLD_OF_HOLDS, fold_holds
from jobs.domain.replay import LogEntry, standing_events
from jobs.domain.stages import EventKind, Stage
from jobs.leadtime.calibrate import PastQuote
from jobs.leadtime.clock import WorkingHours, working_hours_between
from jobs.leadtime.drift import Drift
from jobs.leadtime.ranges import DEFAULT_LEVELS, QuotedLevels, Reason
from jobs.leadtime.record import QuoteRecord
from jobs.leadtime.state import Priority
from jobs.models import ForecastRun, Job, JobEvent, KeptQuote, QuoteRefusal, ShopRevision
from jobs.selectors.logs import logs_of
from jobs.selectors.merged_boxes import arrived_units
from jobs.selectors.refusals import refusal_of
from jobs.selectors.stored import read_each, read_stored
from jobs.selectors.taken_back import taken_back

E = EventKind
COUNTED = timedelta(days=400)
MOST_REPLAYED = 120
LEAST_BEFORE = 60  # so many units have come before the first one whose quote is worked out afterwards
PROMISES = (E.PROMISE_MADE, E.PROMISE_CHANGED)
NEWS = frozenset(
    {
        E.FINDING_RECORDED,
        E.EXTRA_WORK_ASKED,
        E.EXTRA_WORK_APPROVED,
        E.EXTRA_WORK_DECLINED,
        E.QUESTION_ANSWERED,
        E.TEST_FAILED,
        E.HELD,
        E.RELEASED,
    }
)
UNREPAIRED = (Stage.DECLINED.value, Stage.CANCELLED.value, Stage.RETURNED_UNREPAIRED.value)


class Moment(StrEnum):
    """When a quote that was kept had been made."""

    ARRIVAL = "arrival"
    REPLAYED = "replayed"
    PROMISE = "promise"


ON_ARRIVAL = frozenset({Moment.ARRIVAL, Moment.REPLAYED})


@dataclass(frozen=True, slots=True)
class QuoteRow:
    """One kept quote and what came of it; `packed_at` is None while the unit is not packed."""

    job_number: str
    family: str
    moment: Moment
    computed_at: datetime
    earliest_on: date
    likely_on: date
    latest_on: date
    packed_at: datetime | None
    is_back_in_time: bool
    left_unrepaired: bool
    past: PastQuote


@dataclass(frozen=True, slots=True)
class ReplayProgress:
    """How many quotes were worked out afterwards, how many there are to be, and whose turn is next.

    `refused` more could not be worked out.
    """

    done: int
    wanted: int
    next_numbers: tuple[str, ...] = ()
    refused: int = 0


NO_REPLAYS = ReplayProgress(0, 0)


@dataclass(frozen=True, slots=True)
class QuotesNow:
    """How past quotes came true and which steps have changed, as the newest run found it."""

    computed_at: datetime | None = None
    refusal: str = ""
    record: QuoteRecord | None = None
    replays: ReplayProgress = NO_REPLAYS
    drifts: tuple[Drift, ...] = ()


@dataclass(frozen=True, slots=True)
class LevelsInForce:
    """At which points of the simulation the whole shop and each family are quoted now."""

    shop: QuotedLevels = DEFAULT_LEVELS
    families: Mapping[str, QuotedLevels] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Outcome:
    packed_at: tuple[datetime, ...] = ()
    stopped: tuple[tuple[datetime, datetime | None], ...] = ()


def past_quotes(moments: Collection[Moment], *, hours: WorkingHours, now: datetime) -> tuple[PastQuote, ...]:
    """Return the quotes of the last 400 days with what came of them, in three queries, the oldest first.

    A unit that went back unrepaired says nothing about a quote for its repair, and is left out.
    """
    rows = quote_rows(moments, hours=hours, now=now)
    return tuple(row.past for row in rows if not row.left_unrepaired)


def quote_rows(moments: Collection[Moment], *, hours: WorkingHours, now: datetime) -> Iterator[QuoteRow]:
    """Yield every kept quote of the last 400 days with its outcome, the oldest first."""
    kept = KeptQuote.objects.filter(moment__in=list(moments), computed_at__gt=now - COUNTED)
    outcomes = _outcomes(kept.values_list("job_id", flat=True))
    zone = ZoneInfo(hours.time_zone)
    for row in kept.select_related("job").order_by("computed_at", "pk"):
        outcome = outcomes.get(row.job_id, _Outcome())
        packed_at = next((at for at in outcome.packed_at if at > row.computed_at), None)
        until = packed_at or now
        past = PastQuote(
            row.job.number,
            row.computed_at,
            tuple(row.quantile_hours),
            packed_at,
            row.family,
            stopped_hours=sum(
                _overlap_h(hours, held, first=row.computed_at, last=until) for held in outcome.stopped
            ),
            levels=QuotedLevels(*row.quoted_levels),
            priority=Priority.URGENT if row.job.priority else Priority.ORDINARY,
        )
        yield QuoteRow(
            row.job.number,
            row.family,
            Moment(row.moment),
            row.computed_at,
            row.earliest_on,
            row.likely_on,
            row.latest_on,
            packed_at,
            packed_at is not None and packed_at.astimezone(zone).date() <= row.latest_on,
            packed_at is None and row.job.stage in UNREPAIRED,
            past,
        )


def _outcomes(job_ids: Iterable[int]) -> dict[int, _Outcome]:
    """Return when each job was packed and when it waited for its customer, without what was taken back."""
    kinds = [kind.value for kind in (E.PACKED, E.CORRECTED, *TOLD_OF_HOLDS)]
    told = logs_of(JobEvent.objects.filter(job_id__in=job_ids, kind__in=kinds))
    return {job_id: _outcome(entries) for job_id, entries in told}


def _outcome(entries: Sequence[LogEntry]) -> _Outcome:
    standing = standing_events(entries)
    spans = fold_holds((entry.kind, entry.facts, entry.happened_at) for entry in standing)
    return _Outcome(
        tuple(entry.happened_at for entry in standing if entry.kind is E.PACKED),
        tuple((span.began_at, span.ended_at) for span in spans if span.kind in STOPPED_CLOCKS),
    )


def _overlap_h(
    hours: WorkingHours, held: tuple[datetime, datetime | None], *, first: datetime, last: datetime
) -> float:
    start, end = max(held[0], first), min(held[1] or last, last)
    return working_hours_between(hours, start=start, end=end) if start < end else 0.0


def replay_progress(*, families: Collection[str], now: datetime) -> ReplayProgress:
    """Return which past arrivals, spread evenly over the last 400 days, still want a quote worked out.

    Only units that came before the first quote was kept on arrival, and after the first sixty. What could
    not be worked out is tried again once the shop's hours, benches, people or routes are published anew.
    """
    first_kept = KeptQuote.objects.filter(moment=Moment.ARRIVAL.value).aggregate(at=Min("computed_at"))["at"]
    done = set(KeptQuote.objects.filter(moment=Moment.REPLAYED.value).values_list("job__number", flat=True))
    arrived = (
        arrived_units()
        .filter(arrived_at__lt=first_kept or now)
        .exclude(quotes__moment=Moment.ARRIVAL.value)
        .order_by("arrived_at", "number")
        .values_list("number", "family", "stage", "arrived_at")
    )
    fit = [
        number
        for number, family, stage, at in list(arrived)[LEAST_BEFORE:]
        if family in families and stage not in UNREPAIRED and at is not None and at > now - COUNTED
    ]
    wanted = min(MOST_REPLAYED, len(fit))
    spread = [fit[at * len(fit) // wanted] for at in range(wanted)]
    refused = _refused_numbers() & set(spread)
    wanted -= len(refused)
    left = [number for number in spread if number not in done | refused]
    return ReplayProgress(len(done), wanted, tuple(left[: max(wanted - len(done), 0)]), len(refused))


def _refused_numbers() -> set[str]:
    published_at = ShopRevision.objects.aggregate(at=Max("published_at"))["at"]
    rows = QuoteRefusal.objects.all()
    if published_at is not None:
        rows = rows.filter(refused_at__gte=published_at)
    return set(rows.values_list("job__number", flat=True))


def last_promise(job: Job) -> KeptQuote | None:
    """Return the forecast behind the job's last promise, None if it was not kept."""
    return KeptQuote.objects.filter(job=job, moment=Moment.PROMISE.value).order_by("-event_number").first()


def has_news(job: Job) -> bool:
    """Return whether something of this very unit came up since its promise was given or last moved."""
    kinds = [kind.value for kind in (*PROMISES, *NEWS)]
    last = JobEvent.objects.filter(~taken_back(), job=job, kind__in=kinds).order_by("-number").first()
    return last is not None and EventKind(last.kind) in NEWS


def promised_at(job: Job) -> datetime:
    """Return when the job's promise was given or last moved, or its booking if it has none."""
    kinds = [kind.value for kind in PROMISES]
    last = JobEvent.objects.filter(job=job, kind__in=kinds).order_by("-number").first()
    return last.happened_at if last else job.booked_at


def reasons_of(kept: KeptQuote) -> tuple[Reason, ...]:
    """Return what took the time in a kept forecast."""
    return read_each(Reason, kept.reasons)


def levels_in_force(run: ForecastRun | None) -> LevelsInForce:
    """Return the levels at which a run quoted its dates; as simulated where it did not say."""
    record = record_of(run) if run is not None else None
    if record is None:
        return LevelsInForce()
    levels = {row.family: row.levels for row in record.levels}
    return LevelsInForce(levels.pop("", DEFAULT_LEVELS), levels)


def quotes_now() -> QuotesNow:
    """Return what the newest run of the forecast found out about past quotes, in one query."""
    run = ForecastRun.objects.order_by("-computed_at").first()
    if run is None:
        return QuotesNow()
    replays = run.overview.get("replays", {})
    return QuotesNow(
        computed_at=run.computed_at,
        refusal=refusal_of(run),
        record=record_of(run),
        replays=ReplayProgress(
            int(replays.get("done", 0)),
            int(replays.get("wanted", 0)),
            refused=int(replays.get("refused", 0)),
        ),
        drifts=read_each(Drift, run.overview.get("drifts", ())),
    )


def record_of(run: ForecastRun) -> QuoteRecord | None:
    """Return how past quotes came true as a run found it, None if it could not be told."""
    stored = run.overview.get("record")
    return read_stored(QuoteRecord, stored) if stored else None
