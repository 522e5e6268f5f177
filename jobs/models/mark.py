"""A mark: one piece of damage, placed in a zone of the unit and, if wanted, on a photo."""

from django.db import models


class Mark(models.Model):
    """Damage found at the receiving inspection or on the bench."""

    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="marks")
    photo = models.ForeignKey("jobs.Photo", null=True, on_delete=models.PROTECT, related_name="marks")
    zone = models.CharField(max_length=60)
    damage_kind = models.CharField(max_length=24)
    severity = models.PositiveSmallIntegerField()
    x_share = models.FloatField(null=True)
    y_share = models.FloatField(null=True)
    origin = models.CharField(max_length=24)
    note = models.CharField(max_length=300, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.CharField(max_length=120)
    withdrawn_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(severity__gte=0, severity__lte=5), name="mark_severity_known"
            ),
            models.CheckConstraint(
                condition=models.Q(x_share__isnull=True) | models.Q(x_share__gte=0, x_share__lte=1),
                name="mark_x_on_photo",
            ),
            models.CheckConstraint(
                condition=models.Q(y_share__isnull=True) | models.Q(y_share__gte=0, y_share__lte=1),
                name="mark_y_on_photo",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.zone}: {self.damage_kind}"
