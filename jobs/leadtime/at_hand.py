"""How a live job stands: on its way, waiting, or with work at hand."""

from jobs.leadtime.clock import ShopClock
from jobs.leadtime.state import LiveJob


def is_announced(job: LiveJob) -> bool:
    """Whether the unit was announced and has not come yet."""
    return job.expected_at is not None and job.arrived_at is None and job.waiting_since is None


def is_begun(job: LiveJob) -> bool:
    """Whether the job holds a bench now; work on a held job has stopped."""
    return job.started_at is not None and job.hold is None


def worked_hours(job: LiveJob, *, step: str, clock: ShopClock) -> float:
    """Return the working hours that have gone into a step which is not finished; a hold is no work."""
    spans = [(span.began_at, span.ended_at) for span in job.put_down if span.step == step]
    worked_h = sum(max(clock.hours_at(ended) - clock.hours_at(began), 0.0) for began, ended in spans)
    if is_begun(job) and job.started_at is not None and job.at_step in (step, None):
        worked_h -= min(clock.hours_at(job.started_at), 0.0)
    return worked_h
