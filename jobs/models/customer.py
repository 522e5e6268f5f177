"""The person who owns the unit, and the private links that let them in."""

from django.db import models


class Customer(models.Model):
    """A contact and a return address; a customer has no password and no user account."""

    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    address_lines = models.TextField(blank=True)
    postal_code = models.CharField(max_length=16, blank=True)
    country = models.CharField(max_length=60, blank=True)
    unit_choice = models.CharField(max_length=8, default="metric")
    version = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["email"], name="customer_email")]

    def __str__(self) -> str:
        return self.name


class PrivateLink(models.Model):
    """A secret sent by mail; only its SHA-256 is kept.

    A `job` link opens one customer's job pages until it is revoked or `expires_at` passes. A `draft` link
    opens a booking that is being written. A `sign_in` link works once, for ten minutes.
    """

    purpose = models.CharField(max_length=8)
    token_hash = models.CharField(max_length=64, unique=True)
    customer = models.ForeignKey("jobs.Customer", null=True, on_delete=models.PROTECT, related_name="links")
    booking = models.ForeignKey("jobs.Booking", null=True, on_delete=models.CASCADE, related_name="links")
    job = models.ForeignKey("jobs.Job", null=True, on_delete=models.PROTECT, related_name="links")
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField(null=True)
    used_at = models.DateTimeField(null=True)
    revoked_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(purpose__in=["job", "draft", "sign_in"]), name="link_purpose_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.purpose} link {self.pk}"
