"""Each measurement runs, on something tiny; how fast this machine is, no test says."""

import inspect
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from jobs.demo.opening import open_demo_shop
from jobs.management.bench import pages, rows
from jobs.management.bench.timing import Timing, growth, lay_out, measure
from jobs.models import ExtraWork, Job, JobEvent
from jobs.selectors.shop_state import states_of
from jobs.services._steps import CACHED, set_cache
from tests.factories import NOW, make_job


def bench(*arguments):
    out = StringIO()
    call_command("bench", *map(str, arguments), stdout=out)
    return out.getvalue()


def test_plans_are_measured_with_a_quarter_and_with_twice_the_stock():
    said = bench("plans", "--units", 1, "--repeats", 1)
    assert "1 units, 60 cartons, 12 materials" in said
    assert "plans a second" in said
    stocks = [tuple(line.split()[:2]) for line in said.splitlines() if line[:1].isdigit() and " x" in line]
    assert {("15", "12"), ("120", "12"), ("60", "3"), ("60", "24")} <= set(stocks)


def test_forecasts_are_measured_against_jobs_and_replications():
    said = bench("leadtime", "--jobs", 4, "--replications", 20, "--repeats", 1)
    sizes = [tuple(line.split()[:2]) for line in said.splitlines() if line[:1].isdigit()]
    assert {("1", "20"), ("8", "20"), ("4", "40")} <= set(sizes)


def patterns():
    jobs = Job.objects.select_related("customer").order_by("pk")
    return [
        rows.Pattern(job=job, customer=job.customer, hanging=tuple(JobEvent.objects.filter(job=job)))
        for job in jobs
    ]


@pytest.mark.slow
@pytest.mark.django_db
def test_pages_are_measured_for_all_three_people():
    open_demo_shop(now=NOW)
    for stage in ("booked", "arrived", "inspected"):
        make_job(stage=stage)
    said = pages.bench_pages(patterns(), sizes=(10, 20), repeats=1, now=timezone.now())
    assert "10 jobs, 10 of them open" in said
    assert "20 jobs, 20 of them open" in said
    for page in ("workshop:", "owner:", "customer:"):
        assert page in said
    assert "Queries that grow with the jobs: none." in said
    assert "workshop: scan of a name" in said


def figures(median_ms, *, is_list):
    timing = Timing(median_ms=median_ms, p95_ms=median_ms)
    return pages.PageFigures(is_list=is_list, queries=9, timing=timing, kilobytes=20.0)


def test_the_pages_above_their_bar_are_named_the_slowest_first():
    lists = {name: figures(ms, is_list=True) for name, ms in (("a", 41.0), ("b", 39.0), ("c", 90.0))}
    assert pages.say_slow(lists, most_ms=40) == "Lists above 40 ms: c 90 ms, a 41 ms."
    opened = {"d": figures(99.0, is_list=False)}
    assert pages.say_slow(opened, most_ms=100) == "Other pages above 100 ms: none; the slowest is d 99 ms."


@pytest.mark.slow
def test_the_command_measures_pages_in_a_database_of_its_own():
    said = bench("pages", "--jobs", 20, "--few", 10, "--repeats", 1)
    assert "10 jobs, 10 of them open" in said
    assert "workshop:" in said


@pytest.mark.django_db
def test_a_database_with_jobs_is_left_alone():
    make_job()
    with pytest.raises(CommandError, match="--here"):
        bench("pages", "--here")
    assert Job.objects.count() == 1


@pytest.mark.django_db
def test_multiplied_jobs_agree_with_their_logs():
    for stage in ("arrived", "closed"):
        make_job(stage=stage)
    owner = rows.write_jobs(patterns(), count=30, now=NOW)
    written = list(Job.objects.all())
    assert len({job.number for job in written}) == len(written) == 30
    assert Job.objects.filter(customer=owner).count() == 3
    assert not ExtraWork.objects.exists()
    states = states_of(written)
    for job in written:
        if job.promise_latest_on is None:
            kept = {name: getattr(job, name) for name in CACHED}
            set_cache(job, state=states[job.pk])
            assert {name: getattr(job, name) for name in CACHED} == kept


def test_a_timing_is_the_middle_of_the_counted_calls():
    calls = []
    timing = measure(lambda: calls.append(1), repeats=3)
    assert len(calls) == 4
    assert 0 < timing.median_ms <= timing.p95_ms


def test_each_counted_call_stands_at_another_depth_of_the_stack():
    depths = []
    measure(lambda: depths.append(len(inspect.stack(context=0))), repeats=4)
    counted = depths[1:]
    assert len(set(counted)) == len(counted) == 4


@pytest.mark.django_db
def test_the_customer_of_few_jobs_has_one_at_each_stage():
    for stage in ("booked", "arrived", "closed"):
        make_job(stage=stage)
    owner = rows.write_jobs(patterns(), count=6, now=NOW)
    assert set(Job.objects.filter(customer=owner).values_list("stage", flat=True)) == {
        "booked",
        "arrived",
        "closed",
    }


def test_a_table_stands_in_columns():
    table = lay_out(("page", "ms"), rows=[("a", "5"), ("long", "120")])
    assert table.splitlines() == ["page   ms", "---------", "a       5", "long  120"]
    assert [growth(30.0, first=12.0), growth(1.0, first=0.0)] == ["2.5 x", "-"]
