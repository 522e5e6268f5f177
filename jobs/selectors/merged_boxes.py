"""Which jobs are boxes without a name that were carried on under their booking's number?

The booking then has the arrival, so whoever counts arrivals leaves these out; else one parcel counts twice.
"""

from typing import Any

from django.db.models import QuerySet

from jobs.domain.stages import EventKind
from jobs.models import Job, JobEvent
from jobs.selectors.taken_back import taken_back


def merged_boxes() -> "QuerySet[JobEvent, Any]":
    """Return the job keys of merged boxes, for an `in` of another query; a match taken back is none."""
    merged = JobEvent.objects.filter(~taken_back(), kind=EventKind.MERGED.value)
    return merged.order_by().values("job")


def arrived_units() -> "QuerySet[Job]":
    """Return the jobs that stand for a unit each: a merged box stands for none."""
    return Job.objects.exclude(pk__in=merged_boxes())
