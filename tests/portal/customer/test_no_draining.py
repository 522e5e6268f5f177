"""A unit that never held fuel: nothing on its pages says that it was drained, whatever was recorded."""

from datetime import timedelta
from io import BytesIO

import pikepdf
import pytest
from django.utils import timezone

from jobs.services import parcels
from tests.factories import WORKSHOP, make_job

pytestmark = pytest.mark.django_db
DRY = {"magneto": "brennick-bm4-c25", "distributor": "brennick-db4080"}
DRAINING_WORDS = ("Drained", "drained,", "Stands in the air", "smelt", "Drain and air", "drain and pack")


def drained_job(*, family, unit_model, stage="cleared"):
    """Return a job with a recorded draining, as a change of its family may leave one."""
    now = timezone.now()
    job = make_job(stage=stage, now=now - timedelta(days=9), family=family, unit_model=unit_model)
    if stage == "cleared":
        parcels.record_drained(job.number, drained_at=now - timedelta(days=2), actor=WORKSHOP, now=now)
    return job


def words_of(answer):
    return answer.content.decode().split("<main")[1].split("</main>")[0]


@pytest.mark.parametrize(("family", "unit_model"), DRY.items())
def test_the_pack_page_says_that_nothing_has_to_be_drained_and_no_more(shop, let_in, family, unit_model):
    job = drained_job(family=family, unit_model=unit_model)
    page = words_of(let_in(job).get(f"/job/{job.number}/pack/"))
    assert "This unit never held fuel, so nothing has to be drained." in page
    assert "Put the slip into its own bag" in page
    assert [said for said in DRAINING_WORDS if said in page] == []
    assert f"/job/{job.number}/drained/" not in page


@pytest.mark.parametrize(("family", "unit_model"), DRY.items())
def test_the_slip_declares_no_draining(shop, let_in, family, unit_model):
    job = drained_job(family=family, unit_model=unit_model, stage="posted")
    browser = let_in(job)
    page = browser.get(f"/job/{job.number}/slip/").content.decode()
    assert f"Used {family}, no fuel, no battery" in page
    assert "Declared by the sender." in page
    assert [said for said in ("Drained", "drained", "aired", "Aired", "smell") if said in page] == []
    with pikepdf.open(BytesIO(browser.get(f"/job/{job.number}/slip.pdf").content)) as document:
        assert len(document.pages) == 1


def test_the_job_page_asks_for_no_draining(shop, let_in):
    job = drained_job(family="magneto", unit_model=DRY["magneto"])
    page = words_of(let_in(job).get(f"/job/{job.number}/"))
    assert "We take it. Pack it by your own list, then print the slip and post it." in page
    assert "Strip and pack it" in page
    assert [said for said in ("Drain it", "drain and pack") if said in page] == []


def test_a_unit_that_held_fuel_still_declares_its_draining(shop, let_in):
    job = make_job(stage="posted", now=timezone.now() - timedelta(days=9))
    page = let_in(job).get(f"/job/{job.number}/slip/").content.decode()
    assert "who drained it, aired it and smelt it" in page
    assert "<dt>Drained</dt>" in page
