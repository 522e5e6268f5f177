"""Working out afterwards what would have been quoted, for units that came before quotes were kept.

Without it a shop would wait for months until its quotes correct themselves. Nothing is invented: each is what
the forecast says from the log as it stood on the day, and its row says that it was worked out afterwards.
"""

from datetime import datetime

from jobs.leadtime.errors import LeadTimeError
from jobs.leadtime.groundwork import sort_routes
from jobs.leadtime.rewind import MadeUpFor, make_up_quotes
from jobs.models import Job, KeptQuote
from jobs.selectors import quotes
from jobs.selectors.past_jobs import past_jobs
from jobs.selectors.quotes import ON_ARRIVAL, Moment
from jobs.selectors.shop_state import empty_shop
from jobs.services._quotes import quote_row

AT_ONCE = 15
REPLICATIONS = 100


def make_up_some(*, now: datetime, most: int = AT_ONCE) -> int:
    """Return how many quotes were worked out: the next few, the oldest first; 0 when none is wanted.

    May be killed at any moment and run twice at once: a unit has one quote on arrival.
    """
    try:
        state = empty_shop()
    except LeadTimeError:
        return 0
    usable, _ = sort_routes(state)
    progress = quotes.replay_progress(families=usable.keys(), now=now)
    numbers = frozenset(progress.next_numbers[:most])
    if not numbers:
        return 0
    past = past_jobs()
    wanted = [job for job in past if job.job_number in numbers]
    jobs = {job.number: job for job in Job.objects.filter(number__in=numbers)}
    made = make_up_quotes(
        state,
        past=past,
        wanted=wanted,
        earlier=quotes.past_quotes(ON_ARRIVAL, hours=state.working_hours, now=now),
        replications=REPLICATIONS,
    )
    try:
        rows = [_row(each, job=jobs[each.job.job_number]) for each in made]
    except LeadTimeError:
        return 0
    KeptQuote.objects.bulk_create(rows, ignore_conflicts=True)
    return len(rows)


def _row(each: MadeUpFor, *, job: Job) -> KeptQuote:
    return quote_row(
        job,
        moment=Moment.REPLAYED,
        found=each.forecast.range,
        quantile_hours=each.forecast.quantile_hours,
        levels=each.levels,
    )
