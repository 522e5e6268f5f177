"""Is what a queued mail tells still so? Asked once more when it is about to go out."""

from jobs.domain.replay import standing_events
from jobs.domain.replies import is_settled
from jobs.models import Job, OutboxMessage
from jobs.selectors.logs import log_of
from jobs.selectors.questions import OpenQuestion, answer_waits

STEP_TAKEN_BACK = "Not sent: the step that it tells of was taken back before it went out."
SETTLED = "Not sent: what it asks was settled before it went out."
WAIT_OVER = "Not sent: the wait that it reminds of was over before it went out."


def why_outdated(message: OutboxMessage) -> str:
    """Return why a mail is no longer true, or nothing."""
    job = message.job
    if job is None:
        return ""
    if message.kind == "reminder":
        stems = tuple(reminder_stem(job, wait=wait) for _, wait in answer_waits([job]))
        return "" if message.key.startswith(stems) else WAIT_OVER
    told = message.payload.get("event")
    if told is None:
        return ""
    standing = standing_events(log_of(job))
    event = next((entry for entry in standing if entry.number == told), None)
    if event is None:
        return STEP_TAKEN_BACK
    later = (entry for entry in standing if entry.number > told)
    return SETTLED if is_settled(event, later=later) else ""


def reminder_stem(job: Job, *, wait: OpenQuestion) -> str:
    """Return how the keys of the reminders of one wait for an answer begin; none begins otherwise."""
    return f"{job.number}.reminder.{wait.asked_at:%Y%m%d%H%M}."
