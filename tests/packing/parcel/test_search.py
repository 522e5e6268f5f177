"""The search against looking at everything, on small cases."""

import random
from dataclasses import replace
from itertools import product

import pytest

from packing.catalogue.schema import Face, Projection, SupportFace, Wall
from packing.parcel.arrangement import Arranger
from packing.parcel.box_facts import box_facts
from packing.parcel.drop import DropTest
from packing.parcel.margins import all_margins, holds, material_refusal
from packing.parcel.outcome import Verdict
from packing.parcel.plan import SearchOrder, plan_parcel
from packing.parcel.regions import Mix
from packing.parcel.search import billed_kg
from packing.parcel.unit import Leg, PackUnit, stances
from tests.packing.parcel.units import CARRIERS, CARTONS, MATERIALS, carton, four_barrel, named

UPS = CARRIERS["ups-ground"]
CASES = 500


def random_unit(rng):
    length, width, height = (rng.uniform(60, 220) for _ in range(3))
    projections = tuple(
        Projection(
            face.value, face.value, face, rng.uniform(5, 70), 12.0, 12.0, across_mm=rng.uniform(-40, 40)
        )
        for face in Face
        if rng.random() < 0.25
    )
    faces = [SupportFace(Face.BASE, length * 0.7, width * 0.7)]
    if rng.random() < 0.3:
        faces.append(SupportFace(Face.FRONT, length * 0.6, height * 0.6))
    mass = rng.choice([0.5, 1.5, 4.0, 9.0, 18.0]) * rng.uniform(0.8, 1.2)
    return PackUnit(
        "u", "Unit", Leg.TO_SHOP, length, width, height, mass, rng.uniform(40, 110), tuple(faces), projections
    )


def random_case(rng):
    unit = random_unit(rng)
    cartons = [
        replace(
            carton(
                *(side + rng.uniform(90, 330) for side in (unit.length_mm, unit.width_mm, unit.height_mm)),
                wall=rng.choice([Wall.SINGLE, Wall.DOUBLE]),
                ect_kn_m=rng.choice([5.6, 8.41]),
            ),
            slug=f"c{at}",
            name=f"c{at}",
        )
        for at in range(rng.randint(1, 3))
    ]
    slugs = rng.sample(sorted(MATERIALS), rng.choice([1, 2, 2, 2, 3]))
    carrier = rng.choice([None, UPS, CARRIERS["dpd-eu"]])
    test = rng.choice([DropTest.ISTA_1A, DropTest.ISTA_2A, DropTest.D4169_LEVEL_2])
    return unit, cartons, named(*slugs), carrier, test


def looking_at_everything(unit, cartons, materials, carrier, test):
    """The least cost of all passing choices, or None."""
    arranger, best = Arranger(unit, drop_test=test), None
    allowed = [item for item in materials if not material_refusal(unit, material=item)]
    for each, stance, triple in product(cartons, stances(unit), product(allowed, repeat=3)):
        mix = Mix(*triple)
        packed = arranger.arrange(stance, box=box_facts(each), mix=mix)
        if all(holds(margin) for margin in all_margins(packed, carrier=carrier)):
            billed = billed_kg(packed.box, packed.gross_kg, carrier=carrier)
            cost = (round(billed, 6), len(mix.materials), round(packed.padding_kg, 6))
            best = cost if best is None else min(best, cost)
    return best


def test_the_search_finds_what_looking_at_everything_finds():
    rng = random.Random(20261125)
    passed = 0
    for _ in range(CASES):
        unit, cartons, materials, carrier, test = random_case(rng)
        expected = looking_at_everything(unit, cartons, materials, carrier, test)
        plan = plan_parcel(unit, cartons=cartons, materials=materials, carrier=carrier, drop_test=test)
        if expected is None:
            assert plan.verdict is not Verdict.PASS, (unit, cartons)
            continue
        passed += 1
        kinds = {cushion.material for cushion in plan.cushions}
        empty_kg = box_facts(plan.carton).empty_kg
        found = (plan.billed_mass_kg, len(kinds), plan.gross_mass_kg - plan.unit_mass_kg - empty_kg)
        assert plan.verdict is Verdict.PASS
        assert found == pytest.approx(expected, abs=2e-6)
    assert CASES * 0.15 < passed < CASES * 0.9


@pytest.mark.parametrize("slug", ["grocery-bags", "polyethylene-plank", "polyurethane-foam"])
def test_another_allowed_material_never_makes_the_best_plan_worse(slug):
    few = named("folded-corrugated", "balled-kraft")
    boxes = list(CARTONS.values())
    before = plan_parcel(four_barrel(), cartons=boxes, materials=few, carrier=UPS)
    after = plan_parcel(four_barrel(), cartons=boxes, materials=[*few, MATERIALS[slug]], carrier=UPS)
    assert before.verdict is after.verdict is Verdict.PASS
    assert after.billed_mass_kg <= before.billed_mass_kg + 1e-9


def test_another_carton_never_makes_the_best_plan_worse():
    boxes, materials = list(CARTONS.values()), list(MATERIALS.values())
    best = [
        plan_parcel(four_barrel(), cartons=boxes[:count], materials=materials, carrier=UPS).billed_mass_kg
        for count in (45, 50, 55, 60)
    ]
    assert best == sorted(best, reverse=True)


def test_materials_mix_where_one_alone_would_need_a_larger_carton():
    unit = four_barrel(height_mm=130.0)
    box, hand = CARTONS["double-15x15x11"], named("grocery-bags", "folded-corrugated")
    plan = plan_parcel(unit, cartons=[replace(box, width_mm=360.0)], materials=hand, carrier=None)
    alone = [plan_parcel(unit, cartons=[plan.carton], materials=[item], carrier=None) for item in hand]
    assert plan.verdict is Verdict.PASS
    if all(other.verdict is not Verdict.PASS for other in alone):
        assert len({cushion.material for cushion in plan.cushions}) == 2


def test_easy_first_takes_what_a_kitchen_has_as_long_as_it_will_do():
    boxes, materials = list(CARTONS.values()), list(MATERIALS.values())
    easy = plan_parcel(
        four_barrel(), cartons=boxes, materials=materials, carrier=UPS, order=SearchOrder.EASY_FIRST
    )
    assert easy.verdict is Verdict.PASS
    assert all(MATERIALS[cushion.material].easy_to_get for cushion in easy.cushions)


def test_easy_first_falls_back_on_everything():
    boxes, materials = list(CARTONS.values()), list(MATERIALS.values())
    unit = four_barrel(mass_kg=15.0, height_mm=200.0, fragility_g=45.0)
    easy = plan_parcel(unit, cartons=boxes, materials=materials, carrier=UPS, order=SearchOrder.EASY_FIRST)
    every = plan_parcel(unit, cartons=boxes, materials=materials, carrier=UPS)
    assert easy.verdict is every.verdict is Verdict.PASS
    assert every.billed_mass_kg <= easy.billed_mass_kg <= 2.0 * every.billed_mass_kg


def test_a_tie_is_explained():
    boxes = [
        CARTONS["double-15x15x11"],
        replace(CARTONS["double-15x15x11"], slug="twin", name="twin", board_g_m2=700),
    ]
    foam = plan_parcel(four_barrel(), cartons=boxes, materials=named("grocery-bags"), carrier=UPS)
    assert foam.verdict is Verdict.PASS
    assert not any("twin" in note and "less" in note for note in foam.notes)
