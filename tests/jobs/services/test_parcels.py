"""The customer's parcel: the gate, what was told stays told, ticks, tracking numbers, contact details."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import partial

import pytest

from jobs.demo.five_people import five_people_shop
from jobs.domain.errors import IllegalTransition, MissingFact, StaleEdit
from jobs.domain.shop import ShopKind
from jobs.models import Customer, JobEvent, StepTick
from jobs.selectors import parcels as parcel_selector
from jobs.services import answers, parcels
from packing.catalogue.schema import EntryKind
from packing.parcel.unit import Leg
from packing.selectors import current_revision, published
from packing.services import publish_entry
from tests.factories import MODEL, NOW, WORKSHOP, make_job, publish

pytestmark = pytest.mark.django_db
AIRED = timedelta(hours=25)
MAGNETO = {"family": "magneto", "unit_model": "brennick-bm4-c25", "number_as_read": "BM4"}


def drain(job, *, at=NOW):
    parcels.record_drained(job.number, drained_at=at, actor=WORKSHOP, now=at)


def smell(job, *, at, smells=False):
    parcels.record_smell(job.number, smells=smells, actor=WORKSHOP, now=at)


def post(job, *, at, tracking_number=""):
    return parcels.record_posted(
        job.number, on=at.date(), carrier="Post", tracking_number=tracking_number, actor=WORKSHOP, now=at
    )


def post_later(job, *, on, at):
    told = {"carrier": "Post", "tracking_number": "", "actor": WORKSHOP, "now": at}
    return parcels.record_posted(job.number, on=on.date(), **told)


def test_a_unit_that_was_not_drained_cannot_be_posted():
    job = make_job(stage="cleared")
    with pytest.raises(parcels.GateClosed, match="Drain the fuel out"):
        post(job, at=NOW)


def test_a_unit_that_is_still_airing_cannot_be_posted():
    job = make_job(stage="cleared")
    drain(job)
    smell(job, at=NOW + timedelta(hours=23))
    with pytest.raises(parcels.GateClosed, match="airing until"):
        post(job, at=NOW + timedelta(hours=23, minutes=59))


def test_a_unit_that_smells_cannot_be_posted():
    job = make_job(stage="cleared")
    drain(job)
    smell(job, at=NOW + AIRED, smells=True)
    with pytest.raises(parcels.GateClosed, match="smelled of fuel"):
        post(job, at=NOW + AIRED)


def test_no_smell_a_minute_after_a_smell_is_refused_and_leaves_it_locked():
    job = make_job(stage="cleared")
    drain(job)
    smell(job, at=NOW + AIRED, smells=True)
    with pytest.raises(parcels.GateClosed, match="at the earliest"):
        smell(job, at=NOW + AIRED + timedelta(minutes=1))
    with pytest.raises(parcels.GateClosed, match="smelled of fuel"):
        post(job, at=NOW + AIRED + timedelta(minutes=2))


def test_entering_the_draining_again_does_not_wash_off_a_smell():
    job = make_job(stage="cleared")
    drain(job)
    at = NOW + AIRED
    smell(job, at=at, smells=True)
    parcels.record_drained(job.number, drained_at=NOW, actor=WORKSHOP, now=at + timedelta(minutes=1))
    with pytest.raises(parcels.GateClosed, match="at the earliest"):
        smell(job, at=at + timedelta(minutes=2))


def test_a_unit_that_smelled_yesterday_and_not_today_is_posted():
    job = make_job(stage="cleared")
    drain(job)
    smell(job, at=NOW + AIRED, smells=True)
    next_day = NOW + AIRED + timedelta(days=1)
    smell(job, at=next_day)
    assert post(job, at=next_day).stage == "posted"


def test_a_smell_test_of_yesterday_does_not_count():
    job = make_job(stage="cleared")
    drain(job)
    smell(job, at=NOW + AIRED)
    with pytest.raises(parcels.GateClosed, match="Smell it today"):
        post(job, at=NOW + AIRED + timedelta(days=1))


def test_what_was_posted_on_the_day_of_its_smell_test_may_be_told_later():
    job = make_job(stage="cleared")
    drain(job)
    smell(job, at=NOW + AIRED)
    assert post_later(job, on=NOW + AIRED, at=NOW + AIRED + timedelta(days=2)).stage == "posted"


@pytest.mark.parametrize("days_ago", [1, 3])
def test_a_day_on_which_the_unit_was_not_fit_to_post_is_not_taken_for_the_day_of_posting(days_ago):
    job = make_job(stage="cleared", now=NOW - timedelta(days=9))
    at = NOW + timedelta(days=3)
    drain(job)
    smell(job, at=at)
    with pytest.raises(parcels.PostedTooEarly, match="not yet drained, aired and free of smell"):
        post_later(job, on=at - timedelta(days=days_ago), at=at)


def test_nothing_is_posted_before_the_shop_has_said_yes():
    job = make_job(stage="cleared", **MAGNETO)
    with pytest.raises(parcels.PostedTooEarly, match="We said yes on"):
        post_later(job, on=NOW - timedelta(days=1), at=NOW + timedelta(days=1))


def test_draining_again_makes_the_smell_test_due_again():
    job = make_job(stage="cleared")
    drain(job)
    smell(job, at=NOW + AIRED)
    drain(job, at=NOW + AIRED + timedelta(minutes=1))
    with pytest.raises(parcels.GateClosed, match="airing until"):
        post(job, at=NOW + AIRED + timedelta(minutes=2))


def test_a_drained_aired_unit_without_smell_is_posted_and_the_log_says_so():
    job = make_job(stage="cleared")
    drain(job)
    smell(job, at=NOW + AIRED)
    assert post(job, at=NOW + AIRED).stage == "posted"
    kinds = list(JobEvent.objects.filter(job=job).order_by("number").values_list("kind", flat=True))
    assert kinds[-3:] == ["drained", "smell_checked", "posted"]


def test_a_refused_posting_leaves_no_trace():
    job = make_job(stage="cleared")
    with pytest.raises(parcels.GateClosed):
        post(job, at=NOW)
    assert JobEvent.objects.filter(job=job).count() == job.event_count


def test_a_unit_that_never_held_fuel_needs_no_airing():
    job = make_job(stage="cleared", **MAGNETO)
    assert post(job, at=NOW).stage == "posted"


def test_a_unit_that_never_held_fuel_is_neither_drained_nor_smelt():
    job = make_job(stage="cleared", **MAGNETO)
    for record in (drain, smell):
        with pytest.raises(parcels.NothingToDrain, match="never held fuel"):
            record(job, at=NOW)
    assert not JobEvent.objects.filter(job=job, kind__in=["drained", "smell_checked"]).exists()


def test_a_draining_in_the_future_is_refused():
    job = make_job(stage="cleared")
    with pytest.raises(MissingFact, match="future"):
        parcels.record_drained(job.number, drained_at=NOW + timedelta(minutes=1), actor=WORKSHOP, now=NOW)


def test_a_smell_test_before_draining_is_refused():
    job = make_job(stage="cleared")
    with pytest.raises(MissingFact, match="drained"):
        smell(job, at=NOW)


def test_a_booking_the_shop_has_not_answered_cannot_be_posted():
    job = make_job(**MAGNETO)
    with pytest.raises(IllegalTransition):
        post(job, at=NOW)


def test_clearing_freezes_the_strip_list_and_both_plans_with_their_revision():
    job = make_job()
    assert (job.strip_list, job.plan, job.plan_back) == (None, None, None)
    answers.clear_job(
        job.number, unit_model=MODEL, note="", actor=WORKSHOP, now=NOW, expected_count=job.event_count
    )
    job.refresh_from_db()
    assert job.unit_model_revision == current_revision(EntryKind.UNIT_MODEL, MODEL)
    assert parcel_selector.strip_list(job).items
    assert parcel_selector.plan_in(job).leg is Leg.TO_SHOP
    assert parcel_selector.plan_back(job).leg is Leg.TO_CUSTOMER


def test_a_later_revision_of_the_catalogue_changes_nothing_that_was_told():
    job = make_job(stage="cleared")
    told = (job.strip_list, job.plan, job.plan_back, job.unit_model_revision)
    model = published(EntryKind.UNIT_MODEL)[MODEL]
    heavier = replace(model, mass_kg=model.mass_kg * 3, strip_steps=model.strip_steps[:-1])
    publish_entry(heavier, based_on=told[3], note="weighed again", actor_user_id=None, now=NOW)
    job.refresh_from_db()
    assert (job.strip_list, job.plan, job.plan_back, job.unit_model_revision) == told

    after = make_job(stage="cleared", name="Bram Dunnage")
    assert after.unit_model_revision == told[3] + 1
    assert after.strip_list != told[0]
    assert after.plan != told[1]


def test_a_unit_that_is_not_in_the_catalogue_gets_the_list_of_its_family():
    job = make_job(stage="cleared", unit_model="")
    assert parcel_selector.strip_list(job).items
    assert (job.plan, job.unit_model_revision) == (None, None)


def test_ticks_outside_the_page_stay():
    job = make_job(stage="cleared")
    parcels.set_ticks(job.number, steps=("a", "b"), shown=("a", "b"), now=NOW)
    parcels.set_ticks(job.number, steps=("c", "c"), shown=("b", "c"), now=NOW)
    assert set(StepTick.objects.values_list("step", flat=True)) == {"a", "c"}


def test_a_doubtful_tracking_number_is_kept_with_a_note():
    job = make_job(stage="posted")
    add = {"carrier": "Post", "actor": WORKSHOP, "now": NOW + timedelta(days=6)}
    job = parcels.add_tracking(job.number, tracking_number=" rr 473 124 828 gb ", **add)
    assert job.tracking_in == "RR473124828GB"
    facts = JobEvent.objects.filter(job=job, kind="tracking_added").get().facts
    assert facts["tracking_note"]


def test_a_tracking_number_is_dated_by_the_shops_day():
    job = make_job(stage="posted")
    far = replace(five_people_shop().working_hours, time_zone="Pacific/Auckland")
    publish(ShopKind.HOURS, far)
    evening = datetime(2026, 3, 20, 20, 0, tzinfo=UTC)
    parcels.add_tracking(job.number, carrier="", tracking_number="X1", actor=WORKSHOP, now=evening)
    assert JobEvent.objects.get(job=job, kind="tracking_added").facts["on"] == "2026-03-21"


def test_changed_details_reach_the_customer_and_the_log_does_not_keep_the_old_ones():
    job = make_job()
    new = {"phone": "", "address_lines": "9 Mill Bank", "postal_code": "SM9 9QF", "country": ""}
    parcels.change_details(
        job.number, name="Ada Vellacott", **new, expected_version=1, actor=WORKSHOP, now=NOW
    )
    customer = Customer.objects.get()
    assert (customer.name, customer.address_lines, customer.version) == ("Ada Vellacott", "9 Mill Bank", 2)
    assert "Quay Cottages" not in repr(list(JobEvent.objects.filter(job=job).values("kind", "facts")))


def test_details_changed_from_an_older_page_are_refused():
    job = make_job()
    given = {"phone": "", "postal_code": "SM9 9QF", "country": "", "actor": WORKSHOP, "now": NOW}
    first = partial(parcels.change_details, job.number, name="Ada Thornby", expected_version=1, **given)
    first(address_lines="9 Mill Bank")
    with pytest.raises(StaleEdit):
        first(address_lines="2 Quay Cottages")
    assert Customer.objects.get().address_lines == "9 Mill Bank"
    assert JobEvent.objects.filter(job=job, kind="details_changed").count() == 1


def test_a_number_that_fits_but_could_hide_a_misreading_is_noted_with_the_place_to_compare():
    job = make_job(stage="posted")
    parcels.add_tracking(
        job.number, carrier="Post", tracking_number="1Z999AA10123456784", actor=WORKSHOP, now=NOW
    )
    note = JobEvent.objects.filter(job=job, kind="tracking_added").get().facts["tracking_note"]
    assert "its check digit fits" in note
    assert "3 in place 12" in note
