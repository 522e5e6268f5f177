"""Every setting of the demo catalogue has a figure of its own size, and what was set is left nearer right."""

from random import Random

import pytest

from jobs.demo.settings_sheet import draw_sheet
from packing.catalogue.schema import UnitModel
from packing.services import FirstEntries, first_entries

MODELS = [entry for entry in first_entries(FirstEntries.DEMO) if isinstance(entry, UnitModel)]


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.slug)
def test_every_setting_of_the_catalogue_is_written(model):
    found, left = draw_sheet(model.settings, dice=Random(1))
    assert set(found) == set(left) == set(model.settings)
    assert "" not in found.values()


def test_a_setting_nobody_knows_stays_unwritten():
    assert draw_sheet(("Angle of the moon",), dice=Random(1)) == ({}, {})


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [
        # Common practice, no published source.
        ("Points gap, mm", 0.2, 0.6),
        ("Mixture screw, turns out", 0.25, 3.0),
        ("Governor cut-off, turns a minute", 2000, 2500),
        ("Sensor voltage, throttle closed", 0.3, 0.7),
    ],
)
def test_figures_are_of_the_size_such_units_have(name, least, most):
    sheets = [draw_sheet((name,), dice=Random(seed)) for seed in range(50)]
    values = [float(side[name]) for sheet in sheets for side in sheet]
    assert least <= min(values) < max(values) <= most
