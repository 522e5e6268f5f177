"""A number of which only a part can be read: found, told from a whole one, and only ever asked about."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packing.catalogue.schema import NumberKind
from packing.identify.match import Decision, identify
from packing.identify.parts import Place, part_fits
from tests.packing.identify.examples import GEARBOX, WORKED_LIST, unit_model, worked_models

ONE = [unit_model("one", "KV4081B")]


@pytest.mark.parametrize(
    ("read", "reason"),
    [
        ("KV40", "KV4081B begins like what you read."),
        ("4081B", "KV4081B ends like what you read."),
        ("081B", "KV4081B ends like what you read."),
        ("O81B", "KV4081B ends like what you read, if O is read as 0."),
        ("408", "KV4081B has what you read in it."),
        ("KV4?8?", "KV4081B begins like what you read. The characters you could not read would be 0 and 1."),
    ],
)
def test_a_part_finds_its_number_and_says_where_it_stands(read, reason):
    found = identify(read, models=ONE)
    assert found.decision is Decision.ASK
    assert [candidate.reason for candidate in found.candidates] == [reason]
    assert found.reason.startswith(reason)


@given(st.data())
def test_a_part_of_a_number_is_asked_about_with_that_number_shown_and_never_proposed(data):
    number = data.draw(st.sampled_from(WORKED_LIST))
    start = data.draw(st.integers(0, 4))
    part = number[start : data.draw(st.integers(start + 3, 7 if start else 5))]
    found = identify(part, models=worked_models(), traits={"gearbox": "hand"})
    assert found.decision is Decision.ASK
    assert number in {candidate.number for candidate in found.candidates}


def test_an_answer_that_rules_the_others_out_proposes_no_part():
    models = [
        unit_model("one", "KV4081B", gearbox="hand"),
        unit_model("two", "KV4087B", gearbox="automatic"),
    ]
    asked = identify("KV40", models=models, questions=[GEARBOX])
    assert asked.question == GEARBOX
    assert asked.reason == "KV40 may be a part of KV4081B and KV4087B. Read more of it, or answer a question."
    answered = identify("KV40", models=models, traits={"gearbox": "hand"}, questions=[GEARBOX])
    assert answered.decision is Decision.ASK
    assert answered.reason.endswith("Read more of it, or compare the unit with them.")
    assert answered.candidates[0].model == "one"
    assert answered.candidates[1].against


def test_a_whole_number_comes_before_one_it_is_a_part_of():
    found = identify("4081B", models=[*ONE, unit_model("two", "4081-B")])
    assert found.proposed.model == "two"
    assert len(found.candidates) == 1


def test_a_part_of_a_date_code_names_no_unit():
    models = [unit_model("one", (NumberKind.DATE, "D1651"))]
    assert identify("D165", models=models).decision is Decision.UNKNOWN


@pytest.mark.parametrize("read", ["K4", "B", "?4?8"])
def test_fewer_than_three_signs_are_too_little_to_look_up(read):
    found = identify(read, models=ONE)
    assert found.decision is Decision.UNKNOWN
    assert "at least 3 characters" in found.reason


@pytest.mark.parametrize("read", ["KX40", "9081B", "KV4X8?", "O8I8"])
def test_what_differs_by_more_than_wear_is_no_part(read):
    assert part_fits(read, stamped=["KV4081B"]) == {}


def test_the_place_that_fits_best_is_taken():
    assert part_fits("081", stamped=["O81081"])["O81081"].place is Place.END


def test_signs_that_could_not_be_read_are_named_in_one_sentence():
    (candidate,) = identify("KV4?8?B", models=ONE).candidates
    assert candidate.reason == "The characters you could not read would be 0 and 1."
    (candidate,) = identify("KV4?81B", models=ONE).candidates
    assert candidate.reason == "The character you could not read would be 0."


def test_where_two_fit_the_reason_names_the_number_it_is_about():
    found = identify("KV4?8?B", models=[*ONE, unit_model("two", "KV4087B")])
    assert found.reason == (
        "KV4081B and KV4087B fit equally. For KV4081B: the characters you could not read would be 0 and 1."
    )
