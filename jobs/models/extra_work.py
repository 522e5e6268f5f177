"""Extra work: lines with prices that the customer approves or declines."""

from django.db import models


class ExtraWork(models.Model):
    """One request; the decision is written once and never changed."""

    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="extra_work")
    number = models.PositiveSmallIntegerField()
    lines = models.JSONField()
    price_pence = models.PositiveIntegerField()
    added_work_days = models.PositiveSmallIntegerField(default=0)
    latest_on_if_approved = models.DateField(null=True)
    within_limit = models.BooleanField(default=False)
    asked_at = models.DateTimeField()
    asked_by = models.CharField(max_length=120)
    decision = models.CharField(max_length=8, blank=True)
    decided_at = models.DateTimeField(null=True)
    decided_by = models.CharField(max_length=120, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["job", "number"], name="extra_work_number_once"),
            models.CheckConstraint(
                condition=models.Q(decision__in=["", "approved", "declined"]),
                name="extra_work_decision_known",
            ),
            models.CheckConstraint(
                condition=models.Q(decision="", decided_at__isnull=True)
                | (~models.Q(decision="") & models.Q(decided_at__isnull=False)),
                name="extra_work_decision_dated",
            ),
        ]

    def __str__(self) -> str:
        return f"extra work {self.job_id}.{self.number}"
