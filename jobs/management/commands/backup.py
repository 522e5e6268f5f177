"""Makes a back-up of the database and the photos while the shop goes on working.

`serve` makes one each night by itself. Keep a copy of the folder on another machine.
"""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.backups.errors import BackupError
from jobs.backups.nightly import back_up_now

MEGABYTE = 1_000_000


class Command(BaseCommand):
    """`manage.py backup`: one folder below BACKUP_DIR, complete or not there at all."""

    help = "Backs up the database and the photos into BACKUP_DIR."

    def handle(self, *args: Any, **options: Any) -> None:
        """Make it and say where it lies."""
        try:
            made = back_up_now(now=timezone.now())
        except BackupError as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(
            f"{made.folder}: {made.rows} rows, {made.files} files, {made.size_bytes / MEGABYTE:.1f} MB; "
            f"{made.cleared} older ones cleared away."
        )
        self.stdout.write("The signing key is not in it: keep it apart, or let a new one be made.")
