"""Every value has one written form that is read back exactly; people may type in either system of units."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packing.catalogue.fields import FieldShape, Measure, Shape
from portal.owner.measures import NotReadable, read, show, write

MEASURES = st.sampled_from([Measure.NONE, Measure.LENGTH, Measure.MASS, Measure.SHARE])


@given(st.floats(min_value=-4000, max_value=4000, allow_nan=False).map(lambda x: round(x, 6)), MEASURES)
def test_a_number_is_read_back_exactly(value, measure):
    text = write(value, shape=Shape.NUMBER, measure=measure)
    assert read(text, shape=Shape.NUMBER, measure=measure) == value


@given(st.integers(min_value=0, max_value=10**9))
def test_money_is_read_back_exactly(pence):
    text = write(pence, shape=Shape.WHOLE, measure=Measure.MONEY)
    assert read(text, shape=Shape.WHOLE, measure=Measure.MONEY) == pence


@pytest.mark.parametrize(
    ("text", "length_mm"),
    [
        ("89", 89.0),
        ("8,5 cm", 85.0),
        ("3 1/2 in", 88.9),
        ('12"', 304.8),
        ("-10 mm", -10.0),
        ("4.19 m", 4190.0),
    ],
)
def test_a_length_is_read_in_either_system(text, length_mm):
    assert read(text, shape=Shape.NUMBER, measure=Measure.LENGTH) == pytest.approx(length_mm, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "mass_kg"), [("850 g", 0.85), ("5 lb 4 oz", 2.38135), ("66 lb", 29.93709642)]
)
def test_a_mass_is_read_in_either_system(text, mass_kg):
    # 1 lb is 0.45359237 kg by definition (international yard and pound agreement, 1959).
    assert read(text, shape=Shape.NUMBER, measure=Measure.MASS) == pytest.approx(
        mass_kg, abs=5e-4 if "oz" in text else 1e-5
    )


@pytest.mark.parametrize(
    ("text", "shape", "measure"),
    [
        ("a thumb", Shape.NUMBER, Measure.LENGTH),
        ("nan", Shape.NUMBER, Measure.NONE),
        ("inf", Shape.NUMBER, Measure.NONE),
        ("1.5", Shape.WHOLE, Measure.NONE),
        ("1.234", Shape.WHOLE, Measure.MONEY),
        ("-5", Shape.WHOLE, Measure.MONEY),
        ("31/3/2026", Shape.DATE, Measure.NONE),
        ("half past", Shape.TIME, Measure.NONE),
    ],
)
def test_what_cannot_be_read_is_refused_with_an_example(text, shape, measure):
    with pytest.raises(NotReadable, match="like"):
        read(text, shape=shape, measure=measure)


def test_a_share_is_typed_in_hundredths():
    assert read("7.5 %", shape=Shape.NUMBER, measure=Measure.SHARE) == 0.075


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("5 lb 2 oz", "2.325 kg"),
        ("66 lb", "29.93709642 kg"),
        ("0.4 oz", "0.01134 kg"),
        ("2.3246 kg", "2.3246 kg"),
    ],
)
def test_a_mass_comes_back_as_finely_as_it_was_typed(typed, shown):
    mass_kg = read(typed, shape=Shape.NUMBER, measure=Measure.MASS)
    assert write(mass_kg, shape=Shape.NUMBER, measure=Measure.MASS) == shown


@pytest.mark.parametrize(
    ("value", "shown"), [(-10.0, "−10 mm (−3/8 in)"), (0.0, "0 mm (0 in)"), (12.5, "12.5 mm (1/2 in)")]
)
def test_a_length_of_a_document_is_shown_with_its_sign_in_both_units(value, shown):
    shape = FieldShape("offset_mm", Shape.NUMBER, float, required=True, may_be_none=False)
    assert show(value, shape=shape) == shown


@pytest.mark.parametrize("shape", [Shape.WHOLE, Shape.NUMBER])
@pytest.mark.parametrize("measure", [Measure.NONE, Measure.MASS, Measure.LENGTH, Measure.MONEY])
def test_a_figure_of_thousands_of_digits_is_refused_in_a_sentence(shape, measure):
    with pytest.raises(NotReadable, match=r"too large|between"):
        read("9" * 5000, shape=shape, measure=measure)
