"""The append-only log of a job."""

from typing import Any

from django.conf import settings
from django.db import models


class AppendOnlyError(Exception):
    """A log row was to be changed or removed; record a correcting event instead."""


class JobEventQuerySet(models.QuerySet["JobEvent"]):
    """Reads only: bulk changes of log rows are refused."""

    def update(self, **kwargs: Any) -> int:
        """Refuse."""
        raise AppendOnlyError("The log is never changed; record a correcting event.")

    def delete(self) -> tuple[int, dict[str, int]]:
        """Refuse."""
        raise AppendOnlyError("The log is never shortened; record a correcting event.")


class JobEvent(models.Model):
    """One thing that happened to a job, numbered from 1 in each job."""

    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="events")
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=32)
    facts = models.JSONField(default=dict)
    facts_version = models.PositiveSmallIntegerField(default=1)
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+")
    actor_role = models.CharField(max_length=10)
    actor_name = models.CharField(max_length=120)
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()

    objects = JobEventQuerySet.as_manager()

    class Meta:
        ordering = ["job_id", "number"]
        constraints = [
            models.UniqueConstraint(fields=["job", "number"], name="event_number_once"),
            models.CheckConstraint(condition=models.Q(number__gte=1), name="event_number_from_one"),
            models.CheckConstraint(
                condition=models.Q(happened_at__lte=models.F("recorded_at")),
                name="event_happened_before_recorded",
            ),
        ]
        indexes = [
            models.Index(fields=["kind", "happened_at", "job", "number"], name="event_kind_happened"),
            models.Index(fields=["happened_at", "id"], name="event_happened"),
            models.Index(fields=["job", "kind"], name="event_job_kind"),
        ]

    def __str__(self) -> str:
        return f"{self.job_id}.{self.number} {self.kind}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Insert the row; refuse to change one that exists."""
        if self.pk is not None:
            raise AppendOnlyError("The log is never changed; record a correcting event.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse."""
        raise AppendOnlyError("The log is never shortened; record a correcting event.")
