"""Keeping the stored forecasts true, making promises from them, and telling the customer when one moves."""

from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Max

from jobs.domain.actors import system_actor
from jobs.domain.errors import IllegalTransition, StaleEdit
from jobs.domain.facts import Promise
from jobs.domain.stages import EventKind, HoldKind, Stage
from jobs.leadtime.errors import LeadTimeError
from jobs.leadtime.forecast import forecast_shop
from jobs.leadtime.ranges import DateRange, ShopForecast
from jobs.models import FamilyForecast, ForecastRun, Job, JobEvent, JobForecast, ShopRevision
from jobs.selectors import shop_state
from jobs.services._steps import lock_job
from packing.plain import to_plain

REPLICATIONS = 300
STILL_FOR = timedelta(seconds=5)
AT_MOST_EVERY = timedelta(seconds=45)
AT_LEAST_EVERY = timedelta(hours=6)
MOVED_DAYS = 3
KEEP_RUNS = 200
PROMISE_STAGES = (
    Stage.INSPECTED,
    Stage.STRIPPED,
    Stage.CLEANED,
    Stage.MACHINED,
    Stage.ASSEMBLED,
    Stage.TESTED,
)
STOPPED_CLOCKS = {HoldKind.ANSWER.value, HoldKind.PAYMENT.value}


def refresh_if_stale(*, now: datetime) -> bool:
    """Return whether the forecasts were computed again: after a change in the log, once it has been still.

    Hours, benches, people and routes that were published since count as a change too.
    """
    last = ForecastRun.objects.order_by("-computed_at").first()
    mark = JobEvent.objects.aggregate(mark=Max("pk"), latest=Max("recorded_at"))
    if last is not None:
        age = now - last.computed_at
        published = ShopRevision.objects.filter(published_at__gt=last.computed_at).exists()
        changed = published or (mark["mark"] or 0) > last.log_mark
        still = mark["latest"] is None or now - mark["latest"] >= STILL_FOR
        if not (changed and still and age >= AT_MOST_EVERY) and age < AT_LEAST_EVERY:
            return False
    refresh(now=now)
    return True


def refresh(*, now: datetime) -> None:
    """Simulate the shop, store the ranges, and record promises that are made or moved.

    A shop without hours or routes stores the reason instead, which the owner's page shows.
    """
    mark = JobEvent.objects.aggregate(mark=Max("pk"))["mark"] or 0
    try:
        forecast = forecast_shop(shop_state.shop_state(now=now), now=now, replications=REPLICATIONS)
    except LeadTimeError as refusal:
        ForecastRun.objects.create(computed_at=now, log_mark=mark, overview={"refusal": str(refusal)})
        return
    _store(forecast, log_mark=mark, now=now)
    for number, found in {job.job_number: job.range for job in forecast.jobs}.items():
        _keep_promise(number, found=found, now=now)


@transaction.atomic(durable=True)
def _store(forecast: ShopForecast, *, log_mark: int, now: datetime) -> None:
    pks = dict(
        Job.objects.filter(number__in=[job.job_number for job in forecast.jobs]).values_list("number", "pk")
    )
    JobForecast.objects.all().delete()
    JobForecast.objects.bulk_create(
        [JobForecast(job_id=pks[job.job_number], **_columns(job.range, now=now)) for job in forecast.jobs]
    )
    FamilyForecast.objects.all().delete()
    FamilyForecast.objects.bulk_create(
        [
            FamilyForecast(family=newcomer.family, **_columns(newcomer.range, now=now))
            for newcomer in forecast.newcomers
        ]
    )
    overview: dict[str, Any] = {
        "replications": forecast.replications,
        "centres": to_plain(forecast.centres),
        "limit": to_plain(forecast.limit),
        "people_load_share": forecast.people_load_share,
        "weeks": to_plain(forecast.weeks),
        "quiet_week": to_plain(forecast.quiet_week),
        "refusals": to_plain(forecast.refusals),
    }
    ForecastRun.objects.create(computed_at=now, log_mark=log_mark, overview=overview)
    old = ForecastRun.objects.order_by("-computed_at").values_list("pk", flat=True)[KEEP_RUNS:]
    ForecastRun.objects.filter(pk__in=list(old)).delete()


def _columns(found: DateRange, *, now: datetime) -> dict[str, Any]:
    return {
        "earliest_on": found.low,
        "likely_on": found.likely,
        "latest_on": found.high,
        "reasons": to_plain(found.reasons),
        "based_on": found.based_on.value,
        "computed_at": now,
    }


def _keep_promise(number: str, *, found: DateRange, now: datetime) -> None:
    """Record the first promise once the unit was inspected, and a later one when it slips by days."""
    job = Job.objects.get(number=number)
    if job.stage not in PROMISE_STAGES or job.hold in STOPPED_CLOCKS:
        return
    if job.promise_latest_on is None:
        kind = EventKind.PROMISE_MADE
    elif (found.high - job.promise_latest_on).days > MOVED_DAYS:
        kind = EventKind.PROMISE_CHANGED
    else:
        return
    facts = Promise(
        earliest_on=found.low,
        likely_on=found.likely,
        latest_on=found.high,
        reasons=tuple(reason.sentence for reason in found.reasons[:3]),
    )
    with transaction.atomic(durable=True):
        try:
            log = lock_job(number, expected_count=job.event_count)
            log.record(kind, facts=facts, actor=system_actor("forecast"), now=now)
        except (IllegalTransition, StaleEdit):
            return
