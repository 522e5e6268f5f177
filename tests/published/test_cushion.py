"""Cushion formulas against the one published worked example and against physics.

Foam supplier (How To Use Dynamic Cushion Curves, repco.com): plank, 24 in, 36 lb, 40 G, 2 in; usable 0.4 to
1.2 psi; 30 sq in.
The table of lowest peaks follows from the constants derived from that example.
"""

import math

import pytest

from packing.errors import OutOfRange
from packing.parcel.curve_fit import CurvePoint, curve_from_factor, fit_curve, fit_with_residuals
from packing.parcel.cushion import (
    Impact,
    StressEnergy,
    bearing_area_m2,
    buckling_area_m2,
    deepest_strain,
    laid_thickness_m,
    least_cushion_factor,
    least_peak_g,
    oblique_peak_g,
    optimum_stress_kpa,
    peak_g,
    projected_area_share,
    required_thickness_m,
    settled_thickness_m,
    spring_peak_g,
    stop_distance_m,
    usable_stresses_kpa,
)
from packing.parcel.laid import curve_of
from packing.parcel.tables import stock_materials

LB, IN, PSI = 0.45359237, 0.0254, 6.894757
PLANK = StressEnergy(a_kpa=9.2376 * PSI, b_m3_kj=0.114439 / PSI)


def test_36_lb_at_1_2_psi_needs_30_square_inches():
    area_m2 = bearing_area_m2(36 * LB, stress_kpa=1.2 * PSI)
    assert area_m2 / IN**2 == pytest.approx(30, rel=1e-4)


# 24 in, 2 in curve.
@pytest.mark.parametrize(
    ("stress_psi", "expected_g"),
    [
        (0.2, 60.8),
        (0.3, 46.5),
        (0.4, 40.0),
        (0.6, 35.1),
        (0.728, 34.5),
        (0.8, 34.6),
        (1.0, 36.5),
        (1.2, 40.0),
        (1.5, 48.3),
    ],
)
def test_the_curve_of_the_worked_example(stress_psi, expected_g):
    found = peak_g(PLANK, stress_kpa=stress_psi * PSI, drop_height_m=24 * IN, thickness_m=2 * IN)
    assert found == pytest.approx(expected_g, abs=0.2)


LOWEST = [
    # drop in, thickness in, lowest G, at psi
    (18, 1, 51.7, 0.485),
    (18, 2, 25.9, 0.971),
    (18, 3, 17.2, 1.456),
    (18, 4, 12.9, 1.942),
    (24, 1, 69.0, 0.364),
    (24, 2, 34.5, 0.728),
    (24, 3, 23.0, 1.092),
    (24, 4, 17.2, 1.456),
    (30, 1, 86.2, 0.291),
    (30, 2, 43.1, 0.583),
    (30, 3, 28.7, 0.874),
    (30, 4, 21.6, 1.165),
    (36, 1, 103.4, 0.243),
    (36, 2, 51.7, 0.485),
    (36, 3, 34.5, 0.728),
    (36, 4, 25.9, 0.971),
]


@pytest.mark.parametrize(("drop_in", "thick_in", "lowest_g", "stress_psi"), LOWEST)
def test_lowest_peak_and_its_stress(drop_in, thick_in, lowest_g, stress_psi):
    height_m, thickness_m = drop_in * IN, thick_in * IN
    assert least_peak_g(PLANK, drop_height_m=height_m, thickness_m=thickness_m) == pytest.approx(
        lowest_g, rel=0.01
    )
    best = optimum_stress_kpa(PLANK, drop_height_m=height_m, thickness_m=thickness_m)
    assert best / PSI == pytest.approx(stress_psi, rel=0.01)


def test_usable_range_for_40_g():
    low, high = usable_stresses_kpa(PLANK, drop_height_m=24 * IN, thickness_m=2 * IN, allowed_g=40)
    assert low / PSI == pytest.approx(0.40, abs=0.01)
    assert high / PSI == pytest.approx(1.20, abs=0.01)


def test_no_stress_is_usable_below_the_lowest_peak():
    assert usable_stresses_kpa(PLANK, drop_height_m=24 * IN, thickness_m=2 * IN, allowed_g=34) is None


def test_cushion_factor_of_the_example():
    assert least_cushion_factor(PLANK) == pytest.approx(2.874, rel=0.001)


@pytest.mark.parametrize(("a_kpa", "b_m3_kj"), [(63.69, 0.016598), (20.0, 0.05), (300.0, 0.004)])
def test_cushion_factor_is_a_b_e_and_double_thickness_halves_the_peak(a_kpa, b_m3_kj):
    curve = StressEnergy(a_kpa, b_m3_kj)
    assert least_cushion_factor(curve) == pytest.approx(a_kpa * b_m3_kj * math.e, rel=1e-4)
    thin, thick = (
        peak_g(
            curve,
            stress_kpa=optimum_stress_kpa(curve, drop_height_m=0.6, thickness_m=t),
            drop_height_m=0.6,
            thickness_m=t,
        )
        for t in (0.05, 0.10)
    )
    assert thick == pytest.approx(thin / 2, rel=1e-4)


def test_two_points_give_the_constants_of_the_example():
    points = [CurvePoint(stress * PSI, 24 * IN, 2 * IN, 40.0) for stress in (0.4, 1.2)]
    curve = fit_curve(points)
    assert curve.a_kpa == pytest.approx(63.69, rel=1e-3)
    assert curve.b_m3_kj == pytest.approx(0.016598, rel=1e-3)


def test_the_stock_plank_carries_these_constants():
    plank = next(material for material in stock_materials() if material.slug == "polyethylene-plank")
    assert (curve_of(plank).a_kpa, curve_of(plank).b_m3_kj) == pytest.approx((63.69, 0.016598), rel=1e-3)


# Cushion factors and usable stresses from memory, ±25 %.
@pytest.mark.parametrize(
    ("slug", "least", "most"),
    [
        ("polyethylene-plank", 2.87, 3.5),
        ("polyurethane-foam", 2.5, 3.5),
        ("bubble-wrap", 3.5, 5),
        ("folded-corrugated", 3, 4.5),
        ("grocery-bags", 4.5, 7),
        ("balled-kraft", 4.5, 7),
        ("cellulose-wadding", 4, 6),
        ("moulded-pulp", 4, 6),
        ("eps-loose-fill", 4, 6),
    ],
)
def test_stock_materials_lie_in_the_remembered_bands(slug, least, most):
    material = next(material for material in stock_materials() if material.slug == slug)
    assert least - 0.005 <= least_cushion_factor(curve_of(material)) <= most + 0.005


def test_required_thickness_is_the_inverse_of_the_peak():
    thickness_m = required_thickness_m(PLANK, stress_kpa=1.2 * PSI, drop_height_m=24 * IN, allowed_g=40)
    assert thickness_m / IN == pytest.approx(2.0, rel=1e-3)


def test_a_pad_too_large_for_any_thickness_is_refused():
    with pytest.raises(OutOfRange):
        required_thickness_m(PLANK, stress_kpa=0.2 * PSI, drop_height_m=24 * IN, allowed_g=40)


# Kerstner's rule, from memory.
@pytest.mark.parametrize(("thick_in", "area_in2"), [(2, 7.08), (3, 15.92)])
def test_buckling_area(thick_in, area_in2):
    assert buckling_area_m2(thick_in * IN) / IN**2 == pytest.approx(area_in2, rel=0.001)


# Common practice of 10 %, from memory.
def test_settling_and_its_allowance_undo_each_other():
    assert settled_thickness_m(laid_thickness_m(0.05, settles_share=0.1), settles_share=0.1) == pytest.approx(
        0.05
    )


# Physics.
def test_stop_distance_for_30_in_and_50_g():
    assert stop_distance_m(30 * IN, allowed_g=50) / IN == pytest.approx(0.60, rel=1e-9)


def test_linear_spring():
    stiffness_n_m = 500 * 4.4482216 / IN
    assert spring_peak_g(10 * LB, stiffness_n_m=stiffness_n_m, drop_height_m=30 * IN) == pytest.approx(
        54.8, rel=0.001
    )


# A usable strain of 0.5 to 0.65 is usual (from memory); the derived strain at the optimum has to agree.
def test_strain_at_the_optimum_is_usual():
    best = optimum_stress_kpa(PLANK, drop_height_m=24 * IN, thickness_m=2 * IN)
    assert 0.5 <= deepest_strain(PLANK, stress_kpa=best, drop_height_m=24 * IN, thickness_m=2 * IN) <= 0.65


def test_strain_times_thickness_is_never_under_the_physical_stopping_distance():
    for stress_kpa in (1.0, 3.0, 5.0, 8.0):
        strain = deepest_strain(PLANK, stress_kpa=stress_kpa, drop_height_m=0.76, thickness_m=0.05)
        found_g = peak_g(PLANK, stress_kpa=stress_kpa, drop_height_m=0.76, thickness_m=0.05)
        assert strain * 0.05 >= stop_distance_m(0.76, allowed_g=found_g)


# Geometry: two like pads on a 45 degree edge show 1.414, three on a perfect corner 1.732 of one pad.
@pytest.mark.parametrize(
    ("impact", "share"), [(Impact.FACE, 1.0), (Impact.EDGE, 1.414), (Impact.CORNER, 1.732)]
)
def test_projected_area_of_like_pads(impact, share):
    assert projected_area_share(impact) == pytest.approx(share, abs=0.0005)


# Physics: n pads, each squeezed 1/sqrt(n) of the travel, take 1/n of the energy each. Integrated numerically.
@pytest.mark.parametrize("impact", list(Impact))
@pytest.mark.parametrize("stress_kpa", [1.0, 3.0, 6.0])
def test_the_peak_on_edges_and_corners_stops_the_fall_in_a_step_by_step_integration(impact, stress_kpa):
    thickness_m, height_m, area_m2, steps = 0.06, 0.76, 0.01, 200_000
    weight_kn = stress_kpa * area_m2
    squeezed_m, taken_kj, pressure_kpa = 0.0, 0.0, PLANK.a_kpa
    while taken_kj < weight_kn * height_m:
        step_m = thickness_m / steps
        # A squeeze of one pad by dx is a travel of sqrt(n) dx; the stress follows its own energy.
        energy = taken_kj / (impact * area_m2 * thickness_m)
        pressure_kpa = PLANK.a_kpa * math.exp(PLANK.b_m3_kj * energy)
        taken_kj += impact * area_m2 * pressure_kpa * step_m
        squeezed_m += step_m
    along_kn = math.sqrt(impact) * pressure_kpa * area_m2
    found_g = oblique_peak_g(
        PLANK, stress_kpa=stress_kpa, drop_height_m=height_m, thickness_m=thickness_m, impact=impact
    )
    assert found_g == pytest.approx(along_kn / weight_kn, rel=0.002)
    assert squeezed_m < thickness_m


def test_the_two_read_points_of_the_example_are_fitted_without_a_miss():
    fit = fit_with_residuals([CurvePoint(stress * PSI, 24 * IN, 2 * IN, 40.0) for stress in (0.4, 1.2)])
    assert fit.curve.a_kpa / PSI == pytest.approx(9.2376, rel=1e-4)
    assert fit.worst_share == pytest.approx(0, abs=1e-9)
    assert fit.r_squared == pytest.approx(1)


# The rounded readings of the 24 in, 2 in curve: a fit through all of them gives the same constants.
def test_readings_of_the_whole_curve_are_fitted_within_half_a_percent():
    readings = [(0.2, 60.8), (0.3, 46.5), (0.4, 40.0), (0.6, 35.1), (0.8, 34.6), (1.0, 36.5), (1.5, 48.3)]
    fit = fit_with_residuals([CurvePoint(s * PSI, 24 * IN, 2 * IN, g) for s, g in readings])
    assert fit.curve.a_kpa / PSI == pytest.approx(9.2376, rel=0.005)
    assert fit.curve.b_m3_kj * PSI == pytest.approx(0.114439, rel=0.005)
    assert fit.worst_share < 0.005
    assert fit.r_squared > 0.9999


def test_a_reading_that_does_not_belong_is_shown_as_a_miss():
    good = [CurvePoint(stress * PSI, 24 * IN, 2 * IN, 40.0) for stress in (0.4, 1.2)]
    fit = fit_with_residuals([*good, CurvePoint(0.8 * PSI, 24 * IN, 2 * IN, 60.0)])
    assert fit.worst_share > 0.2
    assert fit.r_squared < 0.9


def test_a_material_known_by_its_cushion_factor_has_that_factor():
    curve = curve_from_factor(3.5, optimum_stress_kpa=6.0, drop_height_m=0.76, thickness_m=0.05)
    assert least_cushion_factor(curve) == pytest.approx(3.5)
    assert optimum_stress_kpa(curve, drop_height_m=0.76, thickness_m=0.05) == pytest.approx(6.0)


@pytest.mark.parametrize(
    "reading", [(0.0, 0.6, 0.05, 40), (5, -1, 0.05, 40), (5, 0.6, math.nan, 40), (5, 0.6, 0.05, 0.0)]
)
def test_a_reading_no_drop_test_gives_is_refused(reading):
    with pytest.raises(OutOfRange):
        CurvePoint(*reading)
