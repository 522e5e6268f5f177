from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from packing.parcel.laid import (
    absorbed_j,
    deepest_mm,
    laid_for_mm,
    laid_in_layers_mm,
    layer_count,
    left_mm,
)
from packing.parcel.outcome import BlockKind
from packing.parcel.padding import WALL_DISTANCE_MM, Fall, side_needs
from packing.parcel.unit import TOP, stances
from tests.packing.parcel.units import LINKAGE, MATERIALS, four_barrel

DESIGN = Fall(0.76, 0.9144)
MASSES, FRAGILITIES = st.floats(0.3, 30), st.floats(20, 150)


# Where a tip stands out, the 36 in fall sets the gap too, and a thicker, softer cushion may need less of it:
# so the promise about the gap is made for a bare unit, that about the cushion alone for every unit.
BARE, HANGING = four_barrel(projections=()), four_barrel(projections=(LINKAGE,))
PLAIN = {"bare": BARE, "hanging": HANGING, "lever": four_barrel()}
# A choice between two seats goes by tenths of a millimetre.
CHOICE_MM = 0.1


def needs(material, *, mass_kg=5.0, allowed_g=60.0, fall=DESIGN, unit=HANGING):
    stance = stances(unit)[0]
    return side_needs(stance, material=material, mass_kg=mass_kg, allowed_g=allowed_g, fall=fall)


def assert_no_thinner(gentle, rough, *, unit):
    """Every side of the rougher case has at least the gap and the cushion of the gentler one.

    A pad that spreads the load takes 6 mm of the gap that the cushion had; a rigid block is another seat.
    """
    compared = 0
    for first, second in zip(gentle, rough, strict=True):
        if unit is BARE:
            assert second.gap_mm >= first.gap_mm - CHOICE_MM
        if first.block is second.block:
            compared += 1
            pad_mm = max(0.0, second.spreader_mm - first.spreader_mm)
            assert second.laid_mm >= first.laid_mm - pad_mm - CHOICE_MM
    assert compared >= 5


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from(sorted(PLAIN)),
    st.sampled_from(sorted(MATERIALS)),
    MASSES,
    FRAGILITIES,
    st.floats(0.3, 0.995),
)
@example("hanging", "polyurethane-foam", 0.90625, 66.0, 0.875)
def test_a_more_fragile_unit_never_gets_a_thinner_cushion(name, slug, mass_kg, allowed_g, share):
    unit, material = PLAIN[name], MATERIALS[slug]
    sturdy = needs(material, mass_kg=mass_kg, allowed_g=allowed_g, unit=unit)
    fragile = needs(material, mass_kg=mass_kg, allowed_g=max(5.0, allowed_g * share), unit=unit)
    assert_no_thinner(sturdy, fragile, unit=unit)


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from(sorted(PLAIN)),
    st.sampled_from(sorted(MATERIALS)),
    MASSES,
    FRAGILITIES,
    st.floats(1.005, 3.0),
)
@example("bare", "balled-kraft", 4.606903999813444, 118.56189281234656, 1 / 0.98)
def test_a_higher_fall_never_gets_a_thinner_cushion(name, slug, mass_kg, allowed_g, times):
    unit, material = PLAIN[name], MATERIALS[slug]
    low, high = Fall(0.76, 0.9144), Fall(0.76 * times, max(0.9144, 0.76 * times))
    shallow = needs(material, mass_kg=mass_kg, allowed_g=allowed_g, fall=low, unit=unit)
    deep = needs(material, mass_kg=mass_kg, allowed_g=allowed_g, fall=high, unit=unit)
    assert_no_thinner(shallow, deep, unit=unit)


@pytest.mark.parametrize("slug", sorted(MATERIALS))
def test_every_side_keeps_the_published_distance(slug):
    assert all(need.gap_mm >= WALL_DISTANCE_MM for need in needs(MATERIALS[slug]))


def test_a_longer_reach_needs_a_larger_gap():
    short = needs(MATERIALS["grocery-bags"], unit=four_barrel(projections=(LINKAGE,)))
    longer = replace(LINKAGE, reach_mm=58.0)
    tall = needs(MATERIALS["grocery-bags"], unit=four_barrel(projections=(longer,)))
    assert tall[4].block is short[4].block is BlockKind.BUILT_UP
    # The built-up part is cushion: what the longer part takes, the cushion does not take again.
    assert 0 < tall[4].gap_mm - short[4].gap_mm <= 35


@pytest.mark.parametrize("slug", sorted(MATERIALS))
@pytest.mark.parametrize("at", [0, TOP])
def test_what_is_laid_for_a_thickness_leaves_that_thickness(slug, at):
    laid_mm = laid_for_mm(70, material=MATERIALS[slug], at=at)
    assert left_mm(laid_mm, material=MATERIALS[slug], at=at) == pytest.approx(
        70, abs=15 if at == TOP else 1e-9
    )
    assert left_mm(laid_mm, material=MATERIALS[slug], at=at) >= 70 - 1e-9


@pytest.mark.parametrize("slug", sorted(MATERIALS))
def test_the_deepest_movement_grows_with_the_stress_and_stays_inside_the_cushion(slug):
    found = [
        deepest_mm(60, material=MATERIALS[slug], stress_kpa=stress, drop_height_m=0.9144, at=0)
        for stress in (0.2, 1.0, 3.0, 9.0, 40.0)
    ]
    assert found == sorted(found)
    assert 0 < found[0] < found[-1] < 60


@pytest.mark.parametrize(
    ("needed_mm", "laid_mm", "pieces"), [(50, 50, 1), (51, 60, 2), (100, 100, 1), (128, 130, 3), (8, 10, 1)]
)
def test_foam_is_laid_in_whole_pieces_of_stock(needed_mm, laid_mm, pieces):
    foam = MATERIALS["polyethylene-plank"]
    assert laid_in_layers_mm(needed_mm, material=foam) == pytest.approx(laid_mm)
    assert layer_count(laid_mm, material=foam) == pieces


def test_a_part_too_long_for_a_soft_block_hangs_beside_a_rigid_one():
    long = needs(MATERIALS["grocery-bags"], unit=four_barrel(projections=(replace(LINKAGE, reach_mm=80.0),)))
    assert long[4].block is BlockKind.RIGID
    assert long[4].gap_mm == pytest.approx(long[4].laid_mm + 6 + 85)


def test_a_part_longer_than_any_block_leaves_no_way_to_stand_on_that_face():
    stool = needs(
        MATERIALS["grocery-bags"], unit=four_barrel(projections=(replace(LINKAGE, reach_mm=250.0),))
    )
    assert stool[4].gap_mm >= 1000


@pytest.mark.parametrize("slug", sorted(MATERIALS))
def test_every_side_is_designed_at_the_bad_end_of_the_material(slug):
    material = MATERIALS[slug]
    sure = replace(material, uncertainty_share=0.0)
    for doubted, known in zip(needs(material), needs(sure), strict=True):
        assert doubted.gap_mm >= known.gap_mm - 0.5
    assert sum(need.gap_mm for need in needs(material)) > sum(need.gap_mm for need in needs(sure))


def test_the_energy_a_cushion_takes_is_the_inverse_of_its_squeeze():
    foam = MATERIALS["polyethylene-plank"]
    stress_kpa, height_m, laid_mm, area_m2 = 4.0, 0.9144, 60.0, 0.012
    travel_mm = deepest_mm(laid_mm, material=foam, stress_kpa=stress_kpa, drop_height_m=height_m, at=0)
    taken_j = absorbed_j(travel_mm, laid_mm=laid_mm, area_m2=area_m2, material=foam, at=0)
    assert taken_j == pytest.approx(stress_kpa * 1000 * area_m2 * height_m, rel=1e-6)
