"""Promises of identify: propose only what is clear, ask about the rest, never correct."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packing.catalogue.schema import NumberKind
from packing.identify.match import Decision, identify
from packing.plain import from_plain, to_plain
from tests.packing.identify.examples import GEARBOX, UNIONS, unit_model, worked_models

MODELS = worked_models()


def test_what_was_read_is_never_changed():
    found = identify(" kv4O8IB ", models=MODELS)
    assert found.read.raw == " kv4O8IB "
    assert found.read.compact == "KV4O8IB"
    assert found.candidates[0].number == "KV4081B"


def test_reason_says_which_characters():
    found = identify("KV4O8IB", models=MODELS)
    assert found.reason == "Fits if O is read as 0 and I as 1. A photo of the number confirms it."


def test_exact_reading_says_so():
    assert (
        identify("RX-77", models=[unit_model("rx", "RX77")]).candidates[0].reason
        == "Reads exactly as stamped."
    )


def test_missing_character_is_asked_with_the_splitting_question():
    models = [
        unit_model("one", "KV4081B", gearbox="hand"),
        unit_model("two", "KV4087B", gearbox="automatic"),
    ]
    found = identify("KV408B", models=models, questions=[UNIONS, GEARBOX])
    assert found.decision is Decision.ASK
    assert found.question == GEARBOX
    assert "fit equally" in found.reason


def test_an_answer_that_rules_out_the_rival_lets_it_be_proposed():
    models = [
        unit_model("one", "KV4081B", gearbox="hand"),
        unit_model("two", "KV4087B", gearbox="automatic"),
    ]
    found = identify("KV408B", models=models, traits={"gearbox": "Automatic"}, questions=[GEARBOX])
    assert found.proposed.model == "two"
    assert found.reason.startswith("One character may be missing (7).")
    assert {candidate.model for candidate in found.candidates} == {"one", "two"}


def test_an_answer_that_all_share_proves_nothing():
    models = [unit_model("one", "KV4081B", gearbox="hand")]
    found = identify("KV408B", models=models, traits={"gearbox": "hand"}, questions=[GEARBOX])
    assert found.decision is Decision.ASK
    assert "too far off" in found.reason


def test_cannot_tell_is_not_asked_again():
    models = [
        unit_model("one", "KV4081B", gearbox="hand", unions="1"),
        unit_model("two", "KV4087B", gearbox="automatic", unions="2"),
    ]
    found = identify("KV408B", models=models, traits={"gearbox": ""}, questions=[GEARBOX, UNIONS])
    assert found.question == UNIONS


def test_number_that_contradicts_an_answer_is_asked_not_proposed():
    models = [unit_model("one", "KV4081B", gearbox="hand"), unit_model("two", "KV4031B", gearbox="automatic")]
    found = identify("KV4081B", models=models, traits={"gearbox": "automatic"}, questions=[GEARBOX])
    assert found.decision is Decision.ASK
    assert "another unit" in found.reason
    assert found.candidates[0].against == ("you answered “automatic” where this model has “hand”",)


def test_casting_number_shared_by_models_is_asked():
    shared = (NumberKind.CASTING, "C-5512")
    models = [unit_model("one", "KV4081B", shared), unit_model("two", "KV9999Z", shared)]
    found = identify("C5512", models=models)
    assert found.decision is Decision.ASK
    assert "casting number shared by Tolvane one and Tolvane two" in found.reason


def test_casting_number_carries_a_warning():
    found = identify("C5512", models=[unit_model("one", (NumberKind.CASTING, "C-5512"))])
    assert "casting number may be shared" in found.reason


def test_number_called_by_the_wrong_kind_is_still_found():
    found = identify(
        "C5512", models=[unit_model("one", (NumberKind.CASTING, "C-5512"))], kind=NumberKind.LIST
    )
    assert "You called it a list number; we know it as a casting number." in found.candidates[0].reason


def test_two_numbers_of_one_model_do_not_rival_each_other():
    found = identify("KV4081B", models=[unit_model("one", "KV4081B", (NumberKind.TAG, "KV4081D"))])
    assert found.decision is Decision.PROPOSE
    assert len(found.candidates) == 1


def test_unreadable_character_is_asked_when_two_fit():
    found = identify("KV40?1B", models=MODELS)
    assert found.decision is Decision.ASK
    assert {candidate.model for candidate in found.candidates[:2]} == {"kv4081b", "kv4031b"}


def test_unreadable_character_is_proposed_when_one_fits():
    found = identify("KV4?87B", models=[unit_model("one", "KV4087B"), unit_model("two", "RX1202C")])
    assert found.decision is Decision.PROPOSE
    assert "you could not read would be 0" in found.reason


def test_whole_plate_copied_down_is_asked_about():
    found = identify("Tolvane No. KV4081B made 1961", models=MODELS)
    assert found.decision is Decision.ASK
    assert found.candidates[0].model == "kv4081b"
    assert "stands within what was typed" in found.candidates[0].reason


@pytest.mark.parametrize(
    "read", ["", "   ", "---", "🙂🙂🙂", "A" * 200, "????", "ZZ99ZZ99", "1", "KV", "\x00\u202e", "K4"]
)
def test_nothing_to_go_by_is_unknown_with_a_sentence(read):
    found = identify(read, models=MODELS)
    assert found.decision is Decision.UNKNOWN
    assert found.candidates == ()
    assert 20 < len(found.reason) < 140
    assert found.reason.endswith(".")


def test_date_code_is_not_matched():
    models = [unit_model("one", (NumberKind.DATE, "D165"))]
    assert identify("D165", models=models).decision is Decision.UNKNOWN
    assert "when a unit was made" in identify("D165", models=models, kind=NumberKind.DATE).reason


def test_short_number_is_taken_only_as_it_stands():
    models = [unit_model("one", "5B")]
    assert identify("5B", models=models).decision is Decision.PROPOSE
    assert identify("S8", models=models).decision is Decision.UNKNOWN


def test_no_models_is_unknown():
    assert identify("KV4081B", models=[]).decision is Decision.UNKNOWN


@given(read=st.text(max_size=50))
def test_any_text_gets_a_sentence(read):
    found = identify(read, models=MODELS)
    assert found.reason.endswith(".")
    assert (found.decision is Decision.UNKNOWN) == (not found.candidates)


@given(read=st.text(alphabet="KVW0123478BEOI", min_size=5, max_size=9))
def test_a_proposal_is_always_near_and_alone(read):
    found = identify(read, models=MODELS)
    best, *others = [*found.candidates, None][:-1] or [None]
    alone = all(other.distance_tenths - best.distance_tenths >= 4 for other in others)
    assert (found.decision is Decision.PROPOSE) == (best is not None and best.distance_tenths <= 6 and alone)


def test_identification_survives_json():
    found = identify("KV408B", models=MODELS)
    assert from_plain(type(found), to_plain(found)) == found


def test_the_nearest_of_five_hundred_models_comes_first():
    models = [
        unit_model(
            f"m{at}", f"KV{at:04d}B", (NumberKind.CASTING, f"C{at % 50:04d}"), (NumberKind.TAG, f"T{at:05d}")
        )
        for at in range(500)
    ]
    found = identify("KVO12IB", models=models)
    assert found.candidates[0].number == "KV0121B"


def test_many_equal_fits_are_counted_not_listed():
    models = [unit_model(f"m{at}", f"KV40{at}1B") for at in range(10)]
    found = identify("KV40?1B", models=models)
    assert "KV4001B, KV4011B, KV4021B, KV4031B and 6 more fit equally" in found.reason
