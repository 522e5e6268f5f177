"""Folds every job's log again and compares the result with what the job row says.

The log is the truth and the row a cache; they differ only after a fault or a repair by hand. Exit status 1
says that they differ. `--repair` writes what the log says.
"""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from jobs.domain.replay import JobState
from jobs.models import Job
from jobs.selectors.shop_state import states_of
from jobs.services._steps import CACHED, lock_job, set_cache

BATCH = 200


def _differences(job: Job, *, state: JobState) -> list[str]:
    """Return the cached fields that differ from the log, after setting them on the unsaved row."""
    before = {name: getattr(job, name) for name in CACHED}
    set_cache(job, state=state)
    return [name for name in CACHED if getattr(job, name) != before[name]]


@transaction.atomic(durable=True)
def _look_again(number: str, *, is_repair: bool) -> str:
    """Return what differs once the job is locked: it may have gone on since the batch was read."""
    log = lock_job(number, expected_count=None)
    if not log.log.entries:
        return "no log at all; restore it from a back-up"
    changed = _differences(log.job, state=log.state)
    if changed and is_repair:
        log.job.save(update_fields=CACHED)
    return ", ".join(changed)


class Command(BaseCommand):
    """`manage.py replay_jobs`: compare, name what differs, repair if asked."""

    help = "Compares every job with its log; --repair writes what the log says."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take whether to write what the log says."""
        parser.add_argument("--repair", action="store_true", help="write what the log says")

    def handle(self, *args: Any, **options: Any) -> None:
        """Compare in batches, so that memory does not grow with the shop."""
        compared = differing = 0
        last_pk = 0
        while batch := list(Job.objects.filter(pk__gt=last_pk).order_by("pk")[:BATCH]):
            states = states_of(batch)
            for job in batch:
                compared += 1
                if states.get(job.pk) is not None and not _differences(job, state=states[job.pk]):
                    continue
                words = _look_again(job.number, is_repair=options["repair"])
                if words:
                    differing += 1
                    self.stdout.write(f"{job.number}: {words}")
            last_pk = batch[-1].pk
        self.stdout.write(f"{compared} jobs compared, {differing} differ from their log.")
        if differing and not options["repair"]:
            raise CommandError("Run again with --repair to write what the logs say.")
