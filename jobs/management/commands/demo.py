"""Opens the demo shop and serves it: nothing to set up, safe to run twice.

The first run fills an empty data folder with an invented shop: its catalogue, eighteen months of closed jobs,
and the jobs that are open today. Later runs find it there and only serve it.
"""

import os
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from jobs.demo import awkward, scenario
from jobs.demo.opening import open_demo_shop
from jobs.demo.seeding import seed_history
from jobs.demo.stagehand import Stagehand
from jobs.management.serving import prepare_site, run_site
from jobs.models import Job, OutboxMessage
from jobs.selectors import shop
from jobs.services import forecasts


class Command(BaseCommand):
    """`manage.py demo`: fill, print the addresses and sign-ins, serve."""

    help = "Opens the invented demo shop with its history and serves it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take where to listen, and whether only to fill."""
        parser.add_argument("--bind", default="127.0.0.1:8000", help="host:port to serve at")
        parser.add_argument("--fill-only", action="store_true", help="fill the shop and stop")

    def handle(self, *args: Any, **options: Any) -> None:
        """Fill once, then serve."""
        now = timezone.now()
        prepare_site(write=self.stdout.write, now=now)
        staff = open_demo_shop(now=now)
        if not Job.objects.exists():
            self.stdout.write("Filling the demo shop with its history; this takes some seconds.")
            done = seed_history(staff=staff, now=now)
            hand = Stagehand(staff=staff, now=now, hours=shop.working_hours())
            for stage in (
                awkward.stage_bookings,
                awkward.stage_parcels,
                awkward.stage_arrivals,
                awkward.stage_bench,
            ):
                stage(hand)
            OutboxMessage.objects.filter(state="waiting").update(state="sent", sent_at=now)
            forecasts.refresh(now=now)
            self.stdout.write(f"{done.jobs} jobs with {done.events} events, {done.ended} of them ended.")
        self._print_doors(options["bind"])
        if not options["fill_only"]:
            os.environ.setdefault("BACKUP_NIGHTLY", "0")  # an invented history is made again, not put back
            raise SystemExit(run_site(bind=options["bind"], write=self.stdout.write))

    def _print_doors(self, bind: str) -> None:
        self.stdout.write(f"\n  customer   http://{bind}/            no sign-in")
        for member in scenario.STAFF:
            door = f"http://{bind}/{'owner' if member.role == 'owner' else 'workshop'}/"
            self.stdout.write(f"  {member.role:<9}  {door:<28} {member.email}  {scenario.DEMO_PASSWORD}")
        self.stdout.write(f"  Mails are written to {settings.EMAIL_FILE_PATH}\n")
