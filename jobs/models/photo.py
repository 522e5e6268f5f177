"""A photo of a unit, a carton or a finding, and what became of it on the way in."""

from django.db import models


class Photo(models.Model):
    """One photo; `raw` holds the file as sent until the worker has converted it.

    `state`: `waiting` for conversion, `ready`, or `refused` with the reason in words. A photo is withdrawn,
    never deleted, once the shop may have relied on it; one that the shop itself withdraws loses its files.
    `stored_bytes` is what its files take up now. `tries` counts how often it may have ended its reader,
    `faults` how often the machine failed it since it was sent, `last_fault` says how; a worker last took it
    up at `tried_at` and leaves it alone until `not_before`.
    """

    reference = models.UUIDField(unique=True)
    job = models.ForeignKey("jobs.Job", null=True, on_delete=models.PROTECT, related_name="photos")
    booking = models.ForeignKey("jobs.Booking", null=True, on_delete=models.CASCADE, related_name="photos")
    role = models.CharField(max_length=16)
    shot = models.CharField(max_length=60, blank=True)
    caption = models.CharField(max_length=200, blank=True)
    state = models.CharField(max_length=8, default="waiting")
    refusal = models.CharField(max_length=300, blank=True)
    hint = models.CharField(max_length=300, blank=True)
    raw = models.FileField(upload_to="raw/", blank=True)
    page = models.FileField(upload_to="page/", blank=True)
    thumb = models.FileField(upload_to="thumb/", blank=True)
    width_px = models.PositiveIntegerField(null=True)
    height_px = models.PositiveIntegerField(null=True)
    sha256 = models.CharField(max_length=64, blank=True)
    by_role = models.CharField(max_length=10)
    by_name = models.CharField(max_length=120)
    uploaded_at = models.DateTimeField()
    stored_bytes = models.PositiveBigIntegerField(default=0)
    tries = models.PositiveSmallIntegerField(default=0)
    tried_at = models.DateTimeField(null=True)
    faults = models.PositiveSmallIntegerField(default=0)
    last_fault = models.CharField(max_length=300, blank=True)
    not_before = models.DateTimeField(null=True)
    taken_at = models.DateTimeField(null=True)
    withdrawn_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["uploaded_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(job__isnull=False) | models.Q(booking__isnull=False), name="photo_belongs"
            ),
            models.CheckConstraint(
                condition=models.Q(state__in=["waiting", "ready", "refused"]), name="photo_state_known"
            ),
            models.CheckConstraint(
                condition=models.Q(
                    role__in=["before", "carton", "packing", "item", "finding", "done", "back"]
                ),
                name="photo_role_known",
            ),
        ]
        indexes = [models.Index(fields=["state", "uploaded_at"], name="photo_state")]

    def __str__(self) -> str:
        return f"photo {self.reference}"
