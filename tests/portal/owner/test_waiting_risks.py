"""A promise that waits for its customer stands folded, and says once what it waits for."""

from datetime import date

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.models import Job
from tests.factories import make_job, open_shop
from tests.portal.reading import parse

pytestmark = pytest.mark.django_db
PASSED = date(2026, 1, 2)


def held(hold):
    job = make_job(stage="stripped")
    Job.objects.filter(pk=job.pk).update(
        hold=hold, hold_since=timezone.now(), hold_reason="asked", promise_earliest_on=PASSED,
        promise_likely_on=PASSED, promise_latest_on=PASSED,
    )  # fmt: skip


@pytest.fixture
def risks(db, person, client_of):
    """Return the section of promises at risk: one rests with the shop, one waits for its customer."""
    open_shop()
    held("parts")
    held("answer")
    page = parse(client_of(person("owner")).get(reverse("owner:dashboard")).content.decode())
    (section,) = page.xpath("//section[@aria-labelledby='risks']")
    return section


def test_what_rests_with_the_shop_stands_open_and_what_waits_for_its_customer_folded(risks):
    (folded,) = risks.xpath("./details[not(@open)]")
    assert len(risks.xpath("./table/tbody/tr")) == len(folded.xpath(".//tbody/tr")) == 1
    assert folded.find("summary").text_content() == "1 promise waits for its customer"


def test_the_customer_is_waited_for_in_one_cell_alone(risks):
    (row,) = risks.xpath("./details//tbody/tr")
    assert row.text_content().lower().count("the customer's answer") == 1
