"""What the shop does not have takes a sentence of the owner's page, not a chart of noughts."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.services import forecasts
from tests.factories import make_job, open_shop

pytestmark = pytest.mark.django_db
PAGE = "owner:dashboard"


@pytest.fixture
def page(db, person, client_of):
    owner = client_of(person("owner"))

    def read():
        return owner.get(reverse(PAGE)).content.decode()

    return read


def test_benches_without_work_are_told_in_a_sentence(page):
    open_shop()
    forecasts.refresh(now=timezone.now())
    idle = page()
    assert "No work lies ahead of any bench." in idle
    assert "Load of each bench" not in idle
    make_job(stage="stripped")
    forecasts.refresh(now=timezone.now())
    loaded = page()
    assert "No work lies ahead of any bench." not in loaded
    assert "Load of each bench" in loaded


def test_no_parcel_announced_is_told_in_a_sentence(page):
    make_job(stage="stripped")
    assert "No parcel is announced." in page()
    make_job(stage="cleared")
    announced = page()
    assert "No parcel is announced." not in announced
    assert "Cleared, not posted yet" in announced


def test_half_a_year_without_a_unit_is_told_in_a_sentence(page):
    make_job(stage="booked")
    assert "In half a year no unit arrived and none was sent back." in page()
    make_job(stage="arrived", now=timezone.now() - timedelta(days=10))
    moved = page()
    assert "In half a year" not in moved
    assert "Units in and out, week by week" in moved


def test_a_year_without_an_inspection_is_told_in_a_sentence(page):
    make_job(stage="booked")
    assert "No unit was inspected in the last twelve months." in page()
    make_job(stage="inspected", now=timezone.now() - timedelta(days=10))
    inspected = page()
    assert "No unit was inspected" not in inspected
    assert "Units with damage first seen on arrival" in inspected


def test_where_nothing_is_at_risk_or_held_no_table_is_drawn(page):
    make_job(stage="booked")
    said = page()
    assert "Nothing is held." in said
    assert "No promise that rests with the shop is at risk" in said
    assert 'class="empty"' not in said
