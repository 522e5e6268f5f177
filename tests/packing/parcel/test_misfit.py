"""A carton that the bare unit does not go into is told so first, and centimetres are asked after."""

from packing.parcel.misfit import describe_misfit
from packing.quantities import UnitChoice
from tests.packing.parcel.units import carton, four_barrel

METRIC, IMPERIAL = UnitChoice.METRIC, UnitChoice.IMPERIAL


def test_centimetres_typed_for_millimetres_are_asked_after():
    words = describe_misfit(four_barrel(), carton=carton(40, 40, 40), choice=METRIC)
    assert words.startswith("The unit does not fit into 40 × 40 × 40 mm")
    assert words.endswith("Did you mean 400 × 400 × 400 mm (40 × 40 × 40 cm)?")


def test_who_counts_in_inches_is_not_asked_for_centimetres():
    words = describe_misfit(four_barrel(), carton=carton(101.6, 101.6, 101.6), choice=IMPERIAL)
    assert "does not fit" in words
    assert "cm" not in words


def test_no_question_where_ten_times_would_not_do_either():
    words = describe_misfit(four_barrel(), carton=carton(400, 400, 41), choice=METRIC)
    assert "does not fit" in words
    assert "Did you mean" not in words


def test_a_carton_the_body_goes_into_lying_down_is_no_misfit():
    unit = four_barrel()
    sides = sorted((unit.length_mm, unit.width_mm, unit.height_mm))
    assert describe_misfit(unit, carton=carton(*sides), choice=METRIC) == ""
    assert describe_misfit(unit, carton=carton(*reversed(sides)), choice=METRIC) == ""
    assert describe_misfit(unit, carton=carton(sides[0] - 1, *sides[1:]), choice=METRIC)
