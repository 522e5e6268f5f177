"""Promises of packing.parcel.shopping: everything the steps ask for is on the list, counted once."""

import re
from dataclasses import replace

import pytest

from packing.parcel.outcome import ParcelPlan
from packing.parcel.plan import plan_parcel
from packing.parcel.shopping import things_to_get
from packing.plain import from_plain, to_plain
from packing.quantities import UnitChoice
from tests.packing.parcel.units import CARTONS, MATERIALS, four_barrel

METRIC = UnitChoice.METRIC


def plan_with(*slugs):
    materials = [MATERIALS[slug] for slug in slugs] or list(MATERIALS.values())
    return plan_parcel(four_barrel(), cartons=list(CARTONS.values()), materials=materials, carrier=None)


def listed(plan, *, choice=METRIC):
    return {need.slug: need for need in things_to_get(plan, choice=choice)}


def test_one_material_in_three_regions_is_counted_together():
    plan = plan_with("grocery-bags")
    total = sum(fill.count for fill in plan.fills)
    assert len(plan.fills) == 3
    assert listed(plan)["grocery-bags"].amount == f"about {total} grocery bags, each balled"


def test_cut_pads_and_the_loose_paper_beside_them_are_counted_apart():
    plan = plan_with("polyethylene-plank")
    needs = listed(plan)
    assert needs["polyethylene-plank"].amount == f"{sum(fill.count for fill in plan.fills)} cut pads"
    told = [
        int(found) for fill in plan.fills for found in re.findall(r"about (\d+) loose ball", fill.sentence)
    ]
    assert len(told) >= 2
    assert needs["loose-paper"].amount == f"about {sum(told)} loose balls of paper"


def test_every_tube_of_the_steps_is_on_the_list():
    plan = plan_with("grocery-bags")
    [tubes] = [step for step in plan.steps if "card tube" in step.instruction]
    assert tubes.instruction.count(" the ") >= tubes.count == 2
    assert listed(plan)["tubes"].amount == "2 card tubes"


def test_the_tape_makes_both_h_closures():
    plan = plan_with("grocery-bags")
    shorter_mm, longer_mm = sorted((plan.outside_length_mm, plan.outside_width_mm))
    # Two seams along the lid and the floor, run over by 60 mm at both ends, and the four short edges.
    least_m = (2 * (longer_mm + 120) + 4 * shorter_mm) / 1000
    metres = int(listed(plan)["tape"].amount.split(" m")[0])
    assert least_m <= metres < least_m + 1


@pytest.mark.parametrize(("choice", "first"), [(METRIC, "mm ("), (UnitChoice.IMPERIAL, "in (")])
def test_the_carton_is_named_by_its_inside_in_both_units(choice, first):
    need = listed(plan_with("grocery-bags"), choice=choice)["carton"]
    assert need.amount == "1 carton"
    assert first in need.name


def test_a_plan_from_before_the_counts_names_its_materials_by_region():
    plan = plan_with("grocery-bags")
    stored = to_plain(plan)
    for fill in stored["fills"]:
        del fill["counted"], fill["loose_balls"]
    old = from_plain(ParcelPlan, stored)
    assert old == replace(plan, fills=tuple(replace(fill, counted="") for fill in plan.fills))
    names = [need.name for need in things_to_get(old, choice=METRIC) if need.slug.startswith("fill-")]
    assert len(names) == 3
    assert all(fill.sentence in name for fill, name in zip(plan.fills, names, strict=True))
