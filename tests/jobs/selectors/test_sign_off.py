"""Who may not sign off a unit: whoever tested it, where the model or the damage asks for two."""

from dataclasses import replace

import pytest

from jobs.models import Job
from jobs.selectors.sign_off import not_for
from packing.catalogue.schema import EntryKind
from packing.selectors import published
from packing.services import publish_entry
from tests.factories import MODEL, NOW, SECOND, WORKSHOP, make_job, open_shop

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("needs_two", [True, False])
def test_a_tester_signs_off_only_what_needs_no_second_person(needs_two):
    open_shop()
    model = replace(published(EntryKind.UNIT_MODEL)[MODEL], second_signature=needs_two)
    publish_entry(model, based_on=1, note="", actor_user_id=None, now=NOW)
    job = make_job(stage="tested")
    assert not_for(WORKSHOP) == ({job.number} if needs_two else set())
    assert not_for(SECOND) == set()


def test_bad_damage_asks_for_a_second_person_whatever_the_model():
    job = make_job(stage="tested")
    Job.objects.filter(pk=job.pk).update(worst_severity=3)
    assert not_for(WORKSHOP) == {job.number}
