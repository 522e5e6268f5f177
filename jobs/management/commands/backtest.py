"""Replays the shop's own log as if each quote had been made on the day, and says how good it would have been.

Printed for the simulation, the simulation recalibrated by its own earlier quotes, and four simple rules: how
many units were back by the dates quoted for 5, 8 and 9 in 10; the pinball score of the 8-in-10 date and the
CRPS in working days (smaller is better); and how far the likely date was off on average.
"""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.leadtime.backtest import RECALIBRATED, ReplayPlan, replay_quotes, score_quotes, write_table
from jobs.leadtime.baselines import Rule
from jobs.leadtime.clock import hours_per_day
from jobs.leadtime.errors import LeadTimeError
from jobs.selectors.past_jobs import past_jobs
from jobs.selectors.shop_state import shop_state

LEAST_SURE_QUOTES = 100


class Command(BaseCommand):
    """`manage.py backtest`: replay the log, print the scores."""

    help = "Replays the log as if each quote had been made on the day, and scores the quotes."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take which intakes are quoted and with how many replications."""
        plan = ReplayPlan()
        parser.add_argument("--first", type=int, default=plan.first, help="quote from this job on")
        parser.add_argument("--every", type=int, default=plan.every, help="quote every so many intakes")
        parser.add_argument("--replications", type=int, default=plan.replications)
        parser.add_argument("--seed", type=int, default=plan.seed)

    def handle(self, *args: Any, **options: Any) -> None:
        """Replay, score and print."""
        now = timezone.now()
        shop = shop_state(now=now)
        plan = ReplayPlan(
            first=options["first"],
            every=max(options["every"], 1),
            replications=options["replications"],
            seed=options["seed"],
        )
        try:
            quotes = replay_quotes(shop, past=past_jobs(), plan=plan, until=now, on_progress=self._tell)
            result = score_quotes(quotes, day_hours=hours_per_day(shop.working_hours))
        except LeadTimeError as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stderr.write("")
        self.stdout.write(write_table(result))
        for rule in Rule:
            gain = 100.0 * result.gain_over(rule, method=RECALIBRATED)
            self.stdout.write(f"pinball of the recalibrated 8-in-10 date below {rule.value}: {gain:.0f} %")
        if result.quotes < LEAST_SURE_QUOTES:
            self.stdout.write(f"With {result.quotes} quotes these figures are rough: half of them is chance.")

    def _tell(self, done: int, of: int) -> None:
        if done % 25 == 0 or done == of:
            self.stderr.write(f"\r{done} of {of} quotes", ending="")
