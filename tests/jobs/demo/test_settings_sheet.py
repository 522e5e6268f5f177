"""Every setting of the demo catalogue has a figure of its own size, and what was set is left nearer right."""

from random import Random

import pytest

from jobs.demo.readings import good_readings
from jobs.demo.settings_sheet import draw_sheet
from packing.catalogue.schema import UnitModel
from packing.services import FirstEntries, first_entries

MODELS = [entry for entry in first_entries(FirstEntries.DEMO) if isinstance(entry, UnitModel)]


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.slug)
def test_every_setting_of_the_catalogue_is_written(model):
    found, left = draw_sheet(model.settings, readings={}, dice=Random(1))
    assert set(found) == set(left) == set(model.settings)
    assert "" not in found.values()


def test_a_setting_nobody_knows_stays_unwritten():
    assert draw_sheet(("Angle of the moon",), readings={}, dice=Random(1)) == ({}, {})


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
    sheets = [draw_sheet((name,), readings={}, dice=Random(seed)) for seed in range(50)]
    values = [float(side[name]) for sheet in sheets for side in sheet]
    assert least <= min(values) < max(values) <= most


MEASURED_TWICE = (
    ("Dwell", ("dwell",)),
    ("Advance curve", ("advance_500", "advance_1000", "advance_2000")),
    ("Points gap", ("points_gap",)),
    ("Impulse lag", ("lag_angle",)),
    ("Delivery at full load", ("full_delivery",)),
    ("Governor cut-off", ("cut_off",)),
    ("Delivery pressure", ("pressure",)),
    ("Resistance, ohm, float up", ("ohm_high",)),
    ("Sensor voltage, throttle closed", ("closed_voltage",)),
    ("Opening pressure", ("opening_pressure",) * 4),
    ("Float level, mm below", ("float_level",)),
)


def pairs_of(model):
    """Return the settings of the model that its test reads too, each with its lines."""
    lines = {line.slug: line for line in model.test_lines}
    return [
        (name, [lines[slug] for slug in slugs])
        for name in model.settings
        for start, slugs in MEASURED_TWICE
        if name.startswith(start) and set(slugs) <= set(lines)
    ]


@pytest.mark.parametrize(("start", "slugs"), MEASURED_TWICE, ids=[start for start, _slugs in MEASURED_TWICE])
def test_what_the_bench_test_reads_is_what_the_unit_was_left_at(start, slugs):
    checked = [
        (model, name, lines) for model in MODELS for name, lines in pairs_of(model) if name.startswith(start)
    ]
    assert checked
    for model, name, lines in checked:
        for seed in range(30):
            readings = good_readings(model.test_lines, dice=Random(seed)).readings
            _found, left = draw_sheet(model.settings, readings=readings, dice=Random(seed))
            for said, line in zip(left[name].split(" / "), lines, strict=False):
                assert line.least <= float(said) <= line.most, (model.slug, name)
                assert float(said) == pytest.approx(readings[line.slug], abs=max(0.5, line.most / 30))


def test_no_setting_says_as_found_where_a_column_says_as_left():
    names = [name for model in MODELS for name in model.settings]
    assert len(names) > 50
    assert [name for name in names if "as found" in name or "as left" in name] == []
