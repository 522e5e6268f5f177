"""Promises of packing.parcel.shopping: everything the steps ask for is on the list, counted once."""

import re
from collections import Counter
from dataclasses import replace
from functools import cache

import pytest

from packing.catalogue.schema import Wall
from packing.parcel.box import BoxSize, tape_length_mm
from packing.parcel.outcome import ParcelPlan, Verdict
from packing.parcel.plan import judge_carton, plan_parcel
from packing.parcel.shopping import things_to_get
from packing.plain import from_plain, to_plain
from packing.quantities import UnitChoice
from tests.packing.drawing.sheets import demo_plans
from tests.packing.parcel.units import CARTONS, MATERIALS, carton, four_barrel

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


# What a step can ask for, as its words say it, and the line of the list that has it.
ASKED = {
    r"board pad": "pad",
    r"block of glued board": "block",
    r"card tube": "tubes",
    r"stiff card": "splints",
    r"plastic tape": "tape",
    r"Take the carton": "carton",
    r"plastic bag": "bags",
    r"taped bag": "bags",
    r"of folded board in the middle|with folded board of its size": "board",
    r"loose balls? of paper": "loose-paper",
}


@cache
def every_plan():
    """Plans of all demo models and ways, and in a large carton with each kind of cushion; none refused."""
    found = dict(demo_plans())
    box = carton(640.0, 420.0, 400.0, wall=Wall.DOUBLE, ect_kn_m=8.41)
    for name, (_, unit) in demo_plans().items():
        if name.endswith("own large"):
            for slug, material in MATERIALS.items():
                judged = judge_carton(unit, carton=box, materials=[material], carrier=None)
                found[f"{name} {slug}"] = judged, unit
    return {name: plan for name, (plan, _) in found.items() if plan.verdict is not Verdict.NO}


@pytest.mark.slow
def test_everything_that_a_step_asks_for_is_on_the_list():
    asked = dict.fromkeys(ASKED, 0)
    for name, plan in every_plan().items():
        needs = listed(plan)
        words = " ".join(step.instruction for step in plan.steps)
        for pattern, slug in ASKED.items():
            if re.search(pattern, words):
                asked[pattern] += 1
                assert slug in needs, (name, pattern)
        assert {fill.material for fill in plan.fills if fill.count} <= set(needs), name
    assert all(asked.values()), asked


SIZE = re.compile(r"\d+ × \d+")


def pads_told(plan):
    """The sides and number of the folded board pads that spread the load, as the steps tell them."""
    found = Counter()
    for step in plan.steps:
        each = 2 if "one each" in step.instruction else 1
        if step.slug in ("pad", "block"):
            found.update(re.findall(r"(?:board pad|set a block) (\d+ × \d+) mm", step.instruction))
        elif step.slug == "spreaders":
            for size, where in re.findall(r"(\d+ × \d+) mm \([^)]*\) at the ([a-z ,]+)", step.instruction):
                found[size] += 2 if "one each" in where else 1
        else:
            words = step.instruction.replace(
                "pad of its size", f"pad {' '.join(SIZE.findall(step.instruction)[:1])}"
            )
            for size in re.findall(r"the unit: a board pad (\d+ × \d+)", words):
                found[size] += each
    return found


@pytest.mark.slow
def test_every_board_pad_that_the_plan_counts_on_is_told_by_a_step_and_is_on_the_list():
    at_the_sides = 0
    for name, plan in every_plan().items():
        counted_on = sum(cushion.spreader_mm > 0 for cushion in plan.cushions)
        at_the_sides += counted_on > 1
        told = pads_told(plan)
        assert told.total() == counted_on, name
        got = Counter()
        for need in listed(plan).values():
            if size := re.match(r"of folded board, (\d+ × \d+) ×", need.name):
                got[size[1]] += int(need.amount.split()[0])
        assert got == told, name
    assert at_the_sides > 5


def test_sides_that_are_not_alike_are_told_apart():
    seen = 0
    for plan in every_plan().values():
        steps = {step.slug: step.instruction for step in plan.steps}
        by_face = {cushion.face.value: cushion for cushion in plan.cushions}
        for face in ("left", "right", "front", "back"):
            if f"{face} only" in steps.get(f"sides_{face}", ""):
                seen += 1
                size = f"{by_face[face].pad_length_mm:.0f} × {by_face[face].pad_width_mm:.0f} mm"
                assert size in steps[f"sides_{face}"]
    assert seen >= 4


def test_the_steps_use_up_what_is_counted_under_the_unit():
    built = 0
    for name, plan in every_plan().items():
        steps = {step.slug: step.instruction for step in plan.steps}
        base = next(fill for fill in plan.fills if fill.region == "base")
        told = [int(found) for found in re.findall(r"about (\d+) (?!loose)", steps["base"])]
        more = re.findall(r"about (\d+) more of the same, (?:balled|packed) tight", steps.get("block", ""))
        built += len(more)
        if told:
            assert sum(told) + sum(map(int, more)) == base.count, name
    assert built > 10


def test_a_block_of_fill_has_a_bag_on_the_list():
    plan = next(plan for plan in every_plan().values() if "taped bag" in str(plan.steps))
    assert listed(plan)["bags"].amount == "3 plastic bags"


@pytest.mark.parametrize("choice", [METRIC, UnitChoice.IMPERIAL])
def test_both_units_of_the_tape_are_one_length_and_never_less_than_is_needed(choice):
    for plan, _ in demo_plans().values():
        amount = listed(plan, choice=choice)["tape"].amount
        figures = {unit: figure for figure, unit in re.findall(r"(\d+) (m|ft)\b", amount)}
        metres, feet = int(figures["m"]), int(figures["ft"])
        outside = BoxSize(plan.outside_length_mm, plan.outside_width_mm, plan.outside_height_mm)
        assert metres * 1000 >= tape_length_mm(outside)
        assert metres <= feet * 0.3048 < metres + 0.3048
