"""Does the background work: mails, photos, forecasts and what stands beside them, comparisons, quotes.

Each round calls every kind of work once; a kind that fails is left alone for a while, longer each time,
while the others go on. Nothing is kept in this process: it may be killed at any moment.
"""

import logging
import signal
import threading
from argparse import ArgumentParser
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.core.management.base import BaseCommand
from django.db import close_old_connections
from django.utils import timezone

from jobs.backups.nightly import back_up_nightly
from jobs.selectors.shop import shop_clock
from jobs.services import forecasts, messages, outlooks, photo_keeping, photos, quotes, upkeep, whatif_runs

log = logging.getLogger("jobs.worker")
POLL_SECONDS = 0.5
MAILS_A_ROUND = 20
LONGEST_WAIT = timedelta(minutes=5)
UPKEEP_EVERY = timedelta(minutes=1)
CLEAR_EVERY = timedelta(hours=6)
QUOTES_EVERY = timedelta(seconds=10)
BACKUP_LOOK_EVERY = timedelta(minutes=10)


@dataclass(slots=True)
class Work:
    """One kind of background work; `run` says whether it found something to do, at most once `every`."""

    name: str
    run: Callable[[datetime], bool]
    every: timedelta = timedelta(0)
    failures: int = 0
    not_before: datetime | None = None


def all_work() -> list[Work]:
    """Return the kinds of work, in the order of a round."""
    return [
        Work("mail", deliver_mail),
        Work("photos", convert_photo),
        Work("comparisons", work_comparison),
        Work("forecasts", refresh_forecasts),
        Work("outlooks", refresh_outlook),
        Work("upkeep", keep_house, every=UPKEEP_EVERY),
        Work("photo files", clear_photo_files, every=CLEAR_EVERY),
        Work("quotes", make_up_quotes, every=QUOTES_EVERY),
        Work("back-up", back_up, every=BACKUP_LOOK_EVERY),
    ]


def deliver_mail(now: datetime) -> bool:
    """Send mails that are due; say whether more may wait."""
    return messages.deliver_due(now=now, limit=MAILS_A_ROUND).sent == MAILS_A_ROUND


def convert_photo(now: datetime) -> bool:
    """Convert one photo; say whether there was one."""
    return bool(photos.convert_next(now=now))


def refresh_forecasts(now: datetime) -> bool:
    """Bring the forecasts up to date when the queue has changed; never asks for another round at once."""
    forecasts.refresh_if_stale(now=now)
    return False


def work_comparison(now: datetime) -> bool:
    """Work out one comparison that was asked for; say whether there was one."""
    return whatif_runs.work_next(now=now)


def refresh_outlook(now: datetime) -> bool:
    """Bring one part of the outlook up to date; say whether another is behind."""
    return outlooks.refresh_next(now=now)


def keep_house(now: datetime) -> bool:
    """Queue reminders that are due and close what is long back; never asks for another round at once."""
    upkeep.do_upkeep(now=now)
    whatif_runs.expire_old(now=now)
    return False


def clear_photo_files(now: datetime) -> bool:
    """Clear away the files of photos that nothing needs any more; never asks for another round at once."""
    photo_keeping.clear_photos(now=now)
    return False


def make_up_quotes(now: datetime) -> bool:
    """Work out a few quotes of the time before quotes were kept; never asks for another round at once."""
    quotes.make_up_some(now=now)
    return False


def back_up(now: datetime) -> bool:
    """Make the back-up of the night when it is due; never asks for another round at once."""
    back_up_nightly(now=now)
    return False


def do_round(work: list[Work], *, clock: Callable[[], datetime]) -> bool:
    """Call each kind of work that is not waiting after a failure; say whether there is more to do at once."""
    has_more = False
    for kind in work:
        now = clock()
        if kind.not_before is not None and now < kind.not_before:
            continue
        try:
            with shop_clock():
                has_more = kind.run(now) or has_more
        except Exception:
            kind.failures += 1
            wait = min(timedelta(seconds=2**kind.failures), LONGEST_WAIT)
            kind.not_before = now + wait
            log.exception("%s failed; tried again in %d s", kind.name, wait.total_seconds())
        else:
            kind.failures, kind.not_before = 0, now + kind.every if kind.every else None
    return has_more


class Command(BaseCommand):
    """`manage.py worker`: rounds of background work until it is told to stop."""

    help = (
        "Sends mails, converts photos, works out forecasts, the weeks ahead, comparisons that were asked"
        " for and quotes of the past, and keeps house; `serve` starts it by itself."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whether to stop when nothing is left to do."""
        parser.add_argument("--once", action="store_true", help="stop when nothing is left to do")

    def handle(self, *args: Any, **options: Any) -> None:
        """Go round until stopped; the round that is running is finished first."""
        stop = threading.Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda _number, _frame: stop.set())
        work = all_work()
        while not stop.is_set():
            close_old_connections()
            has_more = do_round(work, clock=timezone.now)
            if options["once"] and not has_more:
                return
            if not has_more:
                stop.wait(POLL_SECONDS)
