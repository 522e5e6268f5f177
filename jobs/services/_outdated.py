"""Is what a queued mail tells still so? Asked once more when it is about to go out."""

from jobs.domain.facts import load_facts
from jobs.domain.stages import EventKind, HoldKind
from jobs.models import Job, JobEvent, OutboxMessage

STEP_TAKEN_BACK = "Not sent: the step that it tells of was taken back before it went out."
WAIT_OVER = "Not sent: the wait that it reminds of was over before it went out."


def why_outdated(message: OutboxMessage) -> str:
    """Return why a mail is no longer true, or nothing."""
    job = message.job
    if job is None:
        return ""
    if message.kind == "reminder":
        return "" if message.key.startswith(reminder_stem(job)) else WAIT_OVER
    return STEP_TAKEN_BACK if message.payload.get("event") in _taken_back(job) else ""


def reminder_stem(job: Job) -> str:
    """Return how the keys of the reminders of the present wait for an answer begin; none begins otherwise."""
    since = job.hold_since if job.hold == HoldKind.ANSWER.value else None
    return f"{job.number}.reminder.{since:%Y%m%d%H%M}." if since else f"{job.number}.no wait."


def _taken_back(job: Job) -> frozenset[int]:
    kind = EventKind.CORRECTED
    rows = JobEvent.objects.filter(job=job, kind=kind.value).values_list("facts", flat=True)
    return frozenset(load_facts(kind, stored=facts).corrects for facts in rows)
