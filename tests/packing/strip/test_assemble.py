"""Promises of the strip list: its order, what overrules what, and what no list may lack."""

from dataclasses import replace

import pytest

from packing.catalogue.schema import StripAction
from packing.errors import CatalogueError, UnknownEntry
from packing.plain import from_plain, to_plain
from packing.strip.assemble import ORDER, StripFlag, assemble_strip_list, family_strip_list
from packing.strip.safety import DEFERRAL, forbidden_words
from packing.strip.strip_list import StripList
from tests.packing.strip.examples import LEVER, diesel_family, family, magneto_family, step, unit_model

EVERY_FAMILY = [family(), magneto_family(), diesel_family(ports_capped=False)]


def test_steps_stand_in_the_order_they_are_done():
    steps = [step(action.value, action) for action in reversed(StripAction)]
    listed = assemble_strip_list(unit_model(*steps), family=family(ports_capped=True))
    positions = [ORDER.index(item.action) for item in listed.items]
    assert positions == sorted(positions)
    assert set(positions) == set(range(len(ORDER)))


def test_what_is_in_the_way_of_turning_the_unit_comes_off_before_it_is_drained():
    listed = assemble_strip_list(unit_model(step("take_cleaner", "take_off")), family=family())
    slugs = [item.slug for item in listed.items]
    assert slugs.index("take_cleaner") < slugs.index("drain")


def test_what_lets_fuel_run_out_comes_off_only_once_it_is_empty():
    bowl = replace(step("take_bowl", "take_off"), once_empty=True)
    listed = assemble_strip_list(unit_model(bowl, step("take_cleaner", "take_off")), family=family())
    slugs = [item.slug for item in listed.items]
    assert slugs.index("take_cleaner") < slugs.index("smell_on_posting_day") < slugs.index("take_bowl")


def test_the_models_own_draining_comes_before_the_airing_of_the_family():
    shared = family(strip_steps=(step("drain_and_air", "drain"),))
    listed = assemble_strip_list(unit_model(step("bowl_plug", "drain")), family=shared)
    drains = [item.slug for item in listed.only(StripAction.DRAIN)]
    assert drains[drains.index("bowl_plug") + 1] == "drain_and_air"


def test_what_holds_for_all_draining_stands_before_the_models_own_draining_opens_anything():
    shared = family(strip_steps=(step("drain_and_air", "drain"),))
    listed = assemble_strip_list(unit_model(step("bowl_plug", "drain")), family=shared)
    first, *_ = listed.only(StripAction.DRAIN)
    assert first.slug == "before_draining"
    assert all(words in first.instruction for words in ("outdoors", "engine cold", "battery off", "gloves"))


def test_without_draining_of_its_own_a_model_has_the_familys_words_only():
    shared = family(strip_steps=(step("drain_and_air", "drain"),))
    replaced = assemble_strip_list(unit_model(step("drain_and_air", "drain")), family=shared)
    dry = assemble_strip_list(unit_model(step("oil", "drain"), family="magneto"), family=magneto_family())
    for listed in (family_strip_list(shared), replaced, dry):
        assert "before_draining" not in {item.slug for item in listed.items}


def test_family_steps_come_before_the_models_own():
    shared = family(strip_steps=(step("shared", "take_off"),))
    listed = assemble_strip_list(unit_model(step("own", "take_off")), family=shared)
    assert [item.slug for item in listed.only(StripAction.TAKE_OFF)] == ["shared", "own"]


def test_model_step_replaces_the_family_step_of_the_same_slug():
    shared = family(strip_steps=(step("choke", "take_off", "Take it off."),))
    listed = assemble_strip_list(unit_model(step("choke", "leave_on", "Leave it on.")), family=shared)
    assert [item.instruction for item in listed.items if item.slug == "choke"] == ["Leave it on."]


def test_fuel_unit_is_always_drained_aired_and_smelled():
    drains = [item.slug for item in family_strip_list(family()).only(StripAction.DRAIN)]
    assert drains == ["drain", "stand_in_air", "smell_on_posting_day"]


def test_the_owners_drain_step_is_kept_and_the_smell_test_added():
    own = family(strip_steps=(step("drain_and_air", "drain"),))
    assert [item.slug for item in family_strip_list(own).only(StripAction.DRAIN)] == [
        "drain_and_air",
        "smell_on_posting_day",
    ]


def test_airing_step_names_the_familys_hours():
    [_, airing, _] = family_strip_list(family(air_hours=72.0)).only(StripAction.DRAIN)
    assert "at least 72 hours" in airing.instruction


def test_dry_unit_is_not_drained():
    assert family_strip_list(magneto_family()).only(StripAction.DRAIN) == ()


@pytest.mark.parametrize("shared", [diesel_family(), diesel_family(ports_capped=False, slug="diesel_lift")])
def test_diesel_unit_is_always_capped_right_after_draining(shared):
    listed = family_strip_list(shared)
    assert [item.slug for item in listed.only(StripAction.CAP)] == ["cap_every_port"]
    assert listed.items[listed.items.index(listed.only(StripAction.CAP)[0]) - 1].action is StripAction.DRAIN


def test_the_owners_cap_step_is_not_doubled():
    shared = diesel_family(strip_steps=(step("own_caps", "cap", "Cap every port with a clean cap."),))
    assert [item.slug for item in family_strip_list(shared).only(StripAction.CAP)] == ["own_caps"]


def test_projection_counted_as_off_gets_a_step():
    listed = assemble_strip_list(unit_model(projections=[LEVER]), family=family())
    [item] = listed.only(StripAction.TAKE_OFF)
    assert (item.slug, item.part) == ("take_off_choke_lever", "Choke lever")
    assert "38 mm" in item.why


def test_projection_with_a_step_of_its_own_is_not_doubled():
    own = step("choke", "take_off", projection="choke_lever")
    listed = assemble_strip_list(unit_model(own, projections=[LEVER]), family=family())
    assert [item.slug for item in listed.only(StripAction.TAKE_OFF)] == ["choke"]


def test_symptoms_ask_for_a_photo_by_their_labels():
    listed = family_strip_list(family(), symptoms=["leaks"])
    [fault] = [item for item in listed.items if item.slug == "photograph_the_fault"]
    assert "Leaks fuel" in fault.instruction
    assert "Hunts" not in fault.instruction


def test_unticked_symptoms_add_nothing():
    assert "photograph_the_fault" not in {item.slug for item in family_strip_list(family()).items}


@pytest.mark.parametrize("flag", list(StripFlag))
def test_each_flag_adds_one_step(flag):
    with_flag = family_strip_list(family(), flags=[flag.value])
    assert len(with_flag.items) == len(family_strip_list(family()).items) + 1


def test_unknown_flag_is_refused_by_name():
    with pytest.raises(UnknownEntry, match="“boiled” is not known"):
        family_strip_list(family(), flags=["boiled"])


def test_model_of_another_family_is_refused():
    with pytest.raises(CatalogueError, match="belongs to magneto"):
        assemble_strip_list(unit_model(family="magneto"), family=family())


def test_slugs_are_never_doubled():
    listed = assemble_strip_list(
        unit_model(step("drain", "drain"), step("smell_on_posting_day", "drain")), family=family()
    )
    slugs = [item.slug for item in listed.items]
    assert len(slugs) == len(set(slugs))


@pytest.mark.parametrize("shared", EVERY_FAMILY)
def test_own_wording_passes_the_rule_check(shared):
    listed = family_strip_list(shared, symptoms=["leaks"], flags=[flag.value for flag in StripFlag])
    assert forbidden_words(listed) == ()


@pytest.mark.parametrize("shared", EVERY_FAMILY)
def test_every_step_has_its_reason(shared):
    listed = family_strip_list(shared, flags=[flag.value for flag in StripFlag])
    assert all(item.why and item.instruction and item.part for item in listed.items)


def test_cautions_travel_with_the_list():
    cautions = family_strip_list(family()).cautions
    assert len(cautions) >= 4
    assert all(caution.endswith(DEFERRAL) for caution in cautions)


def test_frozen_list_survives_json():
    listed = assemble_strip_list(
        unit_model(projections=[LEVER]), family=family(), symptoms=["leaks"], flags=["broken"]
    )
    assert from_plain(StripList, to_plain(listed)) == listed
