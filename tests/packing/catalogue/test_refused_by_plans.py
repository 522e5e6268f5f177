"""What every plan would refuse is refused at publishing already, and for the same reason."""

from dataclasses import replace

import pytest

from packing.catalogue.rules import check_entry
from packing.errors import OutOfRange
from packing.parcel.entries import require_board, require_material
from tests.packing.catalogue.entries import CARTON, FAMILY, MATERIAL

FAMILIES = {FAMILY.slug: FAMILY}


@pytest.mark.parametrize(
    "change",
    [
        {"curve_a_kpa": 5001.0},
        {"curve_b_m3_kj": 11.0},
        {"stress_most_kpa": 10001.0},
        {"density_kg_m3": 1001.0},
        {"count_litres": 1001.0},
        {"thicknesses_mm": (25.0, 501.0)},
        {"mass_most_kg": 1001.0},
    ],
)
def test_a_material_that_a_plan_would_refuse_is_not_published_and_for_the_same_reason(change):
    wrong = replace(MATERIAL, **change)
    with pytest.raises(OutOfRange) as refused:
        require_material(wrong)
    told = check_entry(wrong, families=FAMILIES, unit_models={})
    assert refused.value.sentence in [sentence for _, sentence in told]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"uncertainty_share": 1.01}, "101 % cannot be right; give a value from 0 to 100 %."),
        ({"settles_share": 0.91}, "91 % cannot be right; give a value from 0 to 90 %."),
    ],
)
def test_a_share_that_a_plan_would_refuse_is_refused_in_percent_as_it_is_typed(change, says):
    wrong = replace(MATERIAL, **change)
    with pytest.raises(OutOfRange):
        require_material(wrong)
    assert says in [sentence for _, sentence in check_entry(wrong, families=FAMILIES, unit_models={})]


@pytest.mark.parametrize(
    "change", [{"burst_kpa": 49.0}, {"puncture_j": 201.0}, {"certificate_gross_kg": 501.0}]
)
def test_a_carton_whose_board_a_plan_would_refuse_is_not_published_and_for_the_same_reason(change):
    wrong = replace(CARTON, **change)
    with pytest.raises(OutOfRange) as refused:
        require_board(wrong)
    told = check_entry(wrong, families=FAMILIES, unit_models={})
    assert (next(iter(change)), refused.value.sentence) in told
