"""The bench test on the customer's page: told in one line, its table folded unless something is outside."""

import pytest
from django.utils import timezone

from jobs.services import bench
from packing import selectors as catalogue
from tests.factories import WORKSHOP, make_job
from tests.portal.reading import parse

pytestmark = pytest.mark.django_db


def fold_of(browser, job):
    page = parse(browser.get(f"/job/{job.number}/").content)
    (fold,) = page.xpath("//section[h2='Bench test']/details")
    return fold


def test_readings_within_the_limits_are_folded_and_counted(shop, let_in):
    job = make_job(stage="tested")
    fold = fold_of(let_in(job), job)
    count = len(fold.xpath(".//tbody/tr"))
    assert count > 1
    assert "open" not in fold.attrib
    assert fold.findtext("summary") == f"{count} readings, none outside the limits"


def test_a_reading_outside_its_limits_is_seen_at_once(shop, let_in):
    job = make_job(stage="tested")
    lines = catalogue.catalogue().unit_models[job.unit_model].test_lines
    readings = {line.slug: 9999.0 for line in lines}
    bench.record_readings(
        job.number, readings=readings, actor=WORKSHOP, now=timezone.now(), expected_count=None
    )
    fold = fold_of(let_in(job), job)
    assert "open" in fold.attrib
    assert "outside the limits" in fold.findtext("summary")
    assert "none outside" not in fold.findtext("summary")
