"""A booking that is being written: the customer's answers so far."""

import uuid

from django.db import models


class Booking(models.Model):
    """Answers by step, saved at every step; `job` is set once it was sent in."""

    reference = models.UUIDField(default=uuid.uuid4, unique=True)
    submission_key = models.UUIDField(default=uuid.uuid4, unique=True)
    answers = models.JSONField(default=dict)
    customer = models.ForeignKey(
        "jobs.Customer", null=True, on_delete=models.PROTECT, related_name="bookings"
    )
    job = models.OneToOneField("jobs.Job", null=True, on_delete=models.PROTECT, related_name="booking")
    started_at = models.DateTimeField()
    saved_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["saved_at"], name="booking_saved")]

    def __str__(self) -> str:
        return f"booking {self.pk}"
