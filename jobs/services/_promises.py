"""Making a promise from a forecast, and moving it: when, with which reason, and told once.

A promise is moved when its 8-in-10 date slips by more than three days, which is beyond what chance in a
simulation moves it (2.2 working days at the most, 19 times in 20), or when it comes forward by more than a
week. It stands for a week before it moves again, either way: one that follows every day's forecast says no
more than the forecast. Only news of this very unit moves it later at once: a finding, extra work, a failed
test, a hold, or the end of one. Until then the slip is the shop's to see, among the promises at risk. Most
units are packed some days before their 8-in-10 date; telling each of those would be noise, and a date that
comes and goes is worth nothing to a customer.
"""

from datetime import datetime, timedelta

from django.db import transaction

from jobs.domain.actors import system_actor
from jobs.domain.errors import IllegalTransition, StaleEdit
from jobs.domain.facts import Promise
from jobs.domain.holds import STOPPED_CLOCKS
from jobs.domain.stages import EventKind, Stage
from jobs.leadtime.errors import LeadTimeError
from jobs.leadtime.moves import Way, explain_move, spend_parts
from jobs.leadtime.ranges import JobForecast, QuotedLevels
from jobs.models import Job
from jobs.selectors import shop
from jobs.selectors.past_jobs import past_job
from jobs.selectors.quotes import Moment, has_news, last_promise, promised_at, reasons_of
from jobs.services._quotes import quote_row
from jobs.services._steps import lock_job

LATER_DAYS = 3
EARLIER_DAYS = 7
STANDS_FOR = timedelta(days=7)
MOST_REASONS = 3
IN_ALL = {
    Way.LATER: "What lies ahead of it takes longer, all in all, than we had counted on.",
    Way.EARLIER: "What lay ahead of it took less, all in all, than we had counted on.",
}
PROMISE_STAGES = (
    Stage.INSPECTED,
    Stage.STRIPPED,
    Stage.CLEANED,
    Stage.MACHINED,
    Stage.ASSEMBLED,
    Stage.TESTED,
)


def keep_promise(found: JobForecast, *, levels: QuotedLevels, now: datetime) -> None:
    """Record the first promise once the unit was inspected, and a later one when it moves by days.

    The clock of a promise stands still while the customer's answer or payment is waited for.
    """
    job = Job.objects.get(number=found.job_number)
    if job.stage not in PROMISE_STAGES or job.hold in {hold.value for hold in STOPPED_CLOCKS}:
        return
    reasons = tuple(reason.sentence for reason in found.range.reasons[:MOST_REASONS])
    if job.promise_latest_on is None:
        kind = EventKind.PROMISE_MADE
    else:
        way = _way(job, days=(found.range.high - job.promise_latest_on).days, now=now)
        if way is None:
            return
        kind = EventKind.PROMISE_CHANGED
        reasons = _reasons_of_move(job, found=found, way=way, now=now) or (IN_ALL[way],)
    facts = Promise(
        earliest_on=found.range.low,
        likely_on=found.range.likely,
        latest_on=found.range.high,
        reasons=reasons,
    )
    with transaction.atomic(durable=True):
        try:
            log = lock_job(job.number, expected_count=job.event_count)
            entry = log.record(kind, facts=facts, actor=system_actor("forecast"), now=now)
        except (IllegalTransition, StaleEdit):
            return
        quote_row(
            log.job,
            moment=Moment.PROMISE,
            found=found.range,
            quantile_hours=found.quantile_hours,
            levels=levels,
            event_number=entry.number,
        ).save()


def _way(job: Job, *, days: int, now: datetime) -> Way | None:
    """Return which way a promise is to be moved, None if it stands."""
    stood = now - promised_at(job) >= STANDS_FOR
    if days > LATER_DAYS and (stood or has_news(job)):
        return Way.LATER
    if days < -EARLIER_DAYS and stood:
        return Way.EARLIER
    return None


def _reasons_of_move(job: Job, *, found: JobForecast, way: Way, now: datetime) -> tuple[str, ...]:
    """Return what moved the date since the promise was given; nothing where no single part of it did."""
    before = last_promise(job)
    told = past_job(job)
    if before is None or told is None:
        return ()
    try:
        hours, centres = shop.working_hours(), shop.work_centres()
        spent_days = spend_parts(
            told,
            since=before.computed_at,
            now=now,
            hours=hours,
            route=shop.route_for(job.family),
            centres=centres,
        )
    except LeadTimeError:
        return ()
    return explain_move(
        reasons_of(before), spent_days=spent_days, after=found.range.reasons, way=way, centres=centres
    )
