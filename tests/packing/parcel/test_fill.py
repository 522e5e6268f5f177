from dataclasses import replace

import pytest

from packing.errors import OutOfRange
from packing.parcel.arrangement import Arranger
from packing.parcel.box_facts import box_facts
from packing.parcel.drop import DropTest
from packing.parcel.fill import Lid, crown_mm, fill_count, read_lid, settle_gross_mass_kg
from packing.parcel.regions import one_material
from packing.parcel.unit import stances
from tests.packing.parcel.units import LINKAGE, MATERIALS, carton, four_barrel


@pytest.mark.parametrize("slug", ["grocery-bags", "polyethylene-plank", "folded-corrugated", "bubble-wrap"])
@pytest.mark.parametrize("projections", [(), (LINKAGE,), (replace(LINKAGE, reach_mm=80.0),)])
def test_base_sides_and_top_with_block_and_pads_fill_the_carton_round_the_body(slug, projections):
    unit = four_barrel(projections=projections)
    packed = Arranger(unit, drop_test=DropTest.ISTA_1A).arrange(
        stances(unit)[0], box=box_facts(carton(420, 400, 380)), mix=one_material(MATERIALS[slug])
    )
    assert [region.region for region in packed.fills] == ["base", "sides", "top"]
    filled = sum(region.litres + region.board_litres for region in packed.fills)
    assert filled == pytest.approx((420 * 400 * 380 - 200 * 170 * 120) / 1e6)
    assert all(0 <= region.pad_litres <= region.litres for region in packed.fills)


@pytest.mark.parametrize(("litres", "bags"), [(0, 0), (2.5, 1), (2.6, 2), (35, 14)])
def test_bags_are_counted_up(litres, bags):
    assert fill_count(litres, material=MATERIALS["grocery-bags"]) == bags


@pytest.mark.parametrize("litres", [-1.0, float("nan")])
def test_a_volume_that_cannot_be_is_refused(litres):
    with pytest.raises(OutOfRange):
        fill_count(litres, material=MATERIALS["grocery-bags"])


@pytest.mark.parametrize(
    ("lid_mm", "expected"),
    [(-20, Lid.SINKS), (0, Lid.FLUSH), (5, Lid.SLIGHT_BULGE), (15, Lid.SLIGHT_BULGE), (16, Lid.STRAINED)],
)
def test_the_lid_is_read_by_hand(lid_mm, expected):
    assert read_lid(lid_mm) is expected


@pytest.mark.parametrize(("thick_mm", "share", "expected"), [(20, 0.1, 5), (80, 0.1, 8), (300, 0.3, 15)])
def test_the_crown_is_what_will_settle_within_reason(thick_mm, share, expected):
    assert crown_mm(thick_mm, settles_share=share) == pytest.approx(expected)


def test_gross_mass_and_drop_height_agree_with_each_other():
    def height_for(gross_kg):
        return 0.76 if gross_kg < 10 else 0.61

    gross_kg, height_m = settle_gross_mass_kg(
        9.0, drop_height_for=height_for, gross_mass_for=lambda height: 9.5 + height
    )
    assert (gross_kg, height_m) == (pytest.approx(10.11), 0.61)


def test_alternating_bands_keep_the_higher_fall():
    def height_for(gross_kg):
        return 0.76 if gross_kg < 10 else 0.61

    gross_kg, height_m = settle_gross_mass_kg(
        9.0, drop_height_for=height_for, gross_mass_for=lambda height: 10.1 if height == 0.76 else 9.9
    )
    assert (gross_kg, height_m) == (10.1, 0.76)
