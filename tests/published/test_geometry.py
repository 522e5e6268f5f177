"""Carton geometry and void fill against published figures.

C flute: pack-design.com. Any board: homesteady.com (2T, 2T, 4T). Loose fill: en-academic.com. Kraft:
acopia.co.uk.
"""

import pytest

from packing.parcel.box import BoxSize, blank_area_m2, outside_size, tape_length_mm
from packing.parcel.fill import fill_mass_kg, sheet_area_m2
from packing.parcel.mend import ADVICE
from packing.parcel.padding import TIP_RESERVE_MM
from packing.parcel.tables import load_table, stock_materials

IN = 25.4


def test_c_flute_12_by_9_by_6_inside_is_12_5_16_by_9_5_16_by_6_5_8_outside():
    found = outside_size(BoxSize(12 * IN, 9 * IN, 6 * IN), caliper_mm=IN * 5 / 32)
    sides = (found.length_mm / IN, found.width_mm / IN, found.height_mm / IN)
    assert sides == pytest.approx((12 + 5 / 16, 9 + 5 / 16, 6 + 5 / 8), abs=1 / 16)
    assert found.united_mm / IN == pytest.approx(28.25, abs=1 / 16)


@pytest.mark.parametrize("caliper_mm", [1.5, 3.0, 4.0, 7.0])
def test_any_board_adds_two_two_and_four_thicknesses(caliper_mm):
    found = outside_size(BoxSize(300, 200, 100), caliper_mm=caliper_mm)
    assert (found.length_mm, found.width_mm, found.height_mm) == (
        300 + 2 * caliper_mm,
        200 + 2 * caliper_mm,
        100 + 4 * caliper_mm,
    )


# Score allowances 3/16 and 3/8 in for C flute: pack-design.com, packageit.com; tab 35 mm from memory.
def test_blank_of_a_c_flute_carton():
    area_m2 = blank_area_m2(BoxSize(12 * IN, 9 * IN, 6 * IN), caliper_mm=IN * 5 / 32)
    length_in = 2 * (12 + 3 / 16) + 2 * (9 + 3 / 16) + 35 / IN
    width_in = (6 + 3 / 8) + (9 + 3 / 16)
    assert area_m2 * 1e6 / IN**2 == pytest.approx(length_in * width_in, rel=0.001)


# Geometry: two centre seams with their run-over, four end-edge seams.
def test_tape_of_an_h_closure():
    assert tape_length_mm(BoxSize(400, 300, 200), overrun_mm=60) == 2 * (400 + 120) + 4 * 300


def test_polystyrene_loose_fill_weighs_2_7_to_3_2_g_a_litre():
    fill = next(material for material in stock_materials() if material.slug == "eps-loose-fill")
    assert 0.0027 <= fill_mass_kg(1.0, density_kg_m3=fill.density_kg_m3) <= 0.0032


def test_starch_loose_fill_is_two_to_three_times_as_heavy():
    density = {material.slug: material.density_kg_m3 for material in stock_materials()}
    assert 2 <= density["starch-loose-fill"] / density["eps-loose-fill"] <= 3


# From memory: 10 kg/m3 and 70 g/m2.
def test_ten_litres_of_crumpled_kraft_take_1_43_square_metres():
    assert sheet_area_m2(10, density_kg_m3=10, grammage_g_m2=70) == pytest.approx(1.43, abs=0.005)


# Tolerance of boxes +-1/8 in: uline.com.
def test_the_room_kept_behind_a_tip_covers_a_carton_an_eighth_of_an_inch_small():
    assert TIP_RESERVE_MM >= IN / 8


# pack-design.com, packageit.com: C flute, score to score, inside + 3/16, 3/16 and 3/8 in; by hand.
@pytest.mark.parametrize(
    ("sides_in", "area_in2"),
    [
        ((15, 15, 11), (2 * 15.1875 + 2 * 15.1875 + 35 / 25.4) * (11.375 + 15.1875)),
        ((24, 16, 16), (2 * 24.1875 + 2 * 16.1875 + 35 / 25.4) * (16.375 + 16.1875)),
        ((6, 6, 6), (4 * 6.1875 + 35 / 25.4) * (6.375 + 6.1875)),
    ],
)
def test_blanks_of_other_c_flute_cartons(sides_in, area_in2):
    area_m2 = blank_area_m2(BoxSize(*(side * IN for side in sides_in)), caliper_mm=IN * 5 / 32)
    assert area_m2 * 1e6 / IN**2 == pytest.approx(area_in2, rel=0.001)


# airlandseaexpress.com, mailpackcenter.com: tape at least 2 in wide, water-activated paper tape 3 in; a
# carrier's guide repeated at airlandseaexpress.com and 1homeoffice.com: 3 in round the inner of two boxes.
def test_tape_and_the_room_round_an_inner_box():
    table = load_table("handling")
    assert (table["tape"]["width_least_in"], table["tape"]["water_activated_width_in"]) == (2.0, 3.0)
    assert table["double_box"]["round_inner_in"] == 3.0
    assert "76 mm (3 in)" in ADVICE.sentence
