"""Which columns of a job does a list read? All but its papers, a hundred times as long as the rest."""

from django.db.models import QuerySet
from django.db.models.fields.json import KT

from jobs.models import Job

PAPERS = ("strip_list", "plan", "plan_back", "customer_carton", "symptoms", "flags", "own_words")
MODEL_TOLD = KT("strip_list__model_name")


def as_lines(rows: "QuerySet[Job]") -> "QuerySet[Job]":
    """Return the jobs with their customers and without their papers, to be shown one a line.

    `model_told` is the unit's name on the frozen strip list, for models that were withdrawn since.
    """
    return rows.select_related("customer").defer(*PAPERS).annotate(model_told=MODEL_TOLD)
