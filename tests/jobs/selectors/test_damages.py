"""How often parcels arrive damaged: one arrival a unit, by what is known of the damage and of the packing."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from jobs.domain.facts import Arrived
from jobs.models import Job, Mark
from jobs.selectors import reports
from jobs.services import arrivals, corrections
from tests.factories import NOW, WORKSHOP, make_job, walk_to

pytestmark = pytest.mark.django_db
LONDON = ZoneInfo("Europe/London")


def add_mark(origin):
    Mark.objects.create(
        job=make_job(stage="inspected"), zone="body", damage_kind="bent", severity=2, origin=origin,
        recorded_at=NOW, recorded_by="Wren",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("origin", "damaged"),
    [
        ("in_transit", 1),
        ("in_transit_poorly_packed", 1),
        ("cannot_tell", 1),
        ("before_posting", 0),
        ("at_this_shop", 0),
    ],
)
def test_damage_is_counted_by_packing_whatever_is_said_to_have_caused_it(origin, damaged):
    add_mark(origin)
    make_job(stage="inspected")
    make_job(stage="arrived")
    found = reports.damages(zone=LONDON, now=NOW + timedelta(days=10))
    rows = {row.packing.value: (row.arrivals, row.damaged) for row in found.packings}
    assert rows["suspended"] == (2, damaged)
    assert sum(row.arrivals for row in found.months) == 2


def arrive(job, *, packing, now):
    found = Arrived(carton_state="sound", packing_found=packing)
    arrivals.record_arrival(job.number, arrived=found, actor=WORKSHOP, now=now, expected_count=None)


def test_an_arrival_that_was_taken_back_is_not_counted_beside_the_one_that_stands():
    job, later = make_job(stage="posted"), NOW + timedelta(days=30)
    arrive(job, packing="loose_or_moved", now=NOW + timedelta(days=1))
    corrections.take_back_last_step(
        job.number, reason="another box", actor=WORKSHOP, now=later, expected_count=None
    )
    arrive(job, packing="suspended", now=later)
    walk_to(Job.objects.get(pk=job.pk), stage="inspected", now=later)
    found = reports.damages(zone=LONDON, now=NOW + timedelta(days=40))
    assert sum(row.arrivals for row in found.months) == 1
    assert [row.packing.value for row in found.packings if row.arrivals] == ["suspended"]
