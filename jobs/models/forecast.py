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

    family = models.CharField(max_length=60, unique=True)
    detail = models.JSONField(default=dict)

    def __str__(self) -> str:
        return f"forecast for {self.family}"


class KeptQuote(ForecastFields):
    """What was forecast for a job at a moment that matters, kept to be judged by what came.

    On `arrival` it is the first forecast with the unit here; `replayed` is one on arrival too, worked out
    afterwards from what was known on the day; `promise` stands behind the promise of that event.
    `quantile_hours` are working hours from `computed_at` as simulated, `quoted_levels` the points of the
    simulation that were told as 1, 5, 8 and 9 in 10.
    """

    job = models.ForeignKey("jobs.Job", on_delete=models.CASCADE, related_name="quotes")
    moment = models.CharField(max_length=8)
    event_number = models.PositiveIntegerField(null=True)
    family = models.CharField(max_length=60)
    quantile_hours = models.JSONField()
    quoted_levels = models.JSONField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(moment__in=["arrival", "replayed", "promise"]), name="quote_moment_known"
            ),
            models.CheckConstraint(
                condition=models.Q(moment="promise", event_number__isnull=False)
                | models.Q(moment__in=["arrival", "replayed"], event_number__isnull=True),
                name="quote_of_promise_names_event",
            ),
            models.UniqueConstraint(
                fields=["job"],
                condition=models.Q(moment__in=["arrival", "replayed"]),
                name="quote_on_arrival_once",
            ),
            models.UniqueConstraint(
                fields=["job", "event_number"],
                condition=models.Q(moment="promise"),
                name="quote_of_promise_once",
            ),
        ]
        indexes = [models.Index(fields=["moment", "computed_at"], name="quote_moment_computed")]

    def __str__(self) -> str:
        return f"{self.moment} quote for {self.job_id}"


class QuoteRefusal(models.Model):
    """Why no quote could be worked out afterwards for a unit, so that it is not tried again and again."""

    job = models.OneToOneField("jobs.Job", on_delete=models.CASCADE, related_name="quote_refusal")
    sentence = models.CharField(max_length=600)
    refused_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"no quote for {self.job_id}"


class ForecastRun(models.Model):
    """One run of the simulation over the whole shop; `log_mark` is the last log row it knew."""

    computed_at = models.DateTimeField()
    log_mark = models.BigIntegerField()
    overview = models.JSONField(default=dict)

    class Meta:
        indexes = [models.Index(fields=["computed_at"], name="forecast_run_computed")]

    def __str__(self) -> str:
        return f"forecast of {self.computed_at:%Y-%m-%d %H:%M}"
