"""Which quotes were kept, and what came of them?"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from django.db.models import Min

from jobs.domain.facts import load_facts
from jobs.domain.stages import EventKind, HoldKind, Stage
from jobs.leadtime.calibrate import PastQuote
from jobs.leadtime.clock import WorkingHours, working_hours_between
from jobs.leadtime.drift import Drift
from jobs.leadtime.ranges import QuotedLevels, Reason
from jobs.leadtime.record import QuoteRecord
from jobs.models import ForecastRun, Job, JobEvent, KeptQuote
from packing.plain import from_plain

E = EventKind
COUNTED = timedelta(days=400)
MOST_REPLAYED = 120
LEAST_BEFORE = 60  # so many units have come before the first one whose quote is worked out afterwards
STOPPED_CLOCKS = frozenset({HoldKind.ANSWER, HoldKind.PAYMENT})
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
    """How many quotes were worked out afterwards, how many there are to be, and whose turn is next."""

    done: int
    wanted: int
    next_numbers: tuple[str, ...] = ()


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
    kinds = (E.PACKED.value, E.HELD.value, E.RELEASED.value, E.CORRECTED.value)
    rows = (
        JobEvent.objects.filter(job_id__in=job_ids, kind__in=kinds)
        .order_by("job_id", "number")
        .values_list("job_id", "number", "kind", "facts", "happened_at")
    )
    told: dict[int, list[tuple[int, EventKind, dict[str, object], datetime]]] = defaultdict(list)
    for job_id, number, kind, facts, at in rows.iterator():
        told[job_id].append((number, EventKind(kind), facts, at))
    return {job_id: _outcome(events) for job_id, events in told.items()}


def _outcome(events: Sequence[tuple[int, EventKind, dict[str, object], datetime]]) -> _Outcome:
    taken_back = {
        load_facts(kind, stored=facts).corrects for _, kind, facts, _ in events if kind is E.CORRECTED
    }
    packed: list[datetime] = []
    stopped: list[tuple[datetime, datetime | None]] = []
    held_at: datetime | None = None
    for number, kind, facts, at in events:
        if number in taken_back:
            continue
        if kind is E.PACKED:
            packed.append(at)
        elif kind is E.HELD and load_facts(kind, stored=facts).hold in STOPPED_CLOCKS:
            held_at = at
        elif kind is E.RELEASED and held_at is not None:
            stopped.append((held_at, at))
            held_at = None
    if held_at is not None:
        stopped.append((held_at, None))
    return _Outcome(tuple(packed), tuple(stopped))


def _overlap_h(
    hours: WorkingHours, held: tuple[datetime, datetime | None], *, first: datetime, last: datetime
) -> float:
    start, end = max(held[0], first), min(held[1] or last, last)
    return working_hours_between(hours, start=start, end=end) if start < end else 0.0


def replay_progress(*, families: Collection[str], now: datetime) -> ReplayProgress:
    """Return which past arrivals, spread evenly over the last 400 days, still want a quote worked out.

    Only units that came before the first quote was kept on arrival, and after the first sixty.
    """
    first_kept = KeptQuote.objects.filter(moment=Moment.ARRIVAL.value).aggregate(at=Min("computed_at"))["at"]
    done = set(KeptQuote.objects.filter(moment=Moment.REPLAYED.value).values_list("job__number", flat=True))
    arrived = (
        Job.objects.filter(arrived_at__lt=first_kept or now)
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
    left = [number for number in spread if number not in done]
    return ReplayProgress(len(done), wanted, tuple(left[: max(wanted - len(done), 0)]))


def last_promise(job: Job) -> KeptQuote | None:
    """Return the forecast behind the job's last promise, None if it was not kept."""
    return KeptQuote.objects.filter(job=job, moment=Moment.PROMISE.value).order_by("-event_number").first()


def promised_at(job: Job) -> datetime:
    """Return when the job's promise was given or last moved, or its booking if it has none."""
    kinds = (E.PROMISE_MADE.value, E.PROMISE_CHANGED.value)
    last = JobEvent.objects.filter(job=job, kind__in=kinds).order_by("-number").first()
    return last.happened_at if last else job.booked_at


def reasons_of(kept: KeptQuote) -> tuple[Reason, ...]:
    """Return what took the time in a kept forecast."""
    return tuple(from_plain(Reason, each) for each in kept.reasons)


def quotes_now() -> QuotesNow:
    """Return what the newest run of the forecast found out about past quotes, in one query."""
    run = ForecastRun.objects.order_by("-computed_at").first()
    if run is None:
        return QuotesNow()
    replays = run.overview.get("replays", {})
    return QuotesNow(
        computed_at=run.computed_at,
        refusal=str(run.overview.get("refusal", "")),
        record=record_of(run),
        replays=ReplayProgress(int(replays.get("done", 0)), int(replays.get("wanted", 0))),
        drifts=tuple(from_plain(Drift, each) for each in run.overview.get("drifts", ())),
    )


def record_of(run: ForecastRun) -> QuoteRecord | None:
    """Return how past quotes came true as a run found it, None if it could not be told."""
    stored = run.overview.get("record")
    return from_plain(QuoteRecord, stored) if stored else None
