"""Promises of packing.quantities: both units always shown, typed sizes read or refused with a sentence."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packing.quantities import (
    KG_PER_OZ,
    MM_PER_IN,
    NotAQuantity,
    UnitChoice,
    in_from_mm,
    kg_from_lb,
    kn_m_from_lb_in,
    kpa_from_psi,
    lb_from_kg,
    lb_in_from_kn_m,
    mm_from_in,
    parse_length_mm,
    parse_mass_kg,
    psi_from_kpa,
    show_length,
    show_mass,
    show_offset,
    show_size,
    show_stated_length,
    show_thickness,
)

BOTH = st.sampled_from(list(UnitChoice))
PAIRS = [
    (mm_from_in, in_from_mm),
    (kg_from_lb, lb_from_kg),
    (kpa_from_psi, psi_from_kpa),
    (kn_m_from_lb_in, lb_in_from_kn_m),
]


@pytest.mark.parametrize(("there", "back"), PAIRS)
@given(value=st.floats(min_value=1e-6, max_value=1e6))
def test_conversion_and_its_inverse_cancel(there, back, value):
    assert back(there(value)) == pytest.approx(value, rel=1e-12)


@given(length_mm=st.floats(min_value=2, max_value=2990), choice=BOTH)
def test_shown_length_reads_back_within_its_rounding(length_mm, choice):
    within = 0.5 if choice is UnitChoice.METRIC else MM_PER_IN / 16
    other = UnitChoice.IMPERIAL if choice is UnitChoice.METRIC else UnitChoice.METRIC
    back = parse_length_mm(show_length(length_mm, choice=choice), choice=other)
    assert abs(back - length_mm) <= within + 1e-6


@given(mass_kg=st.floats(min_value=0.03, max_value=149), choice=BOTH)
def test_shown_mass_reads_back_within_its_rounding(mass_kg, choice):
    metric = 0.005 if mass_kg < 2.99 else 0.05
    imperial = KG_PER_OZ / 2 if mass_kg < 9.0 else KG_PER_OZ * 8
    within = metric if choice is UnitChoice.METRIC else imperial
    other = UnitChoice.IMPERIAL if choice is UnitChoice.METRIC else UnitChoice.METRIC
    back = parse_mass_kg(show_mass(mass_kg, choice=choice), choice=other)
    assert abs(back - mass_kg) <= within + 1e-6


@given(sides=st.tuples(*[st.floats(min_value=0, max_value=3000)] * 3), choice=BOTH)
def test_size_always_shows_both_units(sides, choice):
    shown = show_size(*sides, choice=choice)
    assert shown.count("mm") == 1
    assert shown.count(" in") == 1
    assert shown.count("×") == 4


@pytest.mark.parametrize(
    ("choice", "shown"),
    [(UnitChoice.IMPERIAL, "3 1/2 in (89 mm)"), (UnitChoice.METRIC, "89 mm (3 1/2 in)")],
)
def test_the_readers_choice_comes_first(choice, shown):
    assert show_length(88.9, choice=choice) == shown


@pytest.mark.parametrize(
    ("mass_kg", "shown"),
    [
        (0.004, "under 10 g (under 1 oz)"),
        (0.45, "450 g (1 lb)"),
        (2.4, "2.40 kg (5 lb 5 oz)"),
        (9.06, "9.1 kg (20 lb)"),
        (29.5, "29.5 kg (65 lb)"),
    ],
)
def test_mass_is_shown_no_finer_than_a_scale_tells(mass_kg, shown):
    assert show_mass(mass_kg, choice=UnitChoice.METRIC) == shown


@pytest.mark.parametrize(
    ("text", "length_mm"),
    [
        ("3 1/2", 88.9),
        ("3-1/2 in", 88.9),
        ("3½″", 88.9),
        ("3.5 in", 88.9),
        ("89mm", 89),
        ("8 cm", 80),
        ("8,5 cm", 85),
        ("0,125 in", 3.175),
        ("1 ft 2 in", 355.6),
        ("1' 2\"", 355.6),
        ("٣٤ mm", 34),
        ("89 mm (3 1/2 in)", 89),
    ],
)
def test_typed_length_is_read(text, length_mm):
    assert parse_length_mm(text, choice=UnitChoice.IMPERIAL) == pytest.approx(length_mm, abs=1e-9)


def test_bare_number_takes_the_readers_unit():
    assert parse_length_mm("120", choice=UnitChoice.METRIC) == 120
    assert parse_length_mm("12", choice=UnitChoice.IMPERIAL) == pytest.approx(304.8)
    assert parse_mass_kg("2", choice=UnitChoice.METRIC) == 2
    assert parse_mass_kg("2", choice=UnitChoice.IMPERIAL) == pytest.approx(0.90718474)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "0",
        "-3",
        "nan",
        "inf",
        "1e5",
        "abc",
        "3 4",
        "3/0",
        "3 5/4",
        "1,200",
        "9" * 300,
        "🙂",
        "4000",
    ],
)
def test_nonsense_length_is_refused_with_what_to_type(text):
    with pytest.raises(NotAQuantity) as refusal:
        parse_length_mm(text, choice=UnitChoice.METRIC)
    assert "“89 mm” or “3 1/2 in”" in str(refusal.value)
    assert len(str(refusal.value)) < 160


@pytest.mark.parametrize("text", ["4 oz 5 lb", "5 lb 4", "1 t", "500", "0 kg", "5 mm"])
def test_nonsense_mass_is_refused_with_what_to_type(text):
    with pytest.raises(NotAQuantity, match=r"“2\.4 kg” or “5 lb 4 oz”"):
        parse_mass_kg(text, choice=UnitChoice.METRIC)


@given(text=st.text(max_size=60), choice=BOTH)
def test_any_text_is_read_or_refused_never_a_crash(text, choice):
    try:
        length_mm = parse_length_mm(text, choice=choice)
    except NotAQuantity:
        return
    assert 1 <= length_mm <= 3000


@pytest.mark.parametrize(
    ("thickness_mm", "shown"),
    [
        (4.5, "4.5 mm (0.18 in)"),
        (3.0, "3 mm (0.12 in)"),
        (1.5, "1.5 mm (0.06 in)"),
        (0.02, "under 0.1 mm (under 0.01 in)"),
        (0.0, "0 mm (0 in)"),
        (9.97, "10 mm (0.39 in)"),
        (10.0, "10 mm (3/8 in)"),
    ],
)
def test_a_thickness_is_shown_as_a_caliper_reads(thickness_mm, shown):
    assert show_thickness(thickness_mm, choice=UnitChoice.METRIC) == shown


@given(st.integers(10, 99), BOTH)
def test_a_shown_thickness_reads_back_within_its_rounding(tenths_mm, choice):
    shown = show_thickness(tenths_mm / 10, choice=choice)
    assert abs(parse_length_mm(shown, choice=choice) - tenths_mm / 10) <= 0.128


def test_a_length_stated_in_both_units_is_shown_as_stated():
    # 460 mm is 18.1 in; the sheet of drop heights says 18.
    assert show_stated_length(460, length_in=18, choice=UnitChoice.IMPERIAL) == "18 in (460 mm)"
    assert show_length(460, choice=UnitChoice.IMPERIAL) == "18 1/8 in (460 mm)"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1.0])
def test_what_is_no_quantity_is_not_shown(value):
    with pytest.raises(NotAQuantity):
        show_length(value, choice=UnitChoice.METRIC)
    with pytest.raises(NotAQuantity):
        show_mass(value, choice=UnitChoice.METRIC)


@pytest.mark.parametrize(
    ("offset_mm", "shown"),
    [
        (-10.0, "−10 mm (−3/8 in)"),
        (10.0, "10 mm (3/8 in)"),
        (-1.5, "−1.5 mm (−0.06 in)"),
        (-0.01, "0 mm (0 in)"),
        (0.0, "0 mm (0 in)"),
    ],
)
def test_an_offset_carries_its_sign_in_both_units(offset_mm, shown):
    assert show_offset(offset_mm, choice=UnitChoice.METRIC) == shown
