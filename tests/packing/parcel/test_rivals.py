"""What a plan is spared: an answer of No is certain, and Yes is not given to everything."""

import random
from dataclasses import replace

import pytest

from packing.catalogue.schema import Carton
from packing.parcel.outcome import Verdict
from packing.parcel.plan import SearchOrder, plan_parcel
from packing.parcel.rivals import may_be_beaten
from tests.packing.parcel.test_search import SOUND, cost_of, random_carton, random_case
from tests.packing.parcel.units import CARRIERS, CARTONS, MATERIALS, four_barrel, lift_pump, named


def changed_cases(count, *, seed):
    """A passing plan of a random case, and the case with a carton or material new, better or worse."""
    rng = random.Random(seed)
    for _ in range(count):
        unit, cartons, materials, carrier, test = random_case(rng)
        order = rng.choice(list(SearchOrder))
        plan = plan_parcel(
            unit, cartons=cartons, materials=materials, carrier=carrier, drop_test=test, order=order
        )
        if rng.random() < 0.4:
            entry = random_carton(rng, unit, at=rng.randint(0, 3), least_mm=110.0, most_mm=260.0)
        else:
            base = MATERIALS[rng.choice(SOUND)]
            entry = replace(
                base,
                curve_a_kpa=base.curve_a_kpa * rng.uniform(0.5, 1.3),
                density_kg_m3=base.density_kg_m3 * rng.uniform(0.4, 1.5),
                easy_to_get=rng.random() < 0.5,
            )
        if entry.slug not in {plan.carton.slug, *(cushion.material for cushion in plan.cushions)}:
            yield unit, cartons, materials, carrier, test, order, plan, entry


def with_it(items, entry):
    return [*(item for item in items if item.slug != entry.slug), entry]


@pytest.mark.slow
def test_a_plan_that_cannot_be_beaten_stays_as_it_is_and_one_that_is_beaten_was_told():
    spared = beaten = 0
    for unit, cartons, materials, carrier, test, order, plan, entry in changed_cases(90, seed=31):
        is_carton = isinstance(entry, Carton)
        after_cartons = with_it(cartons, entry) if is_carton else cartons
        after_materials = materials if is_carton else with_it(materials, entry)
        may = may_be_beaten(
            plan,
            unit=unit,
            cartons=[entry] if is_carton else after_cartons,
            materials=after_materials,
            carrier=carrier,
            order=order,
            drop_test=test,
            using="" if is_carton else entry.slug,
        )
        after = plan_parcel(
            unit,
            cartons=after_cartons,
            materials=after_materials,
            carrier=carrier,
            drop_test=test,
            order=order,
        )
        if may:
            beaten += cost_of(after) != pytest.approx(cost_of(plan))
        else:
            spared += 1
            assert after.verdict is plan.verdict is Verdict.PASS
            assert after.carton.slug == plan.carton.slug
            assert cost_of(after) == pytest.approx(cost_of(plan), abs=2e-6)
    assert spared >= 12
    assert beaten >= 6


@pytest.mark.parametrize("unit", [four_barrel(), lift_pump()])
def test_a_material_that_will_not_do_for_the_unit_beats_nothing(unit):
    boxes, materials = list(CARTONS.values()), named("grocery-bags", "air-pillows")
    plan = plan_parcel(unit, cartons=boxes, materials=materials, carrier=CARRIERS["ups-ground"])
    assert plan.verdict is Verdict.PASS
    assert not may_be_beaten(
        plan,
        unit=unit,
        cartons=boxes,
        materials=[materials[0], replace(materials[1], density_kg_m3=0.5)],
        carrier=CARRIERS["ups-ground"],
        order=SearchOrder.LEAST_BILLED,
        using="air-pillows",
    )
