"""Readings of the demo shop are as fine as somebody at the stand would write them down."""

from random import Random

import pytest

from jobs.demo.readings import bad_readings, good_readings
from packing.catalogue.schema import TestLine as Line


@pytest.mark.parametrize(
    ("least", "most", "decimals"), [(60.0, None, 0), (6.0, 9.0, 1), (14.5, 15.5, 2), (None, 1.0, 2)]
)
def test_a_reading_is_no_finer_than_its_line_is_read(least, most, decimals):
    line = Line(slug="line", label="Line", unit="minutes", least=least, most=most)
    for seed in range(20):
        good, bad = (each((line,), dice=Random(seed)) for each in (good_readings, bad_readings))
        assert (good.passed, bad.passed) == (True, False)
        for value in (good.readings["line"], bad.readings["line"]):
            assert round(value, decimals) == value
