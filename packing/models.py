"""The catalogue as the database keeps it: revisions that are added and never changed."""

from typing import Any

from django.conf import settings
from django.db import models


class RevisionError(Exception):
    """A published revision was to be changed or removed; publish a new revision instead."""


class CatalogueRevisionQuerySet(models.QuerySet["CatalogueRevision"]):
    """Reads only: bulk changes of revisions are refused."""

    def update(self, **kwargs: Any) -> int:
        """Refuse."""
        raise RevisionError("A published revision is never changed; publish a new one.")

    def delete(self) -> tuple[int, dict[str, int]]:
        """Refuse."""
        raise RevisionError("A published revision is never removed; withdraw the entry instead.")


class CatalogueRevision(models.Model):
    """One published revision of one catalogue entry, numbered from 1 for each kind and slug.

    A withdrawal is a revision too: the same document with `withdrawn` set. `published_by` is empty for the
    first revisions, which the shop's files bring.
    """

    kind = models.CharField(max_length=16)
    slug = models.CharField(max_length=60)
    revision = models.PositiveIntegerField()
    document = models.JSONField()
    published_at = models.DateTimeField()
    published_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    note = models.CharField(max_length=500, blank=True)
    withdrawn = models.BooleanField(default=False)

    objects = CatalogueRevisionQuerySet.as_manager()

    class Meta:
        ordering = ["kind", "slug", "revision"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "slug", "revision"], name="catalogue_revision_once"),
            models.CheckConstraint(condition=models.Q(revision__gte=1), name="catalogue_revision_from_one"),
            models.CheckConstraint(
                condition=models.Q(kind__in=["family", "unit_model", "material", "carton", "carrier"]),
                name="catalogue_kind_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.slug} {self.revision}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Insert the row; refuse to change one that exists."""
        if not self._state.adding:
            raise RevisionError("A published revision is never changed; publish a new one.")
        super().save(*args, **{**kwargs, "force_insert": True})

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse."""
        raise RevisionError("A published revision is never removed; withdraw the entry instead.")
