"""Working out afterwards what would have been quoted, for units that came before quotes were kept.

Without it a shop would wait for months until its quotes correct themselves. Nothing is invented: each is what
the forecast says from the log as it stood on the day, and its row says that it was worked out afterwards.
"""

from datetime import datetime

from jobs.leadtime.errors import LeadTimeError
from jobs.leadtime.groundwork import sort_routes
from jobs.leadtime.rewind import MadeUpFor, NotMadeUp, make_up_quotes
from jobs.leadtime.state import ShopState
from jobs.models import Job, KeptQuote, QuoteRefusal
from jobs.selectors import quotes
from jobs.selectors.past_jobs import past_jobs
from jobs.selectors.quotes import ON_ARRIVAL, Moment
from jobs.selectors.shop_state import empty_shop
from jobs.services._claims import claimed
from jobs.services._quotes import quote_row

AT_ONCE = 15
UNTOLD = "Its log does not say that it arrived: look at it with manage.py replay_jobs."
REPLICATIONS = 100


def make_up_some(*, now: datetime, most: int = AT_ONCE) -> int:
    """Return how many units were dealt with: the next few, the oldest first; 0 when none is wanted.

    Each has its quote then, or the reason why there can be none, which is not tried again until the shop's
    own data change. May be killed at any moment: a unit has one quote on arrival.
    """
    try:
        state = empty_shop()
    except LeadTimeError:
        return 0
    if not _next_numbers(state, now=now, most=most):
        return 0
    with claimed("quotes", now=now) as mine:
        return _make_up(state, now=now, most=most) if mine else 0


def _next_numbers(state: ShopState, *, now: datetime, most: int) -> frozenset[str]:
    usable, _ = sort_routes(state)
    progress = quotes.replay_progress(families=usable.keys(), now=now)
    return frozenset(progress.next_numbers[:most])


def _make_up(state: ShopState, *, now: datetime, most: int) -> int:
    numbers = _next_numbers(state, now=now, most=most)
    past = past_jobs()
    wanted = [job for job in past if job.job_number in numbers]
    jobs = {job.number: job for job in Job.objects.filter(number__in=numbers)}
    rows = []
    refused = dict.fromkeys(numbers - {job.job_number for job in wanted}, UNTOLD)
    for each in make_up_quotes(
        state,
        past=past,
        wanted=wanted,
        earlier=quotes.past_quotes(ON_ARRIVAL, hours=state.working_hours, now=now),
        replications=REPLICATIONS,
    ):
        if isinstance(each, NotMadeUp):
            refused[each.job.job_number] = each.sentence
        else:
            rows.append(_row(each, job=jobs[each.job.job_number]))
    KeptQuote.objects.bulk_create(rows, ignore_conflicts=True)
    for number, sentence in refused.items():
        said = {"sentence": sentence[:600], "refused_at": now}
        QuoteRefusal.objects.update_or_create(job=jobs[number], defaults=said)
    return len(rows) + len(refused)


def _row(each: MadeUpFor, *, job: Job) -> KeptQuote:
    return quote_row(
        job,
        moment=Moment.REPLAYED,
        found=each.forecast.range,
        quantile_hours=each.forecast.quantile_hours,
        levels=each.levels,
    )
