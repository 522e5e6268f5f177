import math
from dataclasses import replace

import pytest

from packing.catalogue.rules import check_entry, warnings_for
from packing.catalogue.schema import (
    Envelope,
    Face,
    NumberKind,
    Origin,
    Projection,
    Shot,
    Source,
    StampedNumber,
    StripAction,
    SupportFace,
    Surcharge,
    Trait,
    TraitQuestion,
)
from packing.catalogue.schema import TestLine as BenchLine  # pytest would collect the name
from tests.packing.catalogue.entries import CARRIER, CARTON, FAMILY, MATERIAL, MODEL, SOURCE, step

FAMILIES = {FAMILY.slug: FAMILY}


def keys_of(entry, *, families=FAMILIES, unit_models=None):
    found = check_entry(entry, families=families, unit_models=unit_models or {})
    assert all(sentence for _, sentence in found)
    return {key for key, _ in found}


def warned(entry, *, families=FAMILIES, unit_models=None):
    return {key for key, _ in warnings_for(entry, families=families, unit_models=unit_models or {})}


@pytest.mark.parametrize("entry", [FAMILY, MODEL, MATERIAL, CARTON, CARRIER], ids=lambda entry: entry.slug)
def test_a_sound_entry_has_no_problems_and_no_warnings(entry):
    assert keys_of(entry) == set()
    assert warned(entry) == set()


@pytest.mark.parametrize("entry", [FAMILY, MODEL, MATERIAL, CARTON, CARRIER], ids=lambda entry: entry.slug)
def test_a_figure_without_a_source_is_refused(entry):
    assert keys_of(replace(entry, source=replace(entry.source, text=" "))) == {"source.text"}


def test_a_published_figure_without_its_reading_date_is_warned():
    assert warned(replace(CARTON, source=Source("a table", Origin.PUBLISHED))) == {"source.read_on"}


# --- unit models -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"mass_kg": 0.0}, "mass_kg"),
        ({"mass_kg": math.inf}, "mass_kg"),
        ({"mass_kg": math.nan}, "mass_kg"),
        ({"mass_kg": 71.0}, "mass_kg"),
        ({"fragility_g": 4.9}, "fragility_g"),
        ({"fragility_g": 201.0}, "fragility_g"),
        ({"envelope": Envelope(3000.0, 130.0, 165.0)}, "envelope.length_mm"),
        ({"envelope": Envelope(160.0, 130.0, math.nan)}, "envelope.height_mm"),
        ({"support_faces": ()}, "support_faces"),
        ({"support_faces": (SupportFace(Face.BASE, 161.0, 70.0),)}, "support_faces “base”"),
        ({"support_faces": (SupportFace(Face.LEFT, 120.0, 166.0),)}, "support_faces “left”"),
        ({"price_from_pence": 30001}, "price_to_pence"),
        ({"test_lines": (BenchLine("gap", "Gap", "mm", least=2.0, most=1.0),)}, "test_lines “gap” least"),
        ({"family": "magneto"}, "family"),
        ({"traits": (Trait("rotation", "clockwise"),)}, "traits “rotation”"),
        ({"traits": (Trait("barrels", "three"),)}, "traits “barrels” answer"),
        ({"numbers": (StampedNumber(NumberKind.LIST, "--", "cover"),)}, "numbers[1]"),
    ],
)
def test_a_wrong_field_of_a_unit_model_is_named(change, key):
    assert key in keys_of(replace(MODEL, **change))


def test_the_bounds_of_fragility_are_allowed():
    assert keys_of(replace(MODEL, fragility_g=5.0)) == set()
    assert keys_of(replace(MODEL, fragility_g=200.0)) == set()


def test_the_same_number_written_two_ways_is_one_number():
    twice = (*MODEL.numbers, StampedNumber(NumberKind.LIST, "kv-4081 b", "on the flange"))
    assert keys_of(replace(MODEL, numbers=twice)) == {"numbers"}


@pytest.mark.parametrize(
    ("projection", "key"),
    [
        (Projection("pipe", "pipe", Face.FRONT, 0.0, 8.0, 8.0), "projections “pipe” reach_mm"),
        (Projection("pipe", "pipe", Face.FRONT, math.nan, 8.0, 8.0), "projections “pipe” reach_mm"),
        (Projection("pipe", "pipe", Face.FRONT, 20.0, -8.0, 8.0), "projections “pipe” breadth_mm"),
        (
            Projection("pipe", "pipe", Face.FRONT, 20.0, 8.0, 8.0, across_mm=80.0),
            "projections “pipe” across_mm",
        ),
        (
            Projection("pipe", "pipe", Face.LEFT, 20.0, 8.0, 8.0, across_mm=70.0),
            "projections “pipe” across_mm",
        ),
        (Projection("pipe", "pipe", Face.BASE, 20.0, 8.0, 8.0, up_mm=-64.0), "projections “pipe” up_mm"),
        (Projection("pipe", " ", Face.FRONT, 20.0, 8.0, 8.0), "projections “pipe” name"),
        (Projection("the pipe", "pipe", Face.FRONT, 20.0, 8.0, 8.0), "projections “the pipe” slug"),
        (Projection("lever", "lever", Face.FRONT, 20.0, 8.0, 8.0), "projections"),
    ],
)
def test_a_projection_that_cannot_be_is_named(projection, key):
    assert keys_of(replace(MODEL, projections=(*MODEL.projections, projection))) == {key}


def test_a_projection_may_reach_to_the_edge_of_its_face():
    edge = Projection("pipe", "pipe", Face.LEFT, 20.0, 8.0, 8.0, across_mm=61.0)
    assert keys_of(replace(MODEL, projections=(*MODEL.projections, edge))) == set()


def test_a_step_that_names_no_projection_of_the_model_is_refused():
    steps = (*MODEL.strip_steps, step("leave_pipe", StripAction.LEAVE_ON, projection="pipe"))
    assert keys_of(replace(MODEL, strip_steps=steps)) == {"strip_steps “leave_pipe” projection"}


def test_what_is_taken_off_needs_the_step_that_takes_it_off():
    assert keys_of(replace(MODEL, strip_steps=MODEL.strip_steps[1:])) == {"projections “stud” taken_off"}


def test_what_a_step_takes_off_is_not_planned_as_left_on():
    steps = (*MODEL.strip_steps[:1], step("take_lever", StripAction.TAKE_OFF, projection="lever"))
    assert keys_of(replace(MODEL, strip_steps=steps)) == {"projections “lever” taken_off"}


def test_one_part_is_not_both_left_on_and_taken_off():
    steps = (*MODEL.strip_steps, step("leave_stud", StripAction.LEAVE_ON, projection="stud"))
    assert keys_of(replace(MODEL, strip_steps=steps)) == {"projections “stud” taken_off"}


@pytest.mark.parametrize("field", ["instruction", "why", "caution"])
def test_a_step_that_tells_to_scrape_is_refused(field):
    steps = (*MODEL.strip_steps, step("clean", StripAction.LEAVE_ON, **{field: "Scrape the gasket off."}))
    assert keys_of(replace(MODEL, strip_steps=steps)) == {f"strip_steps “clean” {field}"}


def test_a_step_that_opens_a_magnetised_unit_is_refused():
    steps = (*MODEL.strip_steps, step("look", StripAction.PHOTOGRAPH, instruction="Open it and look inside."))
    assert keys_of(replace(MODEL, strip_steps=steps)) == set()
    magnetised = {FAMILY.slug: replace(FAMILY, magnetised=True)}
    assert keys_of(replace(MODEL, strip_steps=steps), families=magnetised) == {
        "strip_steps “look” instruction"
    }


@pytest.mark.parametrize("missing", ["photos", "drain"])
def test_a_unit_that_holds_fuel_needs_its_photos_and_its_draining(missing):
    bare = replace(FAMILY, strip_steps=tuple(one for one in FAMILY.strip_steps if one.slug != missing))
    assert keys_of(bare) == {"strip_steps"}
    assert keys_of(MODEL, families={bare.slug: bare}) == {"strip_steps"}
    dry = replace(bare, holds_fuel=False)
    assert keys_of(MODEL, families={dry.slug: dry}) == set()


def test_a_step_of_the_model_may_replace_the_one_of_its_family():
    steps = (*MODEL.strip_steps, step("drain", StripAction.DRAIN, instruction="Undo the plug."))
    assert keys_of(replace(MODEL, strip_steps=steps)) == set()


def test_a_step_that_replaces_the_draining_by_something_else_is_refused():
    steps = (*MODEL.strip_steps, step("drain", StripAction.LEAVE_ON))
    assert keys_of(replace(MODEL, strip_steps=steps)) == {"strip_steps"}


def test_the_list_of_an_injection_pump_caps_every_port():
    pump = replace(FAMILY, slug="injection_pump", ports_capped=True)
    assert keys_of(pump) == {"strip_steps"}
    some = step("cap", StripAction.CAP, instruction="Cap the inlet.")
    assert keys_of(replace(pump, strip_steps=(*pump.strip_steps, some))) == {"strip_steps"}
    every = step("cap", StripAction.CAP, instruction="Cap every port at once.")
    assert keys_of(replace(pump, strip_steps=(*pump.strip_steps, every))) == set()


@pytest.mark.parametrize("slug", ["injection_pump", "injector"])
def test_diesel_families_cannot_do_without_capping(slug):
    every = step("cap", StripAction.CAP, instruction="Cap every port at once.")
    family = replace(FAMILY, slug=slug, strip_steps=(*FAMILY.strip_steps, every))
    assert keys_of(family) == {"ports_capped"}


# --- families --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"air_hours": 0.0}, "air_hours"),
        ({"air_hours": math.nan}, "air_hours"),
        ({"mass_most_kg": 1.0}, "mass_most_kg"),
        ({"zones": ("body", "body")}, "zones"),
        (
            {"questions": (TraitQuestion("barrels", "How many?", "", ("one",)),)},
            "questions “barrels” answers",
        ),
        ({"never": ("Scraping is bad.",)}, "never[1]"),
    ],
)
def test_a_wrong_field_of_a_family_is_named(change, key):
    assert keys_of(replace(FAMILY, **change)) == {key}


def test_a_family_cannot_drop_a_question_that_its_models_answer():
    changed = replace(FAMILY, questions=())
    assert keys_of(changed, unit_models={MODEL.slug: MODEL}) == {"unit_model “tolvane-kv28” traits “barrels”"}
    assert keys_of(FAMILY, unit_models={MODEL.slug: MODEL}) == set()


# --- warnings --------------------------------------------------------------------------------------


def test_a_four_barrel_at_15_kg_is_queried():
    assert warned(replace(MODEL, mass_kg=15.0)) == {"mass_kg"}
    assert keys_of(replace(MODEL, mass_kg=15.0)) == set()


def test_a_side_outside_the_band_of_the_family_is_queried():
    assert warned(replace(MODEL, envelope=Envelope(321.0, 130.0, 165.0))) == {"envelope"}
    assert warned(replace(MODEL, envelope=Envelope(160.0, 130.0, 89.0))) == {"envelope"}


def test_a_list_number_of_two_models_is_warned():
    other = replace(MODEL, slug="other", name="Other")
    found = warnings_for(MODEL, families=FAMILIES, unit_models={other.slug: other})
    assert found == (("numbers", "KV4081B is also a number of Other; customers will be asked which."),)


def test_a_shared_casting_number_is_normal():
    other = replace(
        MODEL, slug="other", numbers=(StampedNumber(NumberKind.LIST, "KV4087B", ""), MODEL.numbers[1])
    )
    assert warned(MODEL, unit_models={other.slug: other, MODEL.slug: MODEL}) == set()


def test_a_model_known_by_its_casting_number_alone_is_warned():
    assert warned(replace(MODEL, numbers=MODEL.numbers[1:])) == {"numbers"}


def test_a_question_without_an_answer_is_warned():
    assert warned(replace(MODEL, traits=())) == {"traits"}


# --- materials, cartons, carriers ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"curve_a_kpa": 0.0}, "curve_a_kpa"),
        ({"curve_b_m3_kj": -0.1}, "curve_b_m3_kj"),
        ({"curve_a_kpa": math.nan}, "curve_a_kpa"),
        ({"stress_least_kpa": 12.0}, "stress_most_kpa"),
        ({"stress_least_kpa": 0.0}, "stress_most_kpa"),
        ({"settles_share": 0.91}, "settles_share"),
        ({"settles_share": -0.01}, "settles_share"),
        ({"thicknesses_mm": (25.0, 0.0)}, "thicknesses_mm[2]"),
        ({"count_litres": 0.0}, "count_litres"),
    ],
)
def test_a_wrong_field_of_a_material_is_named(change, key):
    assert keys_of(replace(MATERIAL, **change)) == {key}


@pytest.mark.parametrize("share", [0.0, 0.9])
def test_the_bounds_of_settling_are_allowed(share):
    assert keys_of(replace(MATERIAL, settles_share=share)) == set()


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"length_mm": 0.0}, "length_mm"),
        ({"height_mm": 20000.0}, "height_mm"),
        ({"caliper_mm": 0.0}, "caliper_mm"),
        ({"ect_kn_m": 400.0}, "ect_kn_m"),
        ({"board_g_m2": 1.0}, "board_g_m2"),
        ({"certificate_gross_kg": 0.0}, "certificate_gross_kg"),
    ],
)
def test_a_wrong_field_of_a_carton_is_named(change, key):
    assert keys_of(replace(CARTON, **change)) == {key}


def test_a_carton_named_by_its_shorter_side_is_queried():
    assert warned(replace(CARTON, length_mm=200.0)) == {"length_mm"}


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"mass_most_kg": 0.0}, "mass_most_kg"),
        ({"length_girth_most_mm": 3.0}, "length_girth_most_mm"),
        ({"divisor_cm3_kg": 5.0}, "divisor_cm3_kg"),
        ({"handling_mass_kg": 31.0}, "handling_mass_kg"),
        ({"days_least": 6}, "days_most"),
        ({"tracking_url": "http://track.example/"}, "tracking_url"),
        ({"surcharges": (Surcharge("long", "Long", "tariff", SOURCE.origin),)}, "surcharges “long”"),
    ],
)
def test_a_wrong_field_of_a_carrier_is_named(change, key):
    assert keys_of(replace(CARRIER, **change)) == {key}


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"zones": ("z" * 61,)}, "zones"),
        ({"shots": (Shot("Number plate", "Number", "Square on."),)}, "shots “Number plate” slug"),
        ({"shots": (Shot("s" * 61, "Number", "Square on."),)}, f"shots “{'s' * 61}” slug"),
    ],
    ids=["long zone", "shot with a space", "long shot"],
)
def test_a_name_that_no_row_could_hold_is_refused(change, key):
    assert keys_of(replace(FAMILY, **change)) == {key}


def test_a_shot_of_a_model_has_a_short_name_too():
    shots = (*MODEL.shots, Shot("Number plate", "Number", "Square on."))
    assert keys_of(replace(MODEL, shots=shots)) == {"shots “Number plate” slug"}


def test_a_zone_as_long_as_its_column_is_taken():
    assert keys_of(replace(FAMILY, zones=("z" * 60,))) == set()
