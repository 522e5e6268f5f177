"""Runs the whole site: brings the database up to date, then serves pages and does the background work."""

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from jobs.management.serving import prepare_site, run_site


class Command(BaseCommand):
    """`manage.py serve`: the web server and the worker, until it is told to stop."""

    help = "Serves the site and does its background work; stop it with Ctrl-C."
    requires_system_checks = "__all__"

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take where to listen, and whether workers run elsewhere."""
        parser.add_argument("--bind", default="127.0.0.1:8000", help="host:port to listen at")
        parser.add_argument(
            "--no-worker", action="store_true", help="leave the background work to Celery workers elsewhere"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Prepare, serve, and end with the status of the web server."""
        prepare_site(write=self.stdout.write, now=timezone.now())
        status = run_site(bind=options["bind"], write=self.stdout.write, with_worker=not options["no_worker"])
        if status:
            sys.exit(status)
