"""Whoever tested a unit is known as a person: by another name, or beside somebody of the same name."""

import pytest
from django.contrib.auth import get_user_model

from jobs.domain.actors import Actor
from jobs.domain.facts import Finding
from jobs.domain.stages import Role
from jobs.models import JobEvent
from jobs.selectors.shop_state import states_of
from jobs.selectors.sign_off import not_for
from jobs.services import bench
from tests.factories import NO_SETTINGS, NOW, WORKSHOP, make_job, read_well, walk_to

pytestmark = pytest.mark.django_db
NAME = WORKSHOP.name


@pytest.fixture
def person():
    """Return a function that makes somebody of the shop with the name they sign by."""

    def make(email, *, name=NAME):
        user = get_user_model().objects.create_user(email, None, name=name, role="workshop")
        return Actor(role=Role.WORKSHOP, name=name, user_id=user.pk)

    return make


def unit_of(actor):
    """Return a badly damaged unit that this person tested."""
    job = make_job(stage="inspected")
    who = {"actor": actor, "now": NOW.replace(day=28), "expected_count": None}
    bench.record_finding(job.number, finding=Finding(text="Crack in the ear", severity=3), **who)
    walk_to(job, stage="assembled")
    read_well(job, now=who["now"])
    return bench.finish_work(job.number, work=bench.BenchWork(step="test"), **who)


def sign(job, *, actor):
    who = {"actor": actor, "now": NOW.replace(day=29), "expected_count": None}
    return bench.sign_off(job.number, note="", without_settings=NO_SETTINGS, **who)


def test_somebody_else_of_the_same_name_signs_as_the_second_person(person):
    tester, other = person("a@quillfeather.example"), person("b@quillfeather.example")
    job = unit_of(tester)
    assert (not_for(tester), not_for(other)) == ({job.number}, set())
    assert sign(job, actor=other).stage == "signed_off"


def test_a_new_name_makes_nobody_a_second_person(person):
    tester = person("a@quillfeather.example")
    job = unit_of(tester)
    renamed = Actor(role=Role.WORKSHOP, name="Tobin Marsh", user_id=tester.user_id)
    assert not_for(renamed) == {job.number}
    with pytest.raises(bench.SecondPersonNeeded):
        sign(job, actor=renamed)


def test_a_test_that_kept_a_name_alone_is_compared_by_it(person):
    job = unit_of(WORKSHOP)
    assert JobEvent.objects.get(job=job, kind="tested").actor_id is None
    assert states_of([job])[job.pk].tested_by == NAME
    with pytest.raises(bench.SecondPersonNeeded):
        sign(job, actor=person("a@quillfeather.example"))
    assert sign(job, actor=person("b@quillfeather.example", name="Wren Marsh")).stage == "signed_off"
