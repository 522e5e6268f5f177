"""A tick: the customer did one step of the strip-and-pack page."""

from django.db import models


class StepTick(models.Model):
    """One ticked step of one job."""

    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="ticks")
    step = models.CharField(max_length=80)
    ticked_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "step"], name="step_ticked_once")]

    def __str__(self) -> str:
        return f"{self.job_id} {self.step}"
