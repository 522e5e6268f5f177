"""Waves of corrugated board: flutes a foot (ehow.com), take-up after Tenzer 1989 (mediencommunity.de)."""

import pytest

from packing.errors import OutOfRange
from packing.parcel.flute import flute_pitch_mm, take_up_factor
from packing.parcel.tables import flutes


@pytest.mark.parametrize(
    ("name", "pitch_mm"), [("A", 9.236), ("B", 6.485), ("C", 7.434), ("E", 3.208), ("F", 2.381)]
)
def test_the_pitch_of_each_flute(name, pitch_mm):
    row = next(flute for flute in flutes() if flute.name == name)
    assert flute_pitch_mm(row.flutes_per_ft) == pytest.approx(pitch_mm, abs=0.001)


# Worked by hand: 0.8 + 1.33 height / pitch.
@pytest.mark.parametrize(
    ("height_mm", "pitch_mm", "factor"),
    [
        (4.8, 9.236, 1.4912),
        (2.5, 6.485, 1.3127),
        (3.6, 7.434, 1.4441),
        (1.2, 3.208, 1.2975),
        (1.0, 2.0, 1.465),
    ],
)
def test_how_much_paper_a_wave_takes(height_mm, pitch_mm, factor):
    assert take_up_factor(height_mm, pitch_mm=pitch_mm) == pytest.approx(factor, abs=0.0001)


@pytest.mark.parametrize(("height_mm", "pitch_mm"), [(0.0, 7.4), (3.6, float("nan")), (1.0, 7.4), (9.0, 7.4)])
def test_no_wave_is_flatter_than_its_sheet_or_higher_than_its_pitch(height_mm, pitch_mm):
    with pytest.raises(OutOfRange):
        take_up_factor(height_mm, pitch_mm=pitch_mm)
