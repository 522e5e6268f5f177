"""A material that the owner types in as readings gets the constants of the published worked example.

Source: foam supplier's example, “How To Use Dynamic Cushion Curves” (repco.com): laminated polyethylene
plank, 24 in drop, 2 in thick; the 40 G line cuts the curve at 0.4 and 1.2 psi, which gives a = 9.2376 psi
and b = 0.114439 in3 per in-lb. The further readings of that curve are derived from these two.
"""

import pytest

from packing.catalogue.curves import fill_curve
from packing.catalogue.documents import parse_entry
from packing.catalogue.schema import EntryKind
from packing.errors import CatalogueError
from packing.parcel.tables import stock_materials
from packing.plain import to_plain

PSI, IN_MM = 6.894757, 25.4
A_PSI, B_IN3_IN_LB = 9.2376, 0.114439
TWO = ((0.4, 40.0), (1.2, 40.0))
CURVE = ((0.2, 60.8), (0.3, 46.5), *TWO, (0.6, 35.1), (0.8, 34.6), (1.0, 36.5), (1.5, 48.3))
# G at the optimum stress for other heights and thicknesses, from the same two constants.
OTHER_DROPS = ((0.485, 18, 1, 51.7), (1.456, 18, 3, 17.2), (0.583, 30, 2, 43.1), (0.971, 36, 4, 25.9))


def reading(stress_psi, peak_g, *, height_in=24, thickness_in=2):
    return {
        "static_stress_kpa": stress_psi * PSI,
        "drop_height_mm": height_in * IN_MM,
        "thickness_mm": thickness_in * IN_MM,
        "peak_g": peak_g,
    }


def plank(**changes):
    document = to_plain(next(each for each in stock_materials() if each.slug == "polyethylene-plank"))
    del document["curve_a_kpa"], document["curve_b_m3_kj"]
    return {**document, "curve_source": "Supplier's example, 24 in and 2 in", **changes}


@pytest.mark.parametrize(("readings", "share"), [(TWO, 1e-4), (CURVE, 0.005)])
def test_readings_of_the_example_give_its_constants(readings, share):
    filled = fill_curve(plank(curve_readings=[reading(*each) for each in readings]))
    assert filled["curve_a_kpa"] / PSI == pytest.approx(A_PSI, rel=share)
    assert filled["curve_b_m3_kj"] * PSI == pytest.approx(B_IN3_IN_LB, rel=share)


def test_readings_at_other_heights_and_thicknesses_lie_on_the_same_curve():
    rows = [
        reading(stress, peak_g, height_in=height, thickness_in=thickness)
        for stress, height, thickness, peak_g in OTHER_DROPS
    ]
    # At its optimum every drop has the same energy; one more reading is needed to tell the slope.
    filled = fill_curve(plank(curve_readings=[*rows, reading(*TWO[0])]))
    assert filled["curve_a_kpa"] / PSI == pytest.approx(A_PSI, rel=0.01)
    assert filled["curve_b_m3_kj"] * PSI == pytest.approx(B_IN3_IN_LB, rel=0.01)


def test_an_imported_material_may_leave_a_and_b_to_its_readings():
    entry = parse_entry(plank(curve_readings=[reading(*each) for each in TWO]), kind=EntryKind.MATERIAL)
    assert entry.curve_a_kpa / PSI == pytest.approx(A_PSI, rel=1e-4)
    assert len(entry.curve_readings) == 2


def test_a_cushion_factor_with_its_stress_gives_the_constants():
    # C = 2.874 at s = t / (b h) = 0.728 psi: the least of the same curve.
    factor = {
        "least_factor": 2.874,
        "static_stress_kpa": 0.728 * PSI,
        "drop_height_mm": 24 * IN_MM,
        "thickness_mm": 2 * IN_MM,
    }
    filled = fill_curve(plank(cushion_factor=factor))
    assert filled["curve_a_kpa"] / PSI == pytest.approx(A_PSI, rel=0.002)
    assert filled["curve_b_m3_kj"] * PSI == pytest.approx(B_IN3_IN_LB, rel=0.002)


@pytest.mark.parametrize(
    ("changes", "key", "words"),
    [
        ({}, "curve_a_kpa", "type a and b, or two or more readings"),
        ({"curve_readings": [reading(0.4, 40.0)]}, "curve_readings", "add a second"),
        ({"curve_readings": [reading(0.4, 40.0)] * 3}, "curve_readings", "the same energy"),
        ({"curve_readings": [reading(0.4, 40.0), reading(1.2, 8.0)]}, "curve_readings", "no cushion does"),
        ({"curve_readings": [reading(0.4, 40.0), reading(1.2, 0.2)]}, "curve_readings[2].peak_g", "from 1"),
        ({"curve_readings": [reading(*each) for each in TWO], "cushion_factor": {"least_factor": 3}},
            "cushion_factor", "keep the readings"),
    ],
)  # fmt: skip
def test_readings_that_give_no_curve_are_refused_with_what_to_do(changes, key, words):
    with pytest.raises(CatalogueError) as refusal:
        fill_curve(plank(**changes))
    ((found, sentence),) = refusal.value.problems
    assert found == key
    assert words in sentence
