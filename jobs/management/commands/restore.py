"""Puts a back-up back into an empty database and an empty photo folder, after every byte was checked."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from jobs.backups.errors import BackupError
from jobs.backups.nightly import put_back


class Command(BaseCommand):
    """`manage.py restore FOLDER`: all of it, or nothing."""

    help = "Puts the back-up in FOLDER back; set DATA_DIR or DATABASE_URL to where nothing is yet."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the folder of one back-up."""
        parser.add_argument("folder", type=Path, help="the folder of one back-up, such as 2026-05-12T013000Z")

    def handle(self, *args: Any, **options: Any) -> None:
        """Put it back and say what came."""
        try:
            manifest = put_back(options["folder"])
        except BackupError as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(
            f"Back as of {manifest.made_at:%Y-%m-%d %H:%M} UTC: {sum(manifest.rows.values())} rows, "
            f"{len(manifest.files)} files. Start the site with `manage.py serve`."
        )
