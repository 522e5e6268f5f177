"""A packed unit waits to go back where its family's route packs it, whichever route is listed first."""

from dataclasses import replace

import pytest

from jobs.domain.shop import ShopKind
from jobs.leadtime.routes import BenchStep, WorkCentre, route_for
from jobs.selectors import shop
from jobs.selectors.queue import shop_queue
from tests.factories import NOW, make_job, open_shop, publish

pytestmark = pytest.mark.django_db
MAGNETO = {"family": "magneto", "unit_model": "brennick-bm4-c25", "number_as_read": "BM4"}


def packs_at(route, *, centre):
    steps = tuple(
        replace(step, work_centre=centre) if step.step is BenchStep.PACK else step for step in route.steps
    )
    return replace(route, steps=steps)


@pytest.mark.parametrize(("family", "unit"), [("carburettor", {}), ("magneto", MAGNETO)])
def test_a_packed_unit_stands_at_the_packing_centre_of_its_familys_route(family, unit):
    open_shop()
    publish(ShopKind.WORK_CENTRE, WorkCentre("own_table", "Own table", 1))
    publish(ShopKind.ROUTE, packs_at(route_for(shop.routes(), family=family), centre="own_table"))
    job = make_job(stage="packed", **unit)
    centres = {centre.name: centre for centre in shop_queue(today=NOW.date()).centres}
    assert [line.number for line in centres.pop("Own table").lines] == [job.number]
    assert not any(centre.lines for centre in centres.values())
