"""Migrations go back and forward again on the database in use, and take the rows along."""

import pytest
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction

from jobs.models import JobEvent
from tests.factories import make_box, make_job

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]


def migrate(*where):
    call_command("migrate", *where, interactive=False, verbosity=0)


@pytest.fixture
def _forward_again():
    yield
    migrate()


def change_log():
    with connection.cursor() as cursor:
        cursor.execute("UPDATE jobs_jobevent SET actor_name = 'another'")


def tables():
    return {name for name in connection.introspection.table_names() if name.startswith(("jobs_", "packing_"))}


@pytest.mark.usefixtures("_forward_again")
def test_every_migration_goes_back_and_forward():
    before = tables()
    assert len(before) > 12
    migrate("jobs", "zero")
    migrate("packing", "zero")
    assert tables() == set()
    migrate()
    assert tables() == before
    assert make_job(stage="arrived").stage == "arrived"


@pytest.mark.usefixtures("_forward_again")
def test_the_guard_of_the_log_goes_and_comes_back_and_the_rows_stay():
    job = make_job(stage="arrived")
    rows = list(JobEvent.objects.filter(job=job).values_list("number", "kind"))
    migrate("jobs", "0001")
    with transaction.atomic():
        change_log()
        transaction.set_rollback(True)
    migrate("jobs")
    assert list(JobEvent.objects.filter(job=job).values_list("number", "kind")) == rows
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic():
        change_log()


@pytest.mark.usefixtures("_forward_again")
def test_the_number_on_a_box_is_filled_in_from_the_log():
    box = make_box(parcel_number="qf 123-456 78901")
    migrate("jobs", "0009")
    migrate("jobs")
    box.refresh_from_db()
    assert box.parcel_seen == "QF12345678901"
