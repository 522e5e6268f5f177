"""The owner's own documents: hours, closed days, benches, people, routes, messages, the shop itself."""

from typing import Any

from django.conf import settings
from django.db import models


class ShopRevision(models.Model):
    """One published revision of one document; revisions are never changed."""

    kind = models.CharField(max_length=16)
    slug = models.CharField(max_length=80)
    revision = models.PositiveIntegerField()
    document = models.JSONField()
    withdrawn = models.BooleanField(default=False)
    note = models.CharField(max_length=200, blank=True)
    published_at = models.DateTimeField()
    published_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["kind", "slug", "revision"], name="shop_revision_once"),
            models.CheckConstraint(condition=models.Q(revision__gte=1), name="shop_revision_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.slug} {self.revision}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Insert the row; refuse to change one that exists."""
        if self.pk is not None:
            msg = "A published revision is never changed; publish a new one."
            raise ValueError(msg)
        super().save(*args, **kwargs)
