"""Promises of packing.parcel.reader: the reader's unit first, the same figures, and no measure broken."""

import re
from dataclasses import replace

import pytest

from packing.parcel.reader import NO_BREAK, hold_together, tell, told_in
from packing.quantities import UnitChoice, show_length, show_mass, show_size, show_thickness
from tests.packing.drawing.sheets import demo_plans

METRIC, IMPERIAL = UnitChoice.METRIC, UnitChoice.IMPERIAL
LENGTHS_MM = [0.0, 0.3, 1.0, 3.0, 12.7, 50.0, 88.9, 254.0, 1000.0, 2999.0]
MASSES_KG = [0.004, 0.02, 0.3, 0.9, 2.4, 5.0, 12.0, 40.0]


def plain(text):
    return text.replace(NO_BREAK, " ")


@pytest.mark.parametrize(
    "show",
    [
        *(lambda choice, value=value: show_length(value, choice=choice) for value in LENGTHS_MM),
        *(lambda choice, value=value: show_size(value, 88.9, 40.0, choice=choice) for value in LENGTHS_MM),
        *(lambda choice, value=value: show_thickness(value, choice=choice) for value in (0.02, 3.0, 4.5)),
        *(lambda choice, value=value: show_mass(value, choice=choice) for value in MASSES_KG),
    ],
)
def test_a_measure_reads_as_if_it_had_been_shown_to_this_reader(show):
    sentence = "Lay {} on it, then {}, no more."
    told = tell(sentence.format(show(METRIC), show(METRIC)), choice=IMPERIAL)
    assert plain(told) == sentence.format(show(IMPERIAL), show(IMPERIAL))
    assert plain(tell(show(METRIC), choice=METRIC)) == show(METRIC)


@pytest.mark.slow
def test_every_sentence_of_every_plan_has_inches_first_for_a_reader_of_inches():
    seen = 0
    for name, (plan, _) in demo_plans().items():
        told = told_in(plan, choice=IMPERIAL)
        for step, was in zip(told.steps, plan.steps, strict=True):
            words = plain(step.instruction)
            assert not re.search(r"mm \(\d", words), (name, words)
            assert sorted(re.findall(r"\d+", words)) == sorted(re.findall(r"\d+", was.instruction))
            seen += " in (" in words
    assert seen > 300


@pytest.mark.slow
def test_nothing_but_words_is_changed():
    plan, _ = next(iter(demo_plans().values()))
    told = told_in(plan, choice=IMPERIAL)
    assert [step.slug for step in told.steps] == [step.slug for step in plan.steps]
    assert told.cushions == plan.cushions
    assert replace(told.carton, name="", source=plan.carton.source) == replace(plan.carton, name="")
    assert told.limiting.slug == plan.limiting.slug


def test_no_line_ends_inside_a_measure():
    text = hold_together("It is 4 1/2 × 3 1/2 in (114 × 89 mm), 5 lb 4 oz, 58 G and 2 pads in all.")
    parts = text.split(" ")
    assert f"4{NO_BREAK}1/2" in parts
    assert f"3{NO_BREAK}1/2{NO_BREAK}in" in parts
    assert f"5{NO_BREAK}lb" in parts
    assert {"2", "pads", "in", "all."} <= set(parts)


def test_a_size_in_a_name_is_written_with_its_sign():
    assert plain(tell("the carton 14 x 14 x 14 in single-wall", choice=METRIC)) == (
        "the carton 14 × 14 × 14 in single-wall"
    )
