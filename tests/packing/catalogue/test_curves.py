"""A material's readings, its constants and what it promises about them have to agree."""

from dataclasses import replace

import pytest

from packing.catalogue.rules import check_entry, warnings_for
from packing.catalogue.schema import CurveReading
from packing.parcel.tables import stock_materials

PLANK = next(each for each in stock_materials() if each.slug == "polyethylene-plank")
READINGS = tuple(
    CurveReading(stress_kpa, 609.6, 50.8, peak_g)
    for stress_kpa, peak_g in ((2.75790, 40.0), (8.27371, 40.0), (5.51581, 34.6))
)
READ = replace(PLANK, curve_readings=READINGS, curve_source="Supplier's sheet 4", stress_least_kpa=2.8)


def problems(material):
    return dict(check_entry(material, families={}, unit_models={}))


def warnings(material):
    return dict(warnings_for(material, families={}, unit_models={}))


def test_readings_with_their_constants_and_source_are_published():
    assert problems(READ) == {}


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"curve_a_kpa": 70.0}, "curve_a_kpa"),
        ({"curve_b_m3_kj": 0.02}, "curve_b_m3_kj"),
        ({"curve_source": " "}, "curve_source"),
        ({"curve_readings": READINGS[:1]}, "curve_readings"),
    ],
)
def test_readings_that_contradict_what_stands_beside_them_stop_publication(changes, key):
    assert key in problems(replace(READ, **changes))


def test_an_uncertainty_that_the_readings_break_is_pointed_out():
    far_off = (*READINGS, CurveReading(5.51581, 609.6, 50.8, 48.0))
    assert "uncertainty_share" in warnings(replace(READ, curve_readings=far_off))
    assert "uncertainty_share" not in warnings(READ)


def test_stresses_beyond_the_readings_are_pointed_out():
    assert "stress_most_kpa" in warnings(replace(READ, stress_most_kpa=20.0))
    assert "stress_most_kpa" not in warnings(READ)
