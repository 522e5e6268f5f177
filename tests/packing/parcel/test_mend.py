"""Every change that is proposed is carried out here, and the parcel judged again."""

from dataclasses import replace

import pytest

from packing.catalogue.schema import Wall
from packing.parcel.mend import stronger
from packing.parcel.mended import mended_plan
from packing.parcel.outcome import Force, Verdict
from packing.parcel.plan import judge_carton, plan_parcel
from tests.packing.parcel.units import (
    CARRIERS,
    CARTONS,
    LINKAGE,
    MATERIALS,
    UNION,
    carton,
    four_barrel,
    named,
)


def keeps_what_must(plan):
    return all(check.holds for check in plan.checks if check.force is Force.MUST)


def carried_out(unit, plan, materials):
    """The verdicts of the plan's changes: the first way, and each part that may come off instead."""
    box, hand, off = plan.carton, materials, ()
    for change in plan.changes:
        box = change.carton or box
        hand = [MATERIALS[slug] for slug in change.materials] or hand
        off = off or change.take_off
    ways = []
    if any(change.carton or change.materials for change in plan.changes):
        ways.append(judge_carton(unit, carton=box, materials=hand, carrier=None))
    for name in off:
        without = replace(unit, projections=tuple(item for item in unit.projections if item.name != name))
        ways.append(judge_carton(without, carton=plan.carton, materials=materials, carrier=None))
    return ways


CASES = {
    "low": (four_barrel(), carton(381, 381, 255, wall=Wall.DOUBLE, ect_kn_m=8.41), ["grocery-bags"]),
    "narrow": (four_barrel(), carton(381, 300, 300, wall=Wall.DOUBLE, ect_kn_m=8.41), ["grocery-bags"]),
    "small": (four_barrel(), carton(300, 250, 200), ["grocery-bags"]),
    "bubble": (four_barrel(), CARTONS["double-15x15x11"], ["bubble-wrap"]),
    "tall": (four_barrel(height_mm=140.0), CARTONS["double-15x15x11"], ["grocery-bags"]),
    "weak": (four_barrel(mass_kg=6.5), carton(400, 400, 330, ect_kn_m=3.0), ["grocery-bags"]),
    "part": (
        four_barrel(projections=(LINKAGE, replace(UNION, reach_mm=45.0))),
        carton(360, 300, 300, wall=Wall.DOUBLE, ect_kn_m=8.41),
        ["grocery-bags"],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_a_refusal_names_changes_after_which_every_rule_holds(name):
    unit, box, slugs = CASES[name]
    plan = judge_carton(unit, carton=box, materials=named(*slugs), carrier=None)
    assert plan.verdict is Verdict.NO
    assert 1 <= len(plan.changes) <= 2
    ways = carried_out(unit, plan, named(*slugs))
    assert ways, plan.changes
    for way in ways:
        assert keeps_what_must(way), (plan.changes, way.limiting)


def test_a_carton_a_little_too_low_is_asked_for_higher_by_that_much():
    unit, box, slugs = CASES["low"]
    plan = judge_carton(unit, carton=box, materials=named(*slugs), carrier=None)
    sentence = " ".join(change.sentence for change in plan.changes)
    assert "higher" in sentence or "Use " in sentence


def test_the_part_in_the_way_is_named():
    unit, box, slugs = CASES["part"]
    plan = judge_carton(unit, carton=box, materials=named(*slugs), carrier=None)
    offered = [name for change in plan.changes for name in change.take_off]
    assert offered == ["inlet union"] or plan.changes[0].materials


def test_a_service_too_small_is_said_with_its_figures():
    plan = judge_carton(
        four_barrel(),
        carton=CARTONS["double-15x15x11"],
        materials=named("grocery-bags"),
        carrier=CARRIERS["royal-mail-small"],
    )
    assert plan.changes[0].slug == "carrier"
    assert "2.00 kg" in plan.changes[0].sentence


def test_a_unit_for_which_no_stock_carton_is_large_enough_is_told_a_size_that_is():
    unit = four_barrel(height_mm=150.0)
    plan = plan_parcel(
        unit, cartons=[CARTONS["single-8x6x6"]], materials=list(MATERIALS.values()), carrier=None
    )
    assert plan.verdict is Verdict.NO
    change = next(change for change in plan.changes if change.carton is not None)
    hand = [MATERIALS[slug] for slug in change.materials] or list(MATERIALS.values())
    assert keeps_what_must(judge_carton(unit, carton=change.carton, materials=hand, carrier=None))


@pytest.mark.parametrize("name", CASES)
def test_what_is_drawn_for_a_refused_carton_is_a_plan_that_passes_and_is_what_was_told(name):
    unit, box, slugs = CASES[name]
    plan = judge_carton(unit, carton=box, materials=named(*slugs), carrier=None)
    found = mended_plan(plan, unit=unit, at_hand=named(*slugs), carrier=None)
    assert found is not None
    assert found.verdict is not Verdict.NO
    told = [change.carton for change in plan.changes if change.carton] or [box]
    sides = ("length_mm", "width_mm", "height_mm", "wall", "used")
    assert [getattr(found.carton, side) for side in sides] == [getattr(told[-1], side) for side in sides]
    allowed = {slug for change in plan.changes for slug in change.materials} or set(slugs)
    assert {cushion.material for cushion in found.cushions} <= allowed
    assert found.carton.name


@pytest.mark.parametrize("slug", ["single-8x6x6", "single-12x12x10", "double-15x15x11"])
def test_a_carton_that_has_to_be_new_is_asked_for_as_new(slug):
    unit, hand = four_barrel(height_mm=150.0), named("grocery-bags")
    used = replace(CARTONS[slug], used=True)
    plan = judge_carton(unit, carton=used, materials=hand, carrier=None)
    told = [change for change in plan.changes if change.carton is not None]
    assert told
    for change in told:
        assert change.carton.used or "new" in change.sentence


def test_stronger_board_is_weighed_as_such():
    light = replace(CARTONS["single-12x12x10"], board_g_m2=400.0)
    heavy = replace(light, board_g_m2=1200.0)
    assert stronger(light).board_g_m2 == 900.0
    assert stronger(heavy).board_g_m2 == 1200.0


def test_nothing_is_drawn_where_a_change_needs_a_person():
    unit, hand = four_barrel(), named("grocery-bags")
    small = CARRIERS["royal-mail-small"]
    plan = judge_carton(unit, carton=CARTONS["double-15x15x11"], materials=hand, carrier=small)
    assert plan.changes[0].slug == "carrier"
    assert mended_plan(plan, unit=unit, at_hand=hand, carrier=small) is None


def test_a_plan_that_passes_is_not_mended():
    unit, hand = four_barrel(height_mm=110.0), named("grocery-bags")
    plan = judge_carton(unit, carton=CARTONS["double-15x15x11"], materials=hand, carrier=None)
    assert plan.verdict is not Verdict.NO
    assert mended_plan(plan, unit=unit, at_hand=hand, carrier=None) is None
