"""What the worker works out beside the dates: the weeks ahead, advice, reasons; and comparisons asked for.

`WorkClaim` says which of it some worker is at, so that no two work out the same.
"""

from uuid import uuid4

from django.db import models


class OutlookPart(models.Model):
    """One stored part of the outlook; `subject` is a family where there is one row a family.

    `run_at` is the moment of the forecast run it belongs to.
    """

    part = models.CharField(max_length=16)
    subject = models.CharField(max_length=60, blank=True)
    run_at = models.DateTimeField()
    computed_at = models.DateTimeField()
    content = models.JSONField(default=dict)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["part", "subject"], name="outlook_part_once")]

    def __str__(self) -> str:
        return f"{self.part} {self.subject}".strip()


class WorkClaim(models.Model):
    """One piece of background work and until when the worker that took it may keep it; None is nobody."""

    name = models.CharField(max_length=40, unique=True)
    holder = models.UUIDField(default=uuid4)
    lease_until = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"claim on {self.name}"


class WhatIfRun(models.Model):
    """One comparison of the shop as it is with the shop changed, asked for on a page, done by the worker."""

    reference = models.UUIDField(default=uuid4, unique=True)
    changes = models.JSONField()
    state = models.CharField(max_length=9, default="waiting")
    progress_share = models.FloatField(default=0.0)
    asked_by = models.CharField(max_length=80)
    asked_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True)
    finished_at = models.DateTimeField(null=True)
    lease_until = models.DateTimeField(null=True)
    tries = models.PositiveSmallIntegerField(default=0)
    result = models.JSONField(default=dict)
    refusal = models.CharField(max_length=600, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(
                    state__in=["waiting", "running", "done", "refused", "failed", "cancelled", "expired"]
                ),
                name="what_if_state_known",
            ),
        ]
        indexes = [models.Index(fields=["state", "asked_at"], name="what_if_due")]

    def __str__(self) -> str:
        return f"what-if {self.reference}"
