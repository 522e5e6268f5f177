"""Live jobs that wait one behind the other, and what a forecast says of each."""

from datetime import timedelta

from jobs.leadtime.state import LiveJob
from tests.jobs.leadtime.shops import NOW


def by_number(result):
    return {job.job_number: job for job in result.jobs}


def queue_of(count, **more):
    return [
        LiveJob(f"{number:03d}", "sender", arrived_at=NOW - timedelta(minutes=count - number), **more)
        for number in range(count)
    ]
