"""Whoever holds a job keeps nobody from writing rows beside it, or two could wait for each other."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import OperationalError, connection, connections, transaction

from jobs.services._steps import lock_job
from jobs.services.links import issue_job_link
from tests.factories import NOW, make_job

pytestmark = pytest.mark.django_db(transaction=True)


def issue_without_waiting(job):
    """Return a link to the job, made by somebody who waits for no lock longer than a second."""
    try:
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET LOCAL lock_timeout = '1s'")
            return issue_job_link(job, now=NOW)
    finally:
        connections.close_all()


def test_a_row_is_written_beside_a_job_that_somebody_holds():
    if connection.vendor != "postgresql":
        pytest.skip("SQLite has one writer at a time, so nobody waits with something in hand.")
    job = make_job()
    with ThreadPoolExecutor(1) as other, transaction.atomic():
        lock_job(job.number, expected_count=None)
        assert other.submit(issue_without_waiting, job).result(timeout=20)


def test_of_two_who_hold_the_same_job_the_second_waits():
    if connection.vendor != "postgresql":
        pytest.skip("SQLite has one writer at a time, so nobody waits with something in hand.")
    job = make_job()

    def hold():
        try:
            with transaction.atomic():
                with connection.cursor() as cursor:
                    cursor.execute("SET LOCAL lock_timeout = '200ms'")
                lock_job(job.number, expected_count=None)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(1) as other, transaction.atomic():
        lock_job(job.number, expected_count=None)
        with pytest.raises(OperationalError, match="lock timeout"):
            other.submit(hold).result(timeout=20)
