"""Which unit model comes in most often, among those whose parcels hold a carton or a material?"""

from django.db.models import Count, Q, TextField
from django.db.models.functions import Cast

from jobs.models import Job

LATEST_JOBS = 300


def commonest_model(*, using: str = "") -> str:
    """Return the slug of the unit model that most of the latest jobs are about, "" without any.

    With `using` only jobs count whose parcel, either way, was planned with the carton or material of that
    short name. Two queries.
    """
    latest = Job.objects.exclude(unit_model="").order_by("-booked_at").values("pk")[:LATEST_JOBS]
    jobs = Job.objects.filter(pk__in=list(latest.values_list("pk", flat=True)))
    if using:
        jobs = jobs.annotate(
            way_in=Cast("plan", TextField()), way_back=Cast("plan_back", TextField())
        ).filter(Q(way_in__contains=f'"{using}"') | Q(way_back__contains=f'"{using}"'))
    counted = jobs.values_list("unit_model").annotate(count=Count("pk")).order_by("-count", "unit_model")
    return next((slug for slug, _count in counted), "")
