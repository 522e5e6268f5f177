"""Which jobs have a question that the customer has not answered yet, and since when?"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from jobs.domain.facts import load_facts
from jobs.domain.questions import TOLD_OF_QUESTIONS
from jobs.domain.stages import EventKind
from jobs.models import Job, JobEvent
from jobs.selectors.taken_back import taken_back


@dataclass(frozen=True, slots=True)
class OpenQuestion:
    """A question that stands on the customer's page: its words, and when it was asked."""

    text: str
    asked_at: datetime


def open_questions(jobs: "Iterable[Job] | QuerySet[Job]") -> dict[int, OpenQuestion]:
    """Return the open question of each job that has one, by its primary key, in one query."""
    which = jobs.order_by().values("pk") if isinstance(jobs, QuerySet) else list(jobs)
    kinds = [kind.value for kind in TOLD_OF_QUESTIONS]
    told = JobEvent.objects.filter(~taken_back(), job__in=which, kind__in=kinds).order_by("number")
    last = {job_id: row for job_id, *row in told.values_list("job_id", "kind", "facts", "happened_at")}
    return {
        job_id: OpenQuestion(load_facts(EventKind.QUESTION_ASKED, stored=facts).text, at)
        for job_id, (kind, facts, at) in last.items()
        if kind == EventKind.QUESTION_ASKED.value
    }
