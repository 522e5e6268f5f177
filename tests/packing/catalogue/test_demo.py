"""The demo shop's catalogue is sound, safe to follow, and full of the look-alikes of real life."""

from itertools import combinations
from pathlib import Path

import pytest

import packing
from packing.catalogue.documents import entries_from_toml
from packing.catalogue.rules import check_entry, warnings_for
from packing.catalogue.schema import Family, NumberKind, Origin, StripAction, UnitModel
from packing.identify.distance import distance_tenths
from packing.identify.normalise import normalise

FOLDER = Path(packing.__file__).parent / "data"
ENTRIES = tuple(
    entry
    for file in sorted([*FOLDER.glob("families_*.toml"), *FOLDER.glob("demo/*.toml")])
    for _, entry in entries_from_toml(file.read_text("utf-8"), file=file.name)
)
FAMILIES = {entry.slug: entry for entry in ENTRIES if isinstance(entry, Family)}
MODELS = {entry.slug: entry for entry in ENTRIES if isinstance(entry, UnitModel)}

every_entry = pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry.slug)
every_family = pytest.mark.parametrize("family", FAMILIES.values(), ids=lambda entry: entry.slug)
every_model = pytest.mark.parametrize("model", MODELS.values(), ids=lambda entry: entry.slug)


def numbers(model, kind):
    return [normalise(number.text).compact for number in model.numbers if number.kind is kind]


def whole_list(model):
    return (*FAMILIES[model.family].strip_steps, *model.strip_steps)


def test_the_shop_has_its_eight_families_and_its_four_makes():
    assert len(FAMILIES) == 8
    assert {model.family for model in MODELS.values()} == set(FAMILIES)
    assert {model.make for model in MODELS.values()} == {"Tolvane", "Brennick", "Osterwyn", "Pellmar"}
    assert 20 <= len(MODELS) <= 24


@every_entry
def test_every_entry_passes_the_rules(entry):
    assert check_entry(entry, families=FAMILIES, unit_models=MODELS) == ()


@every_entry
def test_no_entry_is_odd(entry):
    assert warnings_for(entry, families=FAMILIES, unit_models=MODELS) == ()


@every_entry
def test_every_invented_figure_says_that_it_is_an_estimate(entry):
    assert entry.source.origin is Origin.ESTIMATE
    notes = "Common practice" if isinstance(entry, Family) else "Quillfeather's own notes; common practice"
    assert entry.source.text == f"{notes}, no published source"


@every_family
def test_a_family_lets_a_layman_say_what_is_wrong(family):
    assert 8 <= len(family.symptoms) <= 12
    assert len(family.zones) >= 6
    assert len(family.shots) >= 3
    assert family.number_help
    assert len(family.never) >= 3


@every_family
def test_fuel_stands_in_the_air_for_a_day_and_longer_where_it_soaks_in(family):
    # Common practice, no published source: 24 hours, 48 to 72 for senders, floats and diaphragm units.
    soaks = {"sender": 72.0, "lift_pump": 48.0}
    assert family.air_hours == (soaks.get(family.slug, 24.0) if family.holds_fuel else 0.0)


@every_family
def test_magnets_and_ports_are_marked_where_they_are(family):
    assert family.magnetised == (family.slug == "magneto")
    assert family.ports_capped == (family.slug in {"injection_pump", "injector"})


@every_model
def test_a_strip_list_is_long_enough_to_help_and_short_enough_to_follow(model):
    assert 8 <= len(whole_list(model)) <= 14
    assert model.shots
    assert model.settings
    assert len(model.test_lines) >= 4


@every_model
def test_photos_come_first_and_every_step_has_its_reason(model):
    assert StripAction.PHOTOGRAPH in {step.action for step in whole_list(model)}
    assert all(len(step.why) >= 20 for step in whole_list(model))


@every_model
def test_every_list_says_what_to_leave_on_and_what_to_take_off(model):
    actions = {step.action for step in model.strip_steps}
    assert {StripAction.TAKE_OFF, StripAction.LEAVE_ON} <= actions


@every_model
def test_magnetos_and_injection_pumps_are_signed_off_by_two(model):
    assert model.second_signature == (model.family in {"magneto", "injection_pump"})


@every_model
def test_no_model_is_drawn_without_something_that_sticks_out(model):
    assert model.projections
    assert any(not projection.taken_off for projection in model.projections)


@every_model
def test_every_reading_of_the_bench_has_a_limit(model):
    assert all(line.least is not None or line.most is not None for line in model.test_lines)


@pytest.mark.parametrize("family", ["injection_pump", "injector"])
def test_diesel_readings_ask_for_the_temperature_of_the_test_oil(family):
    # The test plans of the trade give 40 +/- 5 degrees C (calibration sheets for ISO 4113 oil).
    lines = [
        [(line.least, line.most) for line in model.test_lines if line.slug == "oil_temperature"]
        for model in MODELS.values()
        if model.family == family
    ]
    assert lines
    assert all(line == [(35.0, 45.0)] for line in lines)


def test_the_two_senders_read_opposite_ways():
    def ohms(slug):
        lines = {line.slug: line for line in MODELS[slug].test_lines}
        return lines["ohm_low"].most, lines["ohm_high"].least

    down_ohm, up_ohm = ohms("pellmar-ps0790e")
    assert down_ohm < up_ohm
    down_ohm, up_ohm = ohms("pellmar-ps0790f")
    assert down_ohm > up_ohm


def near_pairs():
    return [
        (one, other)
        for one, other in combinations(MODELS.values(), 2)
        if one.family == other.family
        and any(
            distance_tenths(mine, stamped=theirs, cutoff_tenths=10) is not None
            for mine in numbers(one, NumberKind.LIST)
            for theirs in numbers(other, NumberKind.LIST)
        )
    ]


def test_list_numbers_one_character_apart_are_told_apart_by_looking():
    pairs = near_pairs()
    assert len(pairs) >= 6
    alike = [(one.slug, other.slug) for one, other in pairs if set(one.traits) == set(other.traits)]
    assert alike == []


def test_a_casting_number_is_shared_by_models_that_differ():
    sharing = [
        (one.slug, other.slug)
        for one, other in combinations(MODELS.values(), 2)
        if set(numbers(one, NumberKind.CASTING)) & set(numbers(other, NumberKind.CASTING))
    ]
    assert ("brennick-bm4-a25", "brennick-bm4-c25") in {tuple(sorted(pair)) for pair in sharing}
    assert len(sharing) >= 4


def test_a_worn_8_and_a_worn_b_stand_for_two_distributors():
    assert numbers(MODELS["brennick-db4080"], NumberKind.LIST) == ["DB4080"]
    assert numbers(MODELS["brennick-db40b0"], NumberKind.LIST) == ["DB40B0"]


def test_the_two_hands_of_one_magneto_differ_in_the_rotation_alone():
    clockwise, anticlockwise = MODELS["brennick-bm4-c25"], MODELS["brennick-bm4-a25"]
    assert clockwise.envelope == anticlockwise.envelope
    differing = set(clockwise.traits) ^ set(anticlockwise.traits)
    assert {trait.question for trait in differing} == {"rotation"}
