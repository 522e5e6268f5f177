"""A unit that never held fuel: nothing on its pages says that it was drained, whatever was recorded."""

from dataclasses import replace
from datetime import timedelta
from io import BytesIO

import pikepdf
import pytest
from django.utils import timezone

from jobs.models import Job, JobEvent
from jobs.services import parcels
from packing.catalogue.schema import EntryKind, StripAction
from packing.selectors import published
from packing.services import publish_entry
from tests.factories import MODEL, WORKSHOP, make_job, walk_to

pytestmark = pytest.mark.django_db
DRY = {"magneto": "brennick-bm4-c25", "distributor": "brennick-db4080"}
DRAINING_WORDS = ("Drained", "drained,", "Stands in the air", "smelt", "Drain and air", "drain and pack")


def drained_job(*, family, unit_model, stage="cleared"):
    """Return a job with a recorded draining, as a family may leave one that was published as holding fuel."""
    now = timezone.now()
    job = make_job(stage="cleared", now=now - timedelta(days=9), family=family, unit_model=unit_model)
    families = published(EntryKind.FAMILY)
    dry, wet = families[family], families["carburettor"]
    drain = tuple(step for step in wet.strip_steps if step.action is StripAction.DRAIN)
    mistaken = replace(dry, holds_fuel=True, air_hours=wet.air_hours, strip_steps=(*dry.strip_steps, *drain))
    publish_entry(mistaken, based_on=1, note="by mistake", actor_user_id=None, now=now)
    parcels.record_drained(job.number, drained_at=now - timedelta(days=2), actor=WORKSHOP, now=now)
    publish_entry(dry, based_on=2, note="it never did", actor_user_id=None, now=now)
    return walk_to(job, stage=stage, now=now)


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


@pytest.mark.parametrize("sent", ["drained", "smell"])
def test_a_draining_sent_by_hand_is_refused_and_the_page_says_why(shop, let_in, sent):
    job = make_job(stage="cleared", family="magneto", unit_model=DRY["magneto"])
    today = f"{timezone.localdate():%Y-%m-%d}"
    given = {"drained_on": today, "drained_time": "00:00", "sure": "on", "smells": "no"}
    page = words_of(let_in(job).post(f"/job/{job.number}/{sent}/", given, follow=True))
    assert page.count("there is nothing to drain and nothing to smell") == 1
    assert not JobEvent.objects.filter(job=job, kind__in=["drained", "smell_checked"]).exists()


@pytest.mark.parametrize(
    ("family", "words"), [("magneto", "strip and pack"), ("carburettor", "strip, drain and pack")]
)
def test_the_carton_page_leads_back_to_the_list_of_its_unit(shop, let_in, family, words):
    model = DRY.get(family, MODEL)
    job = make_job(stage="cleared", family=family, unit_model=model)
    page = let_in(job).get(f"/job/{job.number}/carton/").content.decode()
    assert f"Back to {words}<" in page


def test_before_the_yes_no_page_of_a_dry_unit_speaks_of_airing(write_booking, client):
    """A wish that cannot be met, the booking sent, and the list that is not there yet."""
    tomorrow = f"{timezone.localdate() + timedelta(days=1):%Y-%m-%d}"
    given = {"family": {"family": "magneto"}, "number": {"number_as_read": "BM4-C25"}}
    given |= {"model": {"unit_model": DRY["magneto"]}, "symptoms": {"symptoms": []}}
    write_booking(last="contact", **given)
    pages = [words_of(client.get("/book/wishes/"))]
    pages.append(words_of(client.post("/book/wishes/", {"wished_on": tomorrow}, follow=True)))
    assert "About the day you wish for" in pages[1]
    client.post("/book/limit/", {"limit_pounds": "50"})
    pages.append(words_of(client.post("/book/check/", follow=True)))
    number = Job.objects.get().number
    pages.append(words_of(client.get(f"/job/{number}/pack/")))
    assert "Your booking is in" in pages[2]
    assert "Your list is not ready yet" in pages[3]
    assert [said for page in pages for said in ("iring", "drain") if said in page] == []


@pytest.mark.parametrize(
    ("family", "said"),
    [
        ("magneto", "It holds strong magnets, which are restricted by air"),
        ("carburettor", "It has held fuel"),
    ],
)
def test_what_is_declared_at_the_counter_stands_before_the_slip(shop, let_in, family, said):
    job = make_job(stage="cleared", family=family, unit_model=DRY.get(family, MODEL))
    sending = words_of(let_in(job).get(f"/job/{job.number}/pack/")).split("4 Slip and post")[-1]
    assert sending.count(said) == 1
    assert sending.count("licensed work stays with licensed people") == 0  # the page defers once itself
    assert "your carrier's rules and your local law decide" in sending
