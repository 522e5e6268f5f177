"""Lists read little of each job: by index, without its papers, and of its log only what they show."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.models import Job
from jobs.selectors import records
from jobs.selectors.listing import PAPERS, as_lines
from jobs.selectors.shop_state import done_steps_of, states_of
from jobs.selectors.unit_names import name_unit
from jobs.services import bench, corrections
from packing.catalogue.schema import EntryKind
from packing.selectors import catalogue
from packing.services import withdraw_entry
from tests.factories import NOW, WORKSHOP, make_job

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=60)


def test_a_withdrawn_model_is_named_by_what_the_customer_was_told_in_one_query():
    jobs = [make_job(stage="cleared"), make_job(stage="cleared")]
    named = name_unit(jobs[0], published=catalogue())
    withdraw_entry(
        EntryKind.UNIT_MODEL, slug=jobs[0].unit_model, based_on=1, note="gone", actor_user_id=None, now=LATER
    )
    published = catalogue()
    assert jobs[0].unit_model not in published.unit_models
    with CaptureQueriesContext(connection) as queries:
        names = [name_unit(job, published=published) for job in as_lines(Job.objects.all())]
    assert names == [named, named]
    assert len(queries) == 1


def test_a_list_leaves_the_papers_where_they_are():
    make_job()
    (job,) = as_lines(Job.objects.all())
    assert set(PAPERS) <= job.get_deferred_fields()


def test_the_finished_steps_are_those_of_the_whole_log():
    failed, undone = make_job(stage="tested"), make_job(stage="cleaned")
    act = {"actor": WORKSHOP, "now": LATER, "expected_count": None}
    bench.fail_test(failed.number, note="leaks at the bowl gasket", **act)
    corrections.take_back_last_step(undone.number, reason="pressed too early", **act)
    jobs = [Job.objects.get(pk=job.pk) for job in (failed, undone)]
    folded = {pk: state.done_steps for pk, state in states_of(jobs).items()}
    assert done_steps_of(jobs) == folded
    assert [folded[job.pk][-1] for job in jobs] == ["machine", "strip"]


@pytest.mark.skipif(connection.vendor != "sqlite", reason="the words of SQLite's plan")
@pytest.mark.parametrize("rows", [records.jobs, records.events, records.mails])
def test_the_newest_rows_are_found_without_sorting_all(rows):
    plan = rows(records.Narrowing())[:50].explain()
    assert "USING INDEX" in plan
    assert "TEMP B-TREE" not in plan
