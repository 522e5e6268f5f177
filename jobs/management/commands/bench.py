"""Measures on this machine: pages with few and many jobs, parcel plans, forecasts.

`bench pages` works in a throw-away database in a temporary folder and never touches the shop's own. Figures
are of one run on one machine; what counts is how they compare with each other.
"""

import os
import subprocess
import sys
import tempfile
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.utils import timezone

from jobs.management.bench import leadtime, pages, plans, rows
from jobs.models import Job


class Command(BaseCommand):
    """`manage.py bench pages|plans|leadtime`: prints a table."""

    help = "Measures pages, parcel plans or forecasts and prints how their cost grows."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take what to measure, how large, and how often."""
        kinds = parser.add_subparsers(dest="kind", required=True)
        of_pages = kinds.add_parser("pages", help="pages that list jobs, with few and with many")
        of_pages.add_argument("--jobs", type=int, default=5000, help="how many jobs are many")
        of_pages.add_argument("--few", type=int, default=50, help="how many jobs are few")
        of_pages.add_argument("--repeats", type=int, default=15, help="how often each page is asked for")
        of_pages.add_argument("--here", action="store_true", help="in this empty database, not in a new one")
        of_plans = kinds.add_parser("plans", help="parcel plans against cartons and materials")
        of_plans.add_argument("--units", type=int, default=20, help="how many unit models are packed")
        of_plans.add_argument("--repeats", type=int, default=5)
        of_leadtime = kinds.add_parser("leadtime", help="forecasts against jobs and replications")
        of_leadtime.add_argument("--jobs", type=int, default=leadtime.JOBS)
        of_leadtime.add_argument("--replications", type=int, default=leadtime.REPLICATIONS)
        of_leadtime.add_argument("--repeats", type=int, default=3)

    def handle(self, *args: Any, **options: Any) -> None:
        """Measure and print."""
        match options["kind"]:
            case "plans":
                self.stdout.write(plans.bench_plans(units=options["units"], repeats=options["repeats"]))
            case "leadtime":
                self.stdout.write(
                    leadtime.bench_leadtime(
                        jobs=options["jobs"],
                        replications=options["replications"],
                        repeats=options["repeats"],
                    )
                )
            case _ if options["here"]:
                self.stdout.write(self._measure_pages(**options))
            case _:
                self.stdout.write(_measure_elsewhere(**options))

    def _measure_pages(self, *, jobs: int, few: int, repeats: int, **_: Any) -> str:
        call_command("migrate", interactive=False, verbosity=0)
        if connection.vendor != "sqlite" or Job.objects.exists():
            raise CommandError("This database holds jobs or is not SQLite. Leave out --here.")
        now = timezone.now()
        patterns = rows.tell_patterns(now=now)
        return pages.bench_pages(patterns, sizes=(few, jobs), repeats=repeats, now=now)


def _measure_elsewhere(*, jobs: int, few: int, repeats: int, **_: Any) -> str:
    """Return what the same command says in a process of its own, whose data folder is thrown away."""
    with tempfile.TemporaryDirectory(prefix="bench-") as folder:
        run = subprocess.run(  # noqa: S603 - our own command
            [
                sys.executable,
                str(settings.BASE_DIR / "manage.py"),
                "bench",
                "pages",
                "--here",
                f"--jobs={jobs}",
                f"--few={few}",
                f"--repeats={repeats}",
            ],
            env={
                **os.environ,
                "DJANGO_SETTINGS_MODULE": "portal.settings.development",
                "DATA_DIR": folder,
                "DATABASE_URL": "",
                "REDIS_URL": "",
                "MAIL_URL": "",
                "S3_BUCKET": "",
                "DEBUG": "",
            },
            capture_output=True,
            text=True,
            check=False,
        )
    if run.returncode:
        raise CommandError(f"The measurement stopped early:\n{run.stderr[-2000:]}")
    return run.stdout.rstrip()
