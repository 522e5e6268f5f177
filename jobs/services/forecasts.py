"""Keeping the stored forecasts true, and the quotes that were made from them, to be judged by what came."""

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Max

from jobs.leadtime.calibrate import PastQuote, recalibrate, recalibrate_families
from jobs.leadtime.clock import WorkingHours, start_clock
from jobs.leadtime.errors import LeadTimeError
from jobs.leadtime.forecast import forecast_shop
from jobs.leadtime.outlook import chances_of
from jobs.leadtime.ranges import QuotedLevels, ShopForecast
from jobs.leadtime.record import judge_quotes
from jobs.leadtime.state import ShopState
from jobs.models import FamilyForecast, ForecastRun, Job, JobEvent, JobForecast, KeptQuote, ShopRevision
from jobs.selectors import quotes, shop_state
from jobs.selectors.quotes import ON_ARRIVAL, Moment
from jobs.services._claims import claimed
from jobs.services._promises import keep_promise
from jobs.services._quotes import quote_row, range_columns
from packing.plain import to_plain

logger = logging.getLogger(__name__)
REPLICATIONS = 300
STILL_FOR = timedelta(seconds=5)
AT_MOST_EVERY = timedelta(seconds=45)
AT_LEAST_EVERY = timedelta(hours=6)
KEEP_RUNS = 200
FRESH = timedelta(days=3)  # a forecast made later than this is not one made on arrival


def refresh_if_stale(*, now: datetime) -> bool:
    """Return whether the forecasts were computed again: after a change in the log, once it has been still.

    Hours, benches, people and routes that were published since count as a change too. Of several workers one
    computes, and the others find it done.
    """
    if not _is_stale(now=now):
        return False
    with claimed("forecast", now=now) as mine:
        if not mine or not _is_stale(now=now):
            return False
        refresh(now=now)
    return True


def _is_stale(*, now: datetime) -> bool:
    last = ForecastRun.objects.order_by("-computed_at").first()
    mark = JobEvent.objects.aggregate(mark=Max("pk"), latest=Max("recorded_at"))
    if last is None:
        return True
    age = now - last.computed_at
    published = ShopRevision.objects.filter(published_at__gt=last.computed_at).exists()
    changed = published or (mark["mark"] or 0) > last.log_mark or _has_new_replays(last)
    still = mark["latest"] is None or now - mark["latest"] >= STILL_FOR
    return (changed and still and age >= AT_MOST_EVERY) or age >= AT_LEAST_EVERY


def refresh(*, now: datetime) -> None:
    """Simulate the shop, store the ranges, keep quotes, and record promises that are made or moved.

    Dates are quoted at the levels that past quotes have shown to be true. A shop without hours or routes
    stores the reason instead, which the owner's page shows.
    """
    mark = JobEvent.objects.aggregate(mark=Max("pk"))["mark"] or 0
    try:
        state = shop_state.shop_state(now=now)
        levels = _levels(state, now=now)
        forecast = forecast_shop(
            state,
            now=now,
            replications=REPLICATIONS,
            levels=levels.shop,
            family_levels=levels.families,
        )
        record = _record(levels, hours=state.working_hours, now=now)
    except LeadTimeError as refusal:
        ForecastRun.objects.create(computed_at=now, log_mark=mark, overview={"refusal": str(refusal)})
        _forget_old_runs()
        return
    run = _store(forecast, levels=levels, record=record, log_mark=mark, now=now)
    for found in forecast.jobs:
        try:
            keep_promise(found, levels=levels.of(found.family), now=now)
        except Exception:
            # The promises of the other jobs are not to wait for this one's fault.
            logger.exception("the promise of job %s could not be kept up", found.job_number)
    chances = chances_of(
        forecast.jobs,
        promises=shop_state.promised_days(),
        clock=start_clock(state.working_hours, now=now),
        levels=levels.shop,
        family_levels=levels.families,
    )
    run.overview["promises"] = to_plain(chances)
    run.save(update_fields=["overview"])


@dataclass(frozen=True, slots=True)
class _Levels:
    """The levels quoted now, and the past quotes they come from."""

    shop: QuotedLevels
    families: dict[str, QuotedLevels]
    quotes: tuple[PastQuote, ...]

    def of(self, family: str) -> QuotedLevels:
        """Return the levels of a family."""
        return self.families.get(family, self.shop)


def _levels(state: ShopState, *, now: datetime) -> _Levels:
    hours = state.working_hours
    past = quotes.past_quotes(ON_ARRIVAL, hours=hours, now=now)
    families = sorted({family for route in state.routes for family in route.families})
    return _Levels(
        recalibrate(past, hours=hours, now=now),
        recalibrate_families(past, families=families, hours=hours, now=now),
        past,
    )


def _record(levels: _Levels, *, hours: WorkingHours, now: datetime) -> dict[str, Any]:
    """Return how past quotes came true, and how many are still being worked out."""
    progress = quotes.replay_progress(families=levels.families.keys(), now=now)
    found = judge_quotes(
        levels.quotes,
        replayed=progress.done,
        promises=quotes.past_quotes([Moment.PROMISE], hours=hours, now=now),
        shop_levels=levels.shop,
        family_levels=levels.families,
        hours=hours,
        now=now,
    )
    return {
        "record": to_plain(found),
        "replays": {"done": progress.done, "wanted": progress.wanted, "refused": progress.refused},
    }


def _has_new_replays(last: ForecastRun) -> bool:
    if "refusal" in last.overview:
        return False  # it counted none; only a change in the shop can help
    known = last.overview.get("replays", {}).get("done", 0)
    return bool(KeptQuote.objects.filter(moment=Moment.REPLAYED.value).count() != known)


@transaction.atomic(durable=True)
def _store(
    forecast: ShopForecast, *, levels: _Levels, record: dict[str, Any], log_mark: int, now: datetime
) -> ForecastRun:
    jobs = Job.objects.in_bulk([job.job_number for job in forecast.jobs], field_name="number")
    JobForecast.objects.all().delete()
    JobForecast.objects.bulk_create(
        [
            JobForecast(job=jobs[job.job_number], **range_columns(job.range, computed_at=now))
            for job in forecast.jobs
        ]
    )
    FamilyForecast.objects.all().delete()
    FamilyForecast.objects.bulk_create(
        [
            FamilyForecast(family=newcomer.family, **range_columns(newcomer.range, computed_at=now))
            for newcomer in forecast.newcomers
        ]
    )
    KeptQuote.objects.bulk_create(
        [
            quote_row(
                jobs[found.job_number],
                moment=Moment.ARRIVAL,
                found=found.range,
                quantile_hours=found.quantile_hours,
                levels=levels.of(found.family),
            )
            for found in forecast.jobs
            if _has_just_arrived(jobs[found.job_number], now=now)
        ],
        ignore_conflicts=True,
    )
    overview: dict[str, Any] = {
        **record,
        "drifts": to_plain(forecast.drifts),
        "replications": forecast.replications,
        "centres": to_plain(forecast.centres),
        "limit": to_plain(forecast.limit),
        "people_load_share": forecast.people_load_share,
        "weeks": to_plain(forecast.weeks),
        "quiet_week": to_plain(forecast.quiet_week),
        "refusals": to_plain(forecast.refusals),
    }
    run = ForecastRun.objects.create(computed_at=now, log_mark=log_mark, overview=overview)
    _forget_old_runs()
    return run


def _forget_old_runs() -> None:
    old = ForecastRun.objects.order_by("-computed_at").values_list("pk", flat=True)[KEEP_RUNS:]
    ForecastRun.objects.filter(pk__in=list(old)).delete()


def _has_just_arrived(job: Job, *, now: datetime) -> bool:
    return job.arrived_at is not None and now - FRESH < job.arrived_at <= now
