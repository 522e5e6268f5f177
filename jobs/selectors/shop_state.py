"""The shop at one moment, read from the log as the forecast needs it."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Count, Min, Q, QuerySet

from jobs.domain.replay import STEP_KINDS, JobState, replay
from jobs.domain.stages import AWAITED, IN_SHOP, EventKind, Stage
from jobs.leadtime.past import RATE_DAYS, rate_days
from jobs.leadtime.routes import BenchStep
from jobs.leadtime.state import AddedWork, ArrivalRate, LiveJob, Priority, ShopState
from jobs.models import ExtraWork, Job, JobEvent
from jobs.selectors import shop
from jobs.selectors.learned import count_needs, stage_visits, wait_visits
from jobs.selectors.listing import PAPERS
from jobs.selectors.logs import logs_of
from jobs.selectors.merged_boxes import arrived_units

E = EventKind
IN_TRANSIT = timedelta(days=3)
UNTIL_POSTED = timedelta(days=10)
NOON = time(12)
TOGETHER = (Stage.ASSEMBLED.value, Stage.TESTED.value, Stage.SIGNED_OFF.value)
FORECAST_STAGES = tuple(stage.value for stage in (AWAITED | IN_SHOP) - {Stage.PACKED})


def shop_state(*, now: datetime) -> ShopState:
    """Return everything a forecast reads, in a handful of queries."""
    empty = empty_shop()
    needs = count_needs(now=now)
    return replace(
        empty,
        jobs=tuple(_live_jobs(now=now)),
        arrivals=_arrival_rates(now=now),
        visits=tuple(stage_visits(empty.working_hours, now=now)),
        waits=tuple(wait_visits(now=now)),
        needs=needs.steps,
        wait_needs=needs.waits,
        failed_tests=needs.failed,
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


def _agreed_work() -> dict[str, tuple[AddedWork, ...]]:
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


def states_at(stage: Stage) -> dict[int, JobState]:
    """Return the folded state of every job at a stage by its primary key, in one query."""
    return _fold(JobEvent.objects.filter(job__stage=stage.value))


def done_steps_of(jobs: Sequence[Job]) -> dict[int, tuple[str, ...]]:
    """Return the finished steps of each job that has any, by its primary key, in one query."""
    kinds = [kind.value for kind in STEP_KINDS]
    rows = JobEvent.objects.filter(job__in=[job.pk for job in jobs], kind__in=kinds)
    return {pk: state.done_steps for pk, state in _fold(rows).items()}


def _fold(rows: "QuerySet[JobEvent]") -> dict[int, JobState]:
    return {job_id: replay(entries) for job_id, entries in logs_of(rows)}


def _live_jobs(*, now: datetime) -> Iterable[LiveJob]:
    jobs = list(Job.objects.filter(stage__in=FORECAST_STAGES).defer(*PAPERS).order_by("booked_at"))
    states, agreed, zone = states_of(jobs), _agreed_work(), shop.zone()
    for job in jobs:
        live = _live_job(job, state=states[job.pk], zone=zone, now=now)
        yield replace(live, added_work=agreed.get(job.number, ()))


def _live_job(job: Job, *, state: JobState, zone: ZoneInfo, now: datetime) -> LiveJob:
    done = tuple(BenchStep(step) for step in state.done_steps if step in set(BenchStep))
    held = state.stopped_by
    return LiveJob(
        job_number=job.number,
        family=job.family,
        done=done,
        priority=Priority.URGENT if job.priority else Priority.ORDINARY,
        arrived_at=state.entered_at.get(Stage.ARRIVED.value),
        expected_at=expected_at(state.stage, since=job.stage_since, now=now)
        if state.stage in AWAITED
        else None,
        waiting_since=None if state.stage in AWAITED else state.queued_since,
        started_at=state.working_since,
        at_step=BenchStep(state.working_step) if state.working_step else None,
        hold=held.kind if held else None,
        held_since=held.since if held else None,
        hold_expected_at=_noon(held.expected_on, zone=zone) if held else None,
        put_down=state.put_down,
        failed_tests=state.failed_tests,
    )


def _noon(day: date | None, *, zone: ZoneInfo) -> datetime | None:
    return datetime.combine(day, NOON, zone) if day is not None else None


def expected_at(stage: Stage, *, since: datetime, now: datetime) -> datetime:
    """Return when a parcel at this stage should be here: three days after posting, else ten after the yes.

    `since` is when it reached the stage; without a yes yet it is counted as given now. What is not posted
    yet is no sooner here than the carrier needs. One that is overdue is taken to be overdue for as long
    again: what was cleared months ago and never posted is not about to come (estimate).
    """
    if stage not in AWAITED:
        return now + UNTIL_POSTED
    usual = IN_TRANSIT if stage is Stage.POSTED else UNTIL_POSTED
    soonest = timedelta(days=1) if stage is Stage.POSTED else IN_TRANSIT
    overdue = now - (since + usual)
    return max(since + usual, now + max(soonest, overdue))


def _arrival_rates(*, now: datetime) -> tuple[ArrivalRate, ...]:
    """Return the weekly arrivals of each family, and which share of all of them went in front."""
    first_at = arrived_units().filter(arrived_at__lte=now).aggregate(at=Min("arrived_at"))["at"]
    days = rate_days(now - first_at) if first_at is not None else RATE_DAYS
    rows = list(
        arrived_units()
        .filter(arrived_at__gte=now - timedelta(days=days), arrived_at__lte=now)
        .values_list("family")
        .annotate(count=Count("pk"), urgent=Count("pk", filter=Q(priority=True)))
        .order_by("family")
    )
    share = sum(urgent for _, _, urgent in rows) / max(sum(count for _, count, _ in rows), 1)
    return tuple(ArrivalRate(family, count * 7.0 / days, round(share, 4)) for family, count, _ in rows)
