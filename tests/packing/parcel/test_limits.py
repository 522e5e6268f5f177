"""Every computation that takes a number refuses the numbers no parcel can have, in plain words."""

import math
from dataclasses import replace

import pytest

from packing.catalogue.schema import Face, SideRounding, SupportFace, Wall
from packing.errors import OutOfRange
from packing.parcel import board, box, carriers, compression, cushion, drop, fill, padding
from packing.parcel.box import BoxSize
from packing.parcel.outcome import Verdict
from packing.parcel.plan import judge_carton, plan_parcel
from packing.parcel.unit import stances
from tests.packing.parcel.units import CARRIERS, CARTONS, MATERIALS, carton, four_barrel

UPS, BAGS = CARRIERS["ups-ground"], MATERIALS["grocery-bags"]
CURVE = cushion.StressEnergy(63.69, 0.016598)
DROP = {"drop_height_m": 0.76, "thickness_m": 0.05}


def size_of(function):
    """The function of a box size as one of three sides."""

    def call(*, length_mm, width_mm, height_mm, **more):
        return function(BoxSize(length_mm, width_mm, height_mm), **more)

    return call


def with_curve(function):
    return lambda **figures: function(CURVE, **figures)


SIDES = {"length_mm": 300.0, "width_mm": 200.0, "height_mm": 100.0}
MASS = {"gross_mass_kg": 5.0}
# function, good figures, the figures that may be zero
COMPUTATIONS = {
    "drop_height": (drop.drop_height, MASS, ()),
    "drop_height_in": (
        lambda gross_mass_lb: drop.drop_height_in(gross_mass_lb, test=drop.DropTest.ISTA_1A),
        {"gross_mass_lb": 12.0},
        (),
    ),
    "smallest_face": (drop.smallest_face_drop_height_m, {**MASS, "design_drop_height_m": 0.76}, ()),
    "impact_speed": (drop.impact_speed_m_s, {"drop_height_m": 0.76}, ()),
    "drop_energy": (drop.drop_energy_j, {"mass_kg": 3.0, "drop_height_m": 0.76}, ("drop_height_m",)),
    "parcel_class": (drop.parcel_class, {**SIDES, **MASS}, ()),
    "lightest_row": (
        lambda **figures: board.lightest_row(Wall.SINGLE, **figures),
        {**MASS, "united_mm": 900.0},
        (),
    ),
    "postal_requirement": (board.postal_requirement, MASS, ()),
    "meets_burst": (
        lambda burst_psi: board.meets_burst(CARTONS["double-15x15x11"], burst_psi=burst_psi),
        {"burst_psi": 200.0},
        (),
    ),
    "smallest_side_pressure": (board.smallest_side_pressure_kpa, {**MASS, **SIDES}, ()),
    "board_grade": (
        lambda ect_kn_m: board.board_grade(Wall.DOUBLE, ect_kn_m=ect_kn_m),
        {"ect_kn_m": 8.5},
        (),
    ),
    "puncture_energy": (board.puncture_energy_j, {"beach_units": 700.0}, ("beach_units",)),
    "used_refusal": (
        lambda gross_mass_kg: board.used_refusal(carton(300, 200, 100), gross_mass_kg=gross_mass_kg),
        MASS,
        (),
    ),
    "compression": (
        compression.compression_strength_n,
        {"ect_kn_m": 5.6, "caliper_mm": 4.0, "length_mm": 400.0, "width_mm": 300.0},
        (),
    ),
    "compression_intermediate": (
        compression.compression_strength_intermediate_n,
        {"ect_kn_m": 5.6, "caliper_mm": 4.0, "length_mm": 400.0, "width_mm": 300.0},
        (),
    ),
    "offset": (compression.offset_share, {"side_offset_share": 0.1}, ("side_offset_share",)),
    "constants": (cushion.StressEnergy, {"a_kpa": 60.0, "b_m3_kj": 0.02}, ()),
    "static_stress": (cushion.static_stress_kpa, {"mass_kg": 5.0, "area_m2": 0.02}, ()),
    "bearing_area": (cushion.bearing_area_m2, {"mass_kg": 5.0, "stress_kpa": 2.0}, ()),
    "peak_g": (with_curve(cushion.peak_g), {**DROP, "stress_kpa": 5.0}, ()),
    "oblique_peak_g": (
        lambda **figures: cushion.oblique_peak_g(CURVE, impact=cushion.Impact.EDGE, **figures),
        {**DROP, "stress_kpa": 5.0},
        (),
    ),
    "optimum_stress": (with_curve(cushion.optimum_stress_kpa), DROP, ()),
    "least_peak_g": (with_curve(cushion.least_peak_g), DROP, ()),
    "required_thickness": (
        with_curve(cushion.required_thickness_m),
        {"stress_kpa": 5.0, "drop_height_m": 0.76, "allowed_g": 60.0},
        (),
    ),
    "usable_stresses": (with_curve(cushion.usable_stresses_kpa), {**DROP, "allowed_g": 60.0}, ()),
    "deepest_strain": (with_curve(cushion.deepest_strain), {**DROP, "stress_kpa": 5.0}, ()),
    "stop_distance": (cushion.stop_distance_m, {"drop_height_m": 0.76, "allowed_g": 50.0}, ()),
    "spring": (
        cushion.spring_peak_g,
        {"mass_kg": 5.0, "stiffness_n_m": 8e4, "drop_height_m": 0.76},
        (),
    ),
    "buckling": (cushion.buckling_area_m2, {"thickness_m": 0.05}, ()),
    "settled": (
        cushion.settled_thickness_m,
        {"thickness_m": 0.05, "settles_share": 0.1},
        ("thickness_m", "settles_share"),
    ),
    "laid": (
        cushion.laid_thickness_m,
        {"thickness_m": 0.05, "settles_share": 0.1},
        ("thickness_m", "settles_share"),
    ),
    "girth": (size_of(carriers.girth_mm), SIDES, ()),
    "length_plus_girth": (size_of(carriers.length_plus_girth_mm), SIDES, ()),
    "rounded": (
        size_of(lambda size: carriers.rounded_size(size, rounding=SideRounding.UP_INCH)),
        SIDES,
        (),
    ),
    "dimensional": (size_of(lambda size: carriers.dimensional_kg(size, carrier=UPS)), SIDES, ()),
    "step_up": (carriers.step_up_kg, {"mass_kg": 5.0, "step_kg": 0.5}, ("mass_kg", "step_kg")),
    "bill": (size_of(lambda size, **mass: carriers.bill(size, carrier=UPS, **mass)), {**SIDES, **MASS}, ()),
    "surcharges": (
        size_of(lambda size, **mass: carriers.surcharges(size, carrier=UPS, **mass)),
        {**SIDES, **MASS},
        (),
    ),
    "carrier_limits": (
        size_of(lambda size, **mass: carriers.carrier_limits(size, carrier=UPS, **mass)),
        {**SIDES, **MASS},
        (),
    ),
    "outside": (
        size_of(lambda size, caliper_mm: box.outside_size(size, caliper_mm=caliper_mm)),
        {**SIDES, "caliper_mm": 4.0},
        (),
    ),
    "blank": (
        size_of(lambda size, caliper_mm: box.blank_area_m2(size, caliper_mm=caliper_mm)),
        {**SIDES, "caliper_mm": 4.0},
        (),
    ),
    "tape": (
        size_of(lambda size, overrun_mm: box.tape_length_mm(size, overrun_mm=overrun_mm)),
        {**SIDES, "overrun_mm": 60.0},
        ("overrun_mm",),
    ),
    "fill_count": (lambda litres: fill.fill_count(litres, material=BAGS), {"litres": 30.0}, ("litres",)),
    "fill_mass": (fill.fill_mass_kg, {"litres": 30.0, "density_kg_m3": 26.0}, ("litres",)),
    "sheet_area": (
        fill.sheet_area_m2,
        {"litres": 30.0, "density_kg_m3": 10.0, "grammage_g_m2": 70.0},
        ("litres",),
    ),
    "crown": (
        fill.crown_mm,
        {"top_thickness_mm": 60.0, "settles_share": 0.1},
        ("top_thickness_mm", "settles_share"),
    ),
    "fall": (padding.Fall, {"drop_height_m": 0.76, "deepest_drop_height_m": 0.9144}, ()),
    "side_needs": (
        lambda **figures: padding.side_needs(
            stances(four_barrel())[0], material=BAGS, fall=padding.Fall(0.76, 0.9144), **figures
        ),
        {"mass_kg": 5.0, "allowed_g": 60.0},
        (),
    ),
}
NONSENSE = [
    (name, key, value)
    for name, (_, figures, may_be_zero) in COMPUTATIONS.items()
    for key in figures
    for value in (math.nan, math.inf, -math.inf, -1.0, 0.0, 1e12)
    if value != 0.0 or key not in may_be_zero
]


def call(name, **instead):
    function, figures, _ = COMPUTATIONS[name]
    given = {**figures, **instead}
    try:
        return function(**given)
    except TypeError:
        first, *rest = given
        return function(given[first], **{key: given[key] for key in rest})


@pytest.mark.parametrize("name", COMPUTATIONS)
def test_good_figures_are_taken(name):
    call(name)


@pytest.mark.parametrize(("name", "key", "value"), NONSENSE)
def test_a_figure_no_parcel_can_have_is_refused_in_a_sentence(name, key, value):
    with pytest.raises(OutOfRange) as refusal:
        call(name, **{key: value})
    sentence = str(refusal.value)
    assert "has to be between" in sentence
    assert "_" not in sentence, "our own names are not shown to people"
    assert "nan" not in sentence


@pytest.mark.parametrize("side", ["length_mm", "width_mm", "height_mm"])
@pytest.mark.parametrize(("value", "shown"), [(3000.0, "3000 mm"), (0.0, "0 mm"), (-120.0, "-120 mm")])
def test_a_carburettor_3_metres_long_or_flat_as_nothing_is_refused_by_name(side, value, shown):
    good = four_barrel()
    with pytest.raises(OutOfRange) as refusal:
        type(good)(**{**{key: getattr(good, key) for key in good.__slots__}, side: value})
    assert str(refusal.value) == (
        f"Four-barrel carburettor: {side.removesuffix('_mm')} is {shown}: it has to be between 10 and 900 mm."
    )


@pytest.mark.parametrize("key", ["mass_kg", "fragility_g"])
@pytest.mark.parametrize("value", [math.nan, math.inf, 0.0, -1.0, 5000.0])
def test_a_unit_that_weighs_or_bears_nothing_is_refused(key, value):
    with pytest.raises(OutOfRange, match=r"Four-barrel carburettor: (mass|fragility) is"):
        four_barrel(**{key: value})


@pytest.mark.parametrize("side", [0, 1, 2])
@pytest.mark.parametrize("value", [math.nan, math.inf, 0.0, -5.0, 9000.0])
def test_a_carton_no_parcel_can_have_is_refused_by_the_search_and_by_the_verdict(side, value):
    sides = [400.0, 400.0, 400.0]
    sides[side] = value
    with pytest.raises(OutOfRange, match=r"carton (length|width|height) is"):
        judge_carton(four_barrel(), carton=carton(*sides), materials=[BAGS], carrier=None)
    with pytest.raises(OutOfRange, match=r"carton (length|width|height) is"):
        plan_parcel(four_barrel(), cartons=[carton(*sides)], materials=[BAGS], carrier=None)


@pytest.mark.parametrize("padding_mm", [math.nan, math.inf, -1.0, 5000.0])
def test_padding_no_carton_can_hold_is_refused(padding_mm):
    with pytest.raises(OutOfRange, match="base padding is"):
        judge_carton(
            four_barrel(),
            carton=CARTONS["double-15x15x11"],
            materials=[BAGS],
            carrier=None,
            base_padding_mm=padding_mm,
        )


MATERIAL_FIGURES = {
    "curve_a_kpa": 0.0,
    "curve_b_m3_kj": 0.0,
    "stress_most_kpa": 0.0,
    "settles_share": 1.0,
    "uncertainty_share": -1.0,
    "density_kg_m3": 0.0,
    "count_litres": 0.0,
    "thicknesses_mm": (0.0,),
    "mass_most_kg": 0.0,
}


@pytest.mark.parametrize("key", MATERIAL_FIGURES)
@pytest.mark.parametrize("is_number", [True, False], ids=["too small or large", "not a number"])
def test_a_material_with_figures_none_can_have_is_refused_by_its_name(key, is_number):
    nothing = (math.nan,) if key == "thicknesses_mm" else math.nan
    material = replace(BAGS, **{key: MATERIAL_FIGURES[key] if is_number else nothing})
    with pytest.raises(OutOfRange, match=BAGS.name):
        judge_carton(four_barrel(), carton=carton(450, 450, 400), materials=[material], carrier=UPS)
    with pytest.raises(OutOfRange, match=BAGS.name):
        plan_parcel(four_barrel(), cartons=[carton(450, 450, 400)], materials=[material], carrier=UPS)


@pytest.mark.parametrize("key", ["burst_kpa", "puncture_j", "certificate_gross_kg"])
@pytest.mark.parametrize("value", [math.nan, 0.0, -5.0])
def test_a_carton_whose_stated_board_is_impossible_is_refused(key, value):
    box = replace(carton(450, 450, 400), **{key: value})
    with pytest.raises(OutOfRange, match=r"carton (burst|puncture|certificate)"):
        judge_carton(four_barrel(), carton=box, materials=[BAGS], carrier=UPS)


def test_a_curve_that_is_uncertain_by_all_of_itself_gives_a_verdict():
    material = replace(BAGS, uncertainty_share=1.0)
    plan = judge_carton(four_barrel(), carton=carton(450, 450, 400), materials=[material], carrier=UPS)
    assert plan.verdict is Verdict.NO
    assert plan.limiting.margin_ratio_least < plan.limiting.margin_ratio


@pytest.mark.parametrize(("face", "sides_mm"), [(Face.BASE, (201, 110)), (Face.LEFT, (120, 121))])
def test_a_support_face_larger_than_its_side_of_the_body_is_refused(face, sides_mm):
    support = (SupportFace(face, *map(float, sides_mm)),)
    with pytest.raises(OutOfRange, match=r"support (length|width)"):
        replace(four_barrel(), support_faces=support)
