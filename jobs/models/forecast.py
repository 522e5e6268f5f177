"""Stored forecasts: pages read these and never simulate."""

from django.db import models


class ForecastFields(models.Model):
    """A date range with its reasons and the time it was computed."""

    earliest_on = models.DateField()
    likely_on = models.DateField()
    latest_on = models.DateField()
    reasons = models.JSONField(default=list)
    based_on = models.CharField(max_length=16)
    computed_at = models.DateTimeField()

    class Meta:
        abstract = True


class JobForecast(ForecastFields):
    """When a job in the shop, or announced to it, will be on its way back."""

    job = models.OneToOneField("jobs.Job", on_delete=models.CASCADE, related_name="forecast")

    def __str__(self) -> str:
        return f"forecast for {self.job_id}"


class FamilyForecast(ForecastFields):
    """When a unit of this family that arrives today would be on its way back."""

    family = models.CharField(max_length=40, unique=True)
    detail = models.JSONField(default=dict)

    def __str__(self) -> str:
        return f"forecast for {self.family}"


class ForecastRun(models.Model):
    """One run of the simulation over the whole shop; `log_mark` is the last log row it knew."""

    computed_at = models.DateTimeField()
    log_mark = models.BigIntegerField()
    overview = models.JSONField(default=dict)

    class Meta:
        indexes = [models.Index(fields=["computed_at"], name="forecast_run_computed")]

    def __str__(self) -> str:
        return f"forecast of {self.computed_at:%Y-%m-%d %H:%M}"
