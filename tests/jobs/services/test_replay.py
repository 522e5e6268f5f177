"""`manage.py replay_jobs`: says whether every job row agrees with its log, and mends it when asked."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from jobs.models import Job
from tests.factories import NOW, make_job

pytestmark = pytest.mark.django_db


def replay(*arguments):
    out = StringIO()
    call_command("replay_jobs", *arguments, stdout=out)
    return out.getvalue()


@pytest.fixture
def broken():
    job = make_job(stage="arrived")
    make_job(name="Bram Dunnage")
    Job.objects.filter(pk=job.pk).update(stage="closed", hold="parts", tracking_in="X", priority=True)
    return job


def test_jobs_that_agree_with_their_logs_end_well():
    make_job(stage="closed")
    make_job(stage="declined", name="Bram Dunnage")
    assert "2 jobs compared, 0 differ" in replay()


def test_a_difference_is_named_and_ends_badly_and_nothing_is_written(broken):
    out = StringIO()
    with pytest.raises(CommandError, match="--repair"):
        call_command("replay_jobs", stdout=out)
    assert f"{broken.number}: stage, hold, priority, tracking_in" in out.getvalue()
    assert "2 jobs compared, 1 differ" in out.getvalue()
    assert Job.objects.get(pk=broken.pk).stage == "closed"


def test_repair_writes_what_the_log_says_and_ends_well(broken):
    assert "1 differ" in replay("--repair")
    job = Job.objects.get(pk=broken.pk)
    assert (job.stage, job.hold, job.tracking_in, job.priority) == ("arrived", "", "", False)
    assert "0 differ" in replay()


def test_repair_takes_off_the_hold_that_an_ended_job_kept_before():
    job = make_job(stage="closed")
    Job.objects.filter(pk=job.pk).update(hold="payment", hold_reason="Invoice 12 is open", hold_since=NOW)
    assert f"{job.number}: hold, hold_reason, hold_since" in replay("--repair")
    assert Job.objects.get(pk=job.pk).hold == ""
    assert "0 differ" in replay()


def test_the_exit_status_says_it_too(broken):
    """As a shell sees it: the command line turns the refusal into status 1."""
    with pytest.raises(CommandError) as refusal:
        replay()
    assert refusal.value.returncode == 1


def test_a_job_without_any_log_is_named_and_never_repaired():
    job = make_job()
    row = Job.objects.get(pk=job.pk)
    row.pk, row.number, row.submission_key = None, "1000007", "00000000-0000-4000-8000-000000000001"
    row.booked_at = NOW
    row.save()
    with pytest.raises(CommandError):
        replay()
    out = replay("--repair")
    assert "1000007: no log at all" in out
