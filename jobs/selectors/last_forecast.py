"""By which day are jobs done, as the shop stands today? Nothing where the last forecast no longer holds."""

from collections.abc import Sequence
from datetime import date

from jobs.domain.lifecycle import BEFORE_ARRIVAL
from jobs.domain.stages import IN_SHOP, Stage
from jobs.models import Job, JobForecast
from jobs.selectors import shop
from jobs.selectors.outlook import ADVICE_KEPT
from jobs.selectors.refusals import last_refusal

STILL_OPEN = (BEFORE_ARRIVAL | IN_SHOP) - {Stage.PACKED}
"""Forecast is the day on which a unit is packed: from then on there is nothing to foresee."""


def latest_days(jobs: Sequence[Job], *, today: date) -> dict[int, date]:
    """Return by the job's key the day by which 8 in 10 such jobs are packed, in two queries.

    Empty while the shop cannot be forecast; a job is left out once it is packed, and where its day was worked
    out too long ago to be told as today's.
    """
    open_jobs = [job.pk for job in jobs if job.stage in STILL_OPEN]
    if not open_jobs or last_refusal():
        return {}
    zone = shop.zone()
    rows = JobForecast.objects.filter(job__in=open_jobs).values_list("job_id", "latest_on", "computed_at")
    return {
        key: latest_on
        for key, latest_on, computed_at in rows
        if today - computed_at.astimezone(zone).date() <= ADVICE_KEPT
    }
