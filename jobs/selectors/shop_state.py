"""The shop at one moment, read from the log as the forecast needs it."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import groupby
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Count, QuerySet

from jobs.domain.facts import load_facts
from jobs.domain.holds import fold_holds
from jobs.domain.replay import STEP_KINDS, STEP_OF_EVENT, JobState, LogEntry, replay
from jobs.domain.stages import AWAITED, IN_SHOP, EventKind, HoldKind, Role, Stage
from jobs.leadtime.added_work import AddedWork
from jobs.leadtime.clock import WorkingHours, working_hours_between
from jobs.leadtime.history import LEAST_TIMED_HOURS, StageVisit, WaitVisit
from jobs.leadtime.routes import BenchStep
from jobs.leadtime.state import ArrivalRate, LiveJob, Priority, ShopState, StepNeed
from jobs.models import ExtraWork, Job, JobEvent
from jobs.selectors import shop
from jobs.selectors.listing import PAPERS
from jobs.selectors.merged_boxes import arrived_units

E = EventKind
HISTORY = timedelta(days=400)
ARRIVALS = timedelta(days=56)
IN_TRANSIT = timedelta(days=3)
UNTIL_POSTED = timedelta(days=10)
TOGETHER = (Stage.ASSEMBLED.value, Stage.TESTED.value, Stage.SIGNED_OFF.value)
FINISHING = tuple(kind.value for kind in STEP_OF_EVENT)
FORECAST_STAGES = tuple(stage.value for stage in (AWAITED | IN_SHOP) - {Stage.PACKED})


def shop_state(*, now: datetime) -> ShopState:
    """Return everything a forecast reads, in a handful of queries."""
    empty = empty_shop()
    hours = empty.working_hours
    return replace(
        empty,
        jobs=tuple(_live_jobs(now=now)),
        arrivals=_arrival_rates(now=now),
        visits=tuple(_visits(hours, now=now)),
        waits=tuple(_waits(now=now)),
        needs=_needs(now=now),
    )


def zone_of(state: ShopState) -> ZoneInfo:
    """Return the time zone of the shop's working hours."""
    return ZoneInfo(state.working_hours.time_zone)


def empty_shop() -> ShopState:
    """Return the shop as it is set up, without jobs and without a past.

    Raises: LeadTimeError until the owner has published working hours.
    """
    return ShopState(
        working_hours=shop.working_hours(),
        centres=shop.work_centres(),
        people=shop.people(),
        routes=shop.routes(),
    )


def promised_days() -> dict[str, date]:
    """Return the promised days of the jobs that are still worked on, by number."""
    rows = Job.objects.filter(stage__in=FORECAST_STAGES).values_list("number", "promise_latest_on")
    return {number: promised_on for number, promised_on in rows if promised_on is not None}


def agreed_work() -> dict[str, tuple[AddedWork, ...]]:
    """Return the extra work that was agreed on units not yet put together, by job number."""
    stages = [stage for stage in FORECAST_STAGES if stage not in TOGETHER]
    rows = ExtraWork.objects.filter(
        decision="approved", added_work_days__gt=0, decided_at__isnull=False, job__stage__in=stages
    ).values_list("job__number", "added_work_days", "decided_at")
    found: dict[str, tuple[AddedWork, ...]] = defaultdict(tuple)
    for number, work_days, agreed_at in rows:
        if agreed_at is not None:
            found[number] += (AddedWork(float(work_days), agreed_at),)
    return dict(found)


def states_of(jobs: Sequence[Job]) -> dict[int, JobState]:
    """Return the folded state of each job by its primary key, in one query."""
    return _fold(JobEvent.objects.filter(job__in=[job.pk for job in jobs]))


def done_steps_of(jobs: Sequence[Job]) -> dict[int, tuple[str, ...]]:
    """Return the finished steps of each job that has any, by its primary key, in one query."""
    kinds = [kind.value for kind in STEP_KINDS]
    rows = JobEvent.objects.filter(job__in=[job.pk for job in jobs], kind__in=kinds)
    return {pk: state.done_steps for pk, state in _fold(rows).items()}


def _fold(rows: "QuerySet[JobEvent]") -> dict[int, JobState]:
    entries: dict[int, list[LogEntry]] = defaultdict(list)
    columns = ("job_id", "number", "kind", "facts", "actor_role", "actor_name", "happened_at")
    in_order = rows.order_by("job_id", "number").values_list(*columns)
    for job_id, number, kind, facts, role, name, at in in_order:
        entries[job_id].append(
            LogEntry(
                number=number,
                kind=EventKind(kind),
                facts=facts,
                actor_role=Role(role),
                actor_name=name,
                happened_at=at,
            )
        )
    return {pk: replay(listed) for pk, listed in entries.items()}


def _live_jobs(*, now: datetime) -> Iterable[LiveJob]:
    jobs = list(Job.objects.filter(stage__in=FORECAST_STAGES).defer(*PAPERS).order_by("booked_at"))
    states = states_of(jobs)
    for job in jobs:
        yield _live_job(job, state=states[job.pk], now=now)


def _live_job(job: Job, *, state: JobState, now: datetime) -> LiveJob:
    done = tuple(BenchStep(step) for step in state.done_steps if step in set(BenchStep))
    return LiveJob(
        job_number=job.number,
        family=job.family,
        done=done,
        priority=Priority.URGENT if job.priority else Priority.ORDINARY,
        arrived_at=state.entered_at.get(Stage.ARRIVED.value),
        expected_at=expected_at(state.stage, since=job.stage_since, now=now)
        if state.stage in AWAITED
        else None,
        waiting_since=None if state.stage in AWAITED else state.stage_since,
        started_at=state.working_since,
        at_step=BenchStep(state.working_step) if state.working_step else None,
        hold=state.hold,
        held_since=state.hold_since,
    )


def expected_at(stage: Stage, *, since: datetime, now: datetime) -> datetime:
    """Return when a parcel at this stage should be here: three days after posting, else ten after the yes.

    `since` is when it reached the stage; without a yes yet it is counted as given now.
    """
    if stage not in AWAITED:
        return now + UNTIL_POSTED
    usual = IN_TRANSIT if stage is Stage.POSTED else UNTIL_POSTED
    return max(since + usual, now + timedelta(days=1))


def _arrival_rates(*, now: datetime) -> tuple[ArrivalRate, ...]:
    rows = (
        arrived_units()
        .filter(arrived_at__gt=now - ARRIVALS, arrived_at__lte=now)
        .values_list("family")
        .annotate(count=Count("pk"))
        .order_by("family")
    )
    weeks = ARRIVALS / timedelta(days=7)
    return tuple(ArrivalRate(family, per_week=count / weeks) for family, count in rows)


def _needs(*, now: datetime) -> tuple[StepNeed, ...]:
    """Return how often a step was needed among the jobs that were tested in the last year."""
    tested = set(
        JobEvent.objects.filter(kind=E.TESTED.value, happened_at__gt=now - HISTORY).values_list(
            "job_id", flat=True
        )
    )
    seen: dict[str, int] = defaultdict(int)
    for pk, family in Job.objects.filter(events__kind=E.TESTED.value).values_list("pk", "family").distinct():
        seen[family] += pk in tested
    needed: dict[tuple[str, str], set[int]] = defaultdict(set)
    for job_id, family, kind, _facts, _at in _standing(*FINISHING, now=now):
        if job_id in tested:
            needed[(family, STEP_OF_EVENT[kind])].add(job_id)
    return tuple(
        StepNeed(family=family, step=BenchStep(step), needed=len(jobs), seen=max(seen[family], len(jobs)))
        for (family, step), jobs in sorted(needed.items())
    )


def _taken_back(*, now: datetime) -> frozenset[tuple[int, int]]:
    """Return (job, event number) of every event that was taken back: it never happened."""
    rows = JobEvent.objects.filter(kind=E.CORRECTED.value, happened_at__gt=now - HISTORY)
    return frozenset(
        (job_id, load_facts(E.CORRECTED, stored=facts).corrects)
        for job_id, facts in rows.values_list("job_id", "facts")
    )


def _standing(*kinds: str, now: datetime) -> Iterator[tuple[int, str, EventKind, Any, datetime]]:
    """Yield (job, family, kind, facts, moment) of the events of those kinds that count, job by job."""
    taken_back = _taken_back(now=now)
    rows = (
        JobEvent.objects.filter(kind__in=kinds, happened_at__gt=now - HISTORY)
        .order_by("job_id", "number")
        .values_list("job_id", "number", "job__family", "kind", "facts", "happened_at")
    )
    for job_id, number, family, kind, facts, at in rows.iterator():
        if (job_id, number) not in taken_back:
            yield job_id, family, EventKind(kind), facts, at


def _visits(hours: WorkingHours, *, now: datetime) -> Iterator[StageVisit]:
    """Yield what each finished step took at the bench in working hours, pauses left out.

    A step that was begun and finished at one go, or outside working hours, was timed by nobody.
    """
    kinds = (*FINISHING, E.WORK_STARTED.value, E.WORK_PAUSED.value, E.TEST_FAILED.value)
    started: tuple[int, str, datetime] | None = None
    worked: dict[tuple[int, str], float] = defaultdict(float)
    reworked = 0
    for job_id, family, kind, facts, at in _standing(*kinds, now=now):
        if kind is E.TEST_FAILED:
            # A second round is shorter; counting it would make first rounds look shorter than they are.
            started, reworked = None, job_id
        elif kind is E.WORK_STARTED:
            started = None if reworked == job_id else (job_id, load_facts(kind, stored=facts).step, at)
        elif started is not None and started[0] == job_id:
            _, step, since = started
            worked[job_id, step] += max(working_hours_between(hours, start=since, end=at), 0.0)
            started = None
        if kind in STEP_OF_EVENT and (job_id, STEP_OF_EVENT[kind]) in worked and reworked != job_id:
            step = STEP_OF_EVENT[kind]
            spent = worked.pop((job_id, step))
            if spent >= LEAST_TIMED_HOURS:
                yield StageVisit(family=family, step=BenchStep(step), hours=spent, on=at.date())


def _waits(*, now: datetime) -> Iterator[WaitVisit]:
    """Yield what each ended hold took in days, and each open one so far."""
    standing = _standing(E.HELD.value, E.RELEASED.value, now=now)
    for (_job_id, family), told in groupby(standing, key=lambda row: (row[0], row[1])):
        for span in fold_holds((kind, facts, at) for _, _, kind, facts, at in told):
            if span.ended_at is not None:
                days = (span.ended_at - span.began_at) / timedelta(days=1)
                yield WaitVisit(family=family, kind=span.kind, days=days, on=span.ended_at.date())
    yield from _open_holds(now=now)


def _open_holds(*, now: datetime) -> tuple[WaitVisit, ...]:
    held = Job.objects.filter(hold_since__isnull=False).exclude(hold="")
    return tuple(
        WaitVisit(
            family=job.family,
            kind=HoldKind(job.hold),
            days=(now - job.hold_since) / timedelta(days=1),
            on=now.date(),
            open=True,
        )
        for job in held
        if job.hold_since is not None
    )
