"""Which events does a later correction take back? Asked in the database, not by reading whole logs."""

from django.db.models import Exists, IntegerField, OuterRef
from django.db.models.fields.json import KeyTextTransform
from django.db.models.functions import Cast

from jobs.domain.stages import EventKind
from jobs.models import JobEvent


def taken_back() -> Exists:
    """Return the condition that a correction in the same log names the event."""
    corrections = JobEvent.objects.filter(job=OuterRef("job"), kind=EventKind.CORRECTED.value)
    which = Cast(KeyTextTransform("corrects", "facts"), IntegerField())
    return Exists(corrections.annotate(which=which).filter(which=OuterRef("number")))
