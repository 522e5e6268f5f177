"""Box compression strength and what is left of it, against the worked example and the published multipliers.

McKee worked example: hypecalculator.com. Multipliers: richbox.com (Fibre Box Handbook). Offset: Park 2010.
"""

import pytest

from packing.catalogue.schema import Origin
from packing.errors import OutOfRange
from packing.parcel.compression import (
    compression_strength_full_n,
    compression_strength_intermediate_n,
    compression_strength_n,
    derating_share,
    offset_share,
    parcel_working_share,
    product_of,
    working_share,
)
from packing.parcel.tables import deratings

IN, LBF_N = 25.4, 4.4482216


# Derived from the McKee form; the first line is the worked example of hypecalculator.com (562 lb).
@pytest.mark.parametrize(
    ("ect", "caliper", "length", "width", "pounds"),
    [
        (32, 0.16, 16, 12, 562.3),
        (32, 0.16, 12, 9, 486.9),
        (32, 0.118, 12, 9, 418.2),
        (48, 0.28, 16, 12, 1115.7),
    ],
)
def test_mckee_simplified_in_pounds(ect, caliper, length, width, pounds):
    newtons = compression_strength_n(
        ect * LBF_N / IN, caliper_mm=caliper * IN, length_mm=length * IN, width_mm=width * IN
    )
    assert newtons / LBF_N == pytest.approx(pounds, rel=0.005)


# Worked by hand from 5.87 ECT sqrt(h Z) and 5.874 ECT h^0.508 Z^0.492 for other boards and boxes.
@pytest.mark.parametrize(
    ("ect", "caliper", "length", "width", "simplified_lb", "intermediate_lb"),
    [
        (23, 0.16, 10, 8, 324.02, 310.50),
        (26, 0.118, 8, 6, 277.42, 265.72),
        (44, 0.16, 20, 16, 876.63, 835.39),
        (51, 0.28, 24, 18, 1451.87, 1388.05),
        (82, 0.27, 30, 20, 2501.12, 2387.15),
    ],
)
def test_mckee_for_other_boards(ect, caliper, length, width, simplified_lb, intermediate_lb):
    box = {"caliper_mm": caliper * IN, "length_mm": length * IN, "width_mm": width * IN}
    kn_m = ect * LBF_N / IN
    assert compression_strength_n(kn_m, **box) / LBF_N == pytest.approx(simplified_lb, rel=0.001)
    assert compression_strength_intermediate_n(kn_m, **box) / LBF_N == pytest.approx(
        intermediate_lb, rel=0.001
    )


def test_mckee_simplified_in_newtons_and_derated():
    newtons = compression_strength_n(5.6041, caliper_mm=4.064, length_mm=406.4, width_mm=304.8)
    assert newtons == pytest.approx(2501, rel=0.005)
    assert newtons * product_of([0.75]) / LBF_N == pytest.approx(421.7, rel=0.005)


def test_mckee_intermediate_from_memory():
    newtons = compression_strength_intermediate_n(5.6041, caliper_mm=4.064, length_mm=406.4, width_mm=304.8)
    assert newtons / LBF_N == pytest.approx(536.9, rel=0.005)


DERATING = [
    ("time", "10 days", 0.63),
    ("time", "30 days", 0.60),
    ("time", "90 days", 0.55),
    ("time", "180 days", 0.50),
    ("humidity", "50 %", 1.0),
    ("humidity", "60 %", 0.90),
    ("humidity", "70 %", 0.80),
    ("humidity", "80 %", 0.68),
    ("humidity", "90 %", 0.48),
    ("humidity", "100 %", 0.15),
    ("stacking", "columns, aligned", 1.0),
]
DERATING_FROM_MEMORY = [
    ("stacking", "columns, misaligned, best", 0.90),
    ("stacking", "columns, misaligned, worst", 0.85),
    ("stacking", "interlocked, best", 0.60),
    ("stacking", "interlocked, worst", 0.40),
    ("overhang", "best", 0.80),
    ("overhang", "worst", 0.60),
    ("deck gap", "best", 0.90),
    ("deck gap", "worst", 0.75),
    ("handling", "best", 0.90),
    ("handling", "worst", 0.60),
]


@pytest.mark.parametrize(("kind", "level", "share"), DERATING + DERATING_FROM_MEMORY)
def test_each_derating_multiplier(kind, level, share):
    assert derating_share(kind, level=level) == share


def test_multipliers_from_memory_are_marked_as_estimates():
    estimates = {(row.kind, row.level) for row in deratings() if row.origin is Origin.ESTIMATE}
    assert estimates == {(kind, level) for kind, level, _ in DERATING_FROM_MEMORY}


def test_a_parcel_keeps_about_a_quarter_of_its_strength():
    share = working_share({"time": "10 days", "humidity": "80 %", "handling": "worst"})
    assert share == pytest.approx(0.257, abs=0.0005)
    assert 1 / share == pytest.approx(3.9, abs=0.05)


# Park, MSU 2010: each 1 % of offset loses 2.5 %.
def test_one_percent_of_offset_loses_two_and_a_half():
    assert offset_share(0.01) == pytest.approx(0.975)


@pytest.mark.parametrize(("percent", "left"), [(0, 1.0), (4, 0.90), (10, 0.75), (20, 0.50), (40, 0.0)])
def test_what_an_offset_leaves(percent, left):
    assert offset_share(percent / 100) == pytest.approx(left)


# Worked by hand: products of the multipliers above.
@pytest.mark.parametrize(
    ("levels", "share"),
    [
        ({"time": "30 days", "humidity": "70 %"}, 0.48),
        ({"time": "90 days", "humidity": "60 %", "stacking": "columns, aligned"}, 0.495),
        ({"time": "180 days", "humidity": "90 %", "stacking": "interlocked, worst"}, 0.096),
        ({"time": "10 days", "humidity": "100 %", "overhang": "best"}, 0.0756),
    ],
)
def test_multipliers_act_one_after_another(levels, share):
    assert working_share(levels) == pytest.approx(share)


def test_the_plans_use_the_sober_set_for_parcels():
    assert parcel_working_share() == pytest.approx(0.63 * 0.68 * 0.60)


def test_no_level_is_invented_between_two_published_ones():
    with pytest.raises(OutOfRange, match="level of humidity"):
        derating_share("humidity", level="85 %")


# From memory: 2.028 ECT^0.746 D^0.254 Z^0.492 in pounds and inches, worked by hand; 1 lb in = 112.985 N mm.
@pytest.mark.parametrize(
    ("ect", "stiffness_lb_in", "length", "width", "pounds"),
    [(32, 54.15, 16, 12, 537.47), (44, 74.45, 20, 16, 836.27), (51, 150.0, 24, 18, 1203.34)],
)
def test_mckee_by_bending_stiffness(ect, stiffness_lb_in, length, width, pounds):
    newtons = compression_strength_full_n(
        ect * LBF_N / IN,
        bending_stiffness_n_mm=stiffness_lb_in * LBF_N * IN,
        length_mm=length * IN,
        width_mm=width * IN,
    )
    assert newtons / LBF_N == pytest.approx(pounds, rel=0.001)


# Derived: with sqrt(Dx Dy) = 66.1 ECT h^2 the full form is the intermediate one, 5.88 for 5.874.
@pytest.mark.parametrize("ect", [23, 32, 55, 82])
def test_the_full_form_falls_back_on_the_intermediate_one(ect):
    box = {"length_mm": 16 * IN, "width_mm": 12 * IN}
    kn_m, caliper_mm = ect * LBF_N / IN, 0.16 * IN
    full = compression_strength_full_n(kn_m, bending_stiffness_n_mm=66.1 * kn_m * caliper_mm**2, **box)
    plain = compression_strength_intermediate_n(kn_m, caliper_mm=caliper_mm, **box)
    assert full / plain == pytest.approx(5.88 / 5.874, rel=0.001)
