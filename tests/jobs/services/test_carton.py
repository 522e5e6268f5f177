"""The customer's own carton: what is frozen, what is refused, what the log says."""

from dataclasses import replace

import pytest

from jobs.domain.errors import IllegalTransition, MissingFact
from jobs.domain.own_carton import OwnCarton, carton_of
from jobs.models import JobEvent, StepTick
from jobs.selectors import own_carton
from jobs.selectors import parcels as parcel_selector
from jobs.services import parcels
from packing.catalogue.schema import Wall
from packing.parcel.outcome import Verdict
from tests.factories import NOW, WORKSHOP, make_job

pytestmark = pytest.mark.django_db
ROOMY = OwnCarton(length_mm=400, width_mm=400, height_mm=400, wall=Wall.DOUBLE)
TIGHT = replace(ROOMY, length_mm=200, width_mm=200, height_mm=200)
AT_HAND = ("grocery-bags", "folded-corrugated")


def choose(job, *, own=ROOMY, materials=AT_HAND):
    return parcels.choose_carton(
        job.number, carton=carton_of(own), materials=materials, actor=WORKSHOP, now=NOW
    )


def test_a_chosen_carton_becomes_the_plan_of_the_job():
    job = make_job(stage="cleared")
    choose(job)
    job.refresh_from_db()
    plan = parcel_selector.plan_in(job)
    assert (plan.carton.length_mm, plan.carton.wall) == (400, Wall.DOUBLE)
    assert plan.verdict is not Verdict.NO


def test_what_was_typed_can_be_read_back():
    job = make_job(stage="cleared")
    own = replace(ROOMY, flute="BC", certificate_gross_kg=45.36)
    choose(job, own=own)
    job.refresh_from_db()
    assert own_carton.chosen_carton(job) == own_carton.ChosenCarton(own, AT_HAND)


def test_a_carton_that_will_not_do_is_refused_and_leaves_no_trace():
    job = make_job(stage="cleared")
    told = (job.plan, job.event_count)
    with pytest.raises(parcels.CartonRefused, match="will not do"):
        choose(job, own=TIGHT)
    job.refresh_from_db()
    assert (job.plan, job.event_count, job.customer_carton) == (*told, None)


def test_the_log_says_which_carton_it_is():
    job = make_job(stage="cleared")
    choose(job)
    note = JobEvent.objects.filter(job=job, kind="note_added").get()
    assert "400 × 400 × 400 mm (15 3/4 × 15 3/4 × 15 3/4 in)" in note.facts["text"]


@pytest.mark.parametrize("stage", ["booked", "posted"])
def test_a_carton_is_chosen_while_the_job_is_cleared_only(stage):
    job = make_job(stage=stage)
    with pytest.raises(IllegalTransition):
        choose(job)


def test_a_unit_that_is_not_known_has_no_verdict():
    job = make_job(stage="cleared", unit_model="")
    with pytest.raises(MissingFact, match="known"):
        choose(job)


def test_a_material_that_is_not_published_does_not_count():
    job = make_job(stage="cleared")
    with pytest.raises(MissingFact):
        choose(job, materials=("thistledown",))


def test_the_ticks_of_the_packing_before_fall_and_those_of_the_stripping_stay():
    job = make_job(stage="cleared")
    parcels.set_ticks(job.number, steps=("strip-a", "pack-a"), shown=("strip-a", "pack-a"), now=NOW)
    choose(job)
    assert list(StepTick.objects.values_list("step", flat=True)) == ["strip-a"]
