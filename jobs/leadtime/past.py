"""What was known on a day in the past, read from an event history given as plain visits and holds."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from jobs.domain.holds import stops_work
from jobs.domain.stages import HoldKind
from jobs.domain.worked import WorkedSpan
from jobs.leadtime.clock import WorkingHours
from jobs.leadtime.history import LEAST_TIMED_HOURS, StageVisit, WaitVisit
from jobs.leadtime.past_visits import PastVisit
from jobs.leadtime.routes import REDONE_STEPS, BenchStep
from jobs.leadtime.state import (
    ArrivalRate,
    FailedTests,
    LiveJob,
    Priority,
    ShopState,
    StepNeed,
    WaitNeed,
)

RATE_DAYS = 84.0
LEAST_RATE_DAYS = 7.0
HISTORY_DAYS = 400.0
DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class PastHold:
    """One hold of a job."""

    kind: HoldKind
    began_at: datetime
    ended_at: datetime | None


@dataclass(frozen=True, slots=True)
class PastTurn:
    """From when a job was let in front of the others, or stood among them again."""

    since: datetime
    priority: Priority


@dataclass(frozen=True, slots=True)
class PastJob:
    """What happened to one job, visits, holds and turns in order of time.

    `packed_at` ends its lead time; `left_at` is when a unit that was never packed went back unrepaired. It
    came with `priority`, which each of its `turns` changed.
    """

    job_number: str
    family: str
    arrived_at: datetime
    visits: tuple[PastVisit, ...]
    holds: tuple[PastHold, ...] = ()
    packed_at: datetime | None = None
    priority: Priority = Priority.ORDINARY
    left_at: datetime | None = None
    turns: tuple[PastTurn, ...] = ()

    def priority_at(self, at: datetime) -> Priority:
        """Return the place in the queue that the job had at that moment."""
        turned = [turn.priority for turn in self.turns if turn.since <= at]
        return turned[-1] if turned else self.priority

    def is_in_shop(self, at: datetime) -> bool:
        """Say whether the unit was in the shop at that moment, and not packed."""
        gone_at = self.packed_at or self.left_at
        return self.arrived_at <= at and (gone_at is None or gone_at > at)


def state_at(shop: ShopState, *, past: Sequence[PastJob], at: datetime, leaving_out: str = "") -> ShopState:
    """Return the state of the shop as it was known at a moment, its jobs and rates, without its history.

    `shop` gives hours, centres, people and routes; the job named by `leaving_out` is not in it.
    """
    jobs = [job for job in past if job.is_in_shop(at)]
    return replace(
        shop,
        jobs=tuple(_as_live(job, at=at) for job in jobs if job.job_number != leaving_out),
        arrivals=count_rates(past, at=at),
    )


def with_history(
    state: ShopState, *, past: Sequence[PastJob], at: datetime, hours: WorkingHours
) -> ShopState:
    """Return the state with the history known at the moment: visits, waits, and what was needed how often."""
    since = at - timedelta(days=HISTORY_DAYS)
    known = [job for job in past if job.arrived_at <= at and (job.packed_at is None or job.packed_at > since)]
    tested = [job for job in known if _finished(job, step=BenchStep.TEST, at=at)]
    return replace(
        state,
        visits=tuple(_stage_visits(known, at=at, hours=hours)),
        waits=tuple(_wait_visits(known, at=at)),
        needs=_count_steps(tested, at=at),
        wait_needs=_count_waits(tested, at=at),
        failed_tests=_count_failures(tested, at=at),
    )


def _as_live(job: PastJob, *, at: datetime) -> LiveJob:
    done: list[BenchStep] = []
    under_way: PastVisit | None = None
    since = job.arrived_at
    for visit in job.visits:
        if visit.finished_at is None or visit.finished_at > at:
            under_way = visit
            break
        since = max(since, visit.finished_at)
        done.append(visit.step)
        if not visit.passed:
            done = [step for step in done if step not in REDONE_STEPS]
    stops = [hold for hold in job.holds if hold.began_at <= at and stops_work(hold.kind)]
    hold = next((hold for hold in stops if hold.ended_at is None or hold.ended_at > at), None)
    ended = [hold.ended_at for hold in stops if hold.ended_at is not None and hold.ended_at <= at]
    failed = [v for v in job.visits if not v.passed and v.finished_at is not None and v.finished_at <= at]
    started_at, put_down = _work_at_hand(under_way, at=at)
    return LiveJob(
        job.job_number,
        job.family,
        done=tuple(done),
        priority=job.priority_at(at),
        arrived_at=job.arrived_at,
        waiting_since=max([since, *ended]),
        started_at=started_at,
        at_step=under_way.step if under_way is not None and started_at is not None else None,
        hold=hold.kind if hold else None,
        held_since=hold.began_at if hold else None,
        put_down=put_down,
        failed_tests=len(failed),
    )


def _work_at_hand(visit: PastVisit | None, *, at: datetime) -> tuple[datetime | None, tuple[WorkedSpan, ...]]:
    """Return when the work at hand was last taken up, None if it is not at hand, and what was put down."""
    if visit is None:
        return None, ()
    begun = [span.began_at for span in visit.put_down if span.began_at <= at < span.ended_at]
    if visit.started_at is not None and visit.started_at <= at:
        begun.append(visit.started_at)
    return begun[-1] if begun else None, tuple(span for span in visit.put_down if span.ended_at <= at)


def rate_days(since_first: timedelta) -> float:
    """Return over how many days arrivals are counted: twelve weeks, or since the first; a week at least."""
    return min(max(since_first / DAY, LEAST_RATE_DAYS), RATE_DAYS)


def count_rates(past: Sequence[PastJob], *, at: datetime) -> tuple[ArrivalRate, ...]:
    """Return the weekly arrivals of each family over the last twelve weeks, or since the first job."""
    arrived = [job for job in past if job.arrived_at <= at]
    if not arrived:
        return ()
    days = rate_days(at - min(job.arrived_at for job in arrived))
    recent = [job for job in arrived if (at - job.arrived_at) / DAY <= days]
    urgent = sum(job.priority_at(at) is Priority.URGENT for job in recent)
    share = urgent / len(recent) if recent else 0.0
    counts = Counter(job.family for job in recent)
    return tuple(
        ArrivalRate(family, count * 7.0 / days, round(share, 4)) for family, count in sorted(counts.items())
    )


def _stage_visits(jobs: Iterable[PastJob], *, at: datetime, hours: WorkingHours) -> Iterable[StageVisit]:
    """Return first-round visits that somebody timed within working hours.

    A second round is shorter and would make the first look so too.
    """
    for job in jobs:
        for visit in job.visits:
            if visit.again or not visit.spans(until=at):
                continue
            over = visit.finished_at is not None and visit.finished_at <= at
            end = visit.finished_at if over and visit.finished_at is not None else at
            worked_h = visit.worked_hours(hours, until=at)
            if not over or worked_h >= LEAST_TIMED_HOURS:
                yield StageVisit(job.family, visit.step, worked_h, end.date(), open=not over)


def _wait_visits(jobs: Iterable[PastJob], *, at: datetime) -> Iterable[WaitVisit]:
    for job in jobs:
        for hold in job.holds:
            if hold.began_at > at:
                continue
            over = hold.ended_at is not None and hold.ended_at <= at
            end = hold.ended_at if over and hold.ended_at is not None else at
            yield WaitVisit(job.family, hold.kind, (end - hold.began_at) / DAY, end.date(), open=not over)


def _finished(job: PastJob, *, step: BenchStep, at: datetime) -> bool:
    return any(
        visit.step is step and visit.finished_at is not None and visit.finished_at <= at
        for visit in job.visits
    )


def _count_steps(tested: Sequence[PastJob], *, at: datetime) -> tuple[StepNeed, ...]:
    """Count a step of a job once it is known whether it was needed: it was begun, or a later one was."""
    seen: Counter[tuple[str, BenchStep]] = Counter()
    needed: Counter[tuple[str, BenchStep]] = Counter()
    order = list(BenchStep)
    for job in tested:
        begun = {visit.step for visit in job.visits if _is_begun(visit, at=at)}
        packed = job.packed_at is not None and job.packed_at <= at
        last = len(order) if packed else max(order.index(step) for step in begun) + 1
        seen.update((job.family, step) for step in order[:last])
        needed.update((job.family, step) for step in begun)
    return tuple(
        StepNeed(family, step, needed[family, step], seen[family, step])
        for family in sorted({job.family for job in tested})
        for step in order
    )


def _is_begun(visit: PastVisit, *, at: datetime) -> bool:
    return bool(visit.spans(until=at)) or (visit.finished_at is not None and visit.finished_at <= at)


def _count_waits(tested: Sequence[PastJob], *, at: datetime) -> tuple[WaitNeed, ...]:
    seen = Counter(job.family for job in tested)
    needed = Counter(
        (job.family, kind)
        for job in tested
        for kind in {hold.kind for hold in job.holds if hold.began_at <= at}
    )
    return tuple(
        WaitNeed(family, kind, needed[family, kind], seen[family])
        for family in sorted(seen)
        for kind in HoldKind
    )


def _count_failures(tested: Sequence[PastJob], *, at: datetime) -> tuple[FailedTests, ...]:
    seen = Counter(job.family for job in tested)
    failed = Counter(
        job.family
        for job in tested
        if any(not v.passed and v.finished_at is not None and v.finished_at <= at for v in job.visits)
    )
    return tuple(FailedTests(family, failed[family], seen[family]) for family in sorted(seen))
