"""The shop's own log becomes a past that can be replayed, and the command prints its scores."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from jobs.demo.opening import open_demo_shop
from jobs.demo.seeding import seed_history
from jobs.leadtime.past import PastJob
from jobs.leadtime.routes import BenchStep
from jobs.models import Job
from jobs.selectors.past_jobs import past_jobs
from tests.factories import NOW, make_job

pytestmark = pytest.mark.django_db


def test_a_job_that_never_came_has_no_past():
    make_job(stage="posted")
    assert past_jobs() == ()


def test_a_closed_job_is_told_with_every_step_it_passed():
    job = make_job(stage="closed")
    (past,) = past_jobs()
    assert isinstance(past, PastJob)
    assert (past.job_number, past.family) == (job.number, job.family)
    steps = [visit.step for visit in past.visits]
    assert steps == [step for step in BenchStep if step in steps]
    assert {BenchStep.STRIP, BenchStep.TEST, BenchStep.PACK} <= set(steps)
    assert all(visit.passed and visit.finished_at is not None for visit in past.visits)
    assert past.arrived_at < past.visits[0].finished_at <= past.packed_at == past.visits[-1].finished_at


def test_a_job_on_the_bench_is_not_packed_yet():
    make_job(stage="cleaned")
    (past,) = past_jobs()
    assert past.packed_at is None
    assert [visit.step for visit in past.visits] == [BenchStep.STRIP, BenchStep.CLEAN]


def test_a_shop_without_a_past_is_told_what_is_missing():
    make_job(stage="closed")
    with pytest.raises(CommandError, match="needs at least 60"):
        call_command("backtest", stdout=StringIO(), stderr=StringIO())


@pytest.mark.slow
def test_the_demo_shops_own_log_is_replayed_and_scored():
    now = NOW + timedelta(days=60)
    staff = open_demo_shop(now=now)
    seed_history(staff=staff, now=now)
    past = past_jobs()
    assert len(past) > 200
    assert any(not visit.passed for job in past for visit in job.visits)
    assert any(job.holds for job in past)
    assert {job.job_number for job in past} <= set(Job.objects.values_list("number", flat=True))
    out = StringIO()
    call_command("backtest", "--every", "60", "--replications", "20", stdout=out, stderr=StringIO())
    said = out.getvalue()
    for words in ("simulation, recalibrated", "fixed weeks", "last 30 jobs", "WIP over throughput", "CRPS"):
        assert words in said
    assert "these figures are rough" in said
