"""A log row is never changed, whoever tries and however."""

import pytest
from django.db import DatabaseError, connection, models, transaction

from jobs.models import JobEvent
from jobs.models.event import AppendOnlyError
from tests.factories import make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def event():
    return JobEvent.objects.get(job=make_job(), number=1)


def by_statement(event):
    with connection.cursor() as cursor:
        cursor.execute("UPDATE jobs_jobevent SET actor_name = 'another' WHERE id = %s", [event.pk])


def by_plain_rows(event):
    models.QuerySet(JobEvent).filter(pk=event.pk).update(actor_name="another")


def by_base_save(event):
    event.actor_name = "another"
    models.Model.save(event)


def by_bulk(event):
    event.actor_name = "another"
    models.QuerySet(JobEvent).bulk_update([event], ["actor_name"])


@pytest.mark.parametrize("change", [by_statement, by_plain_rows, by_base_save, by_bulk])
def test_the_database_refuses_a_change_that_passes_by_the_model(event, change):
    with pytest.raises(DatabaseError, match="the log is never changed"), transaction.atomic():
        change(event)
    assert JobEvent.objects.get(pk=event.pk).actor_name == "Ada Thornby"


def test_the_model_refuses_first(event):
    for change in (
        event.save,
        event.delete,
        lambda: JobEvent.objects.filter(pk=event.pk).update(actor_name="another"),
        lambda: JobEvent.objects.filter(pk=event.pk).delete(),
    ):
        with pytest.raises(AppendOnlyError):
            change()
    assert JobEvent.objects.get(pk=event.pk).actor_name == "Ada Thornby"
