"""Which jobs have a question that the customer has not answered yet, and since when?"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from jobs.domain.facts import load_facts
from jobs.domain.questions import TOLD_OF_QUESTIONS
from jobs.domain.stages import EventKind, HoldKind, Stage
from jobs.models import Job, JobEvent
from jobs.selectors.taken_back import taken_back


@dataclass(frozen=True, slots=True)
class OpenQuestion:
    """A question that stands on the customer's page: its words, and when it was asked."""

    text: str
    asked_at: datetime


def open_questions(jobs: Iterable[Job]) -> dict[int, OpenQuestion]:
    """Return the open question of each job that has one, by its primary key, in one query."""
    kinds = [kind.value for kind in TOLD_OF_QUESTIONS]
    told = JobEvent.objects.filter(~taken_back(), job__in=jobs, kind__in=kinds).order_by("number")
    last = {job_id: row for job_id, *row in told.values_list("job_id", "kind", "facts", "happened_at")}
    return {
        job_id: OpenQuestion(load_facts(EventKind.QUESTION_ASKED, stored=facts).text, at)
        for job_id, (kind, facts, at) in last.items()
        if kind == EventKind.QUESTION_ASKED.value
    }


def answer_waits(jobs: Sequence[Job]) -> tuple[tuple[Job, OpenQuestion], ...]:
    """Return each job that stands still until its customer answers, with what for and since when.

    That is a unit on hold for the answer, and a booking on which the shop has asked.
    """
    booked = open_questions([job for job in jobs if job.stage == Stage.BOOKED.value])
    waits = ((job, _held_for_answer(job) or booked.get(job.pk)) for job in jobs)
    return tuple((job, wait) for job, wait in waits if wait is not None)


def _held_for_answer(job: Job) -> OpenQuestion | None:
    if job.hold != HoldKind.ANSWER.value or job.hold_since is None:
        return None
    return OpenQuestion(job.hold_reason, job.hold_since)
