"""Promises of the splitting question: the one that leaves fewest models, never one already answered."""

from packing.identify.questions import answers_against, answers_for, best_question
from tests.packing.identify.examples import GEARBOX, UNIONS, unit_model

FOUR = [
    unit_model("a", "A1", gearbox="hand", unions="1"),
    unit_model("b", "B1", gearbox="hand", unions="2"),
    unit_model("c", "C1", gearbox="automatic", unions="2"),
    unit_model("d", "D1", gearbox="hand", unions="3"),
]


def test_the_question_that_leaves_fewest_models_is_asked():
    assert best_question(FOUR, questions=[GEARBOX, UNIONS], answered={}) == UNIONS


def test_answered_question_is_not_asked_again():
    assert best_question(FOUR, questions=[GEARBOX, UNIONS], answered={"unions": ""}) == GEARBOX


def test_question_with_one_answer_for_all_is_no_use():
    assert best_question(FOUR[:2], questions=[GEARBOX], answered={}) is None


def test_question_without_recorded_answers_is_no_use():
    assert (
        best_question([unit_model("a", "A1"), unit_model("b", "B1")], questions=[UNIONS], answered={}) is None
    )


def test_models_without_an_answer_stay_in():
    half_known = [FOUR[0], FOUR[1], unit_model("x", "X1"), unit_model("y", "Y1", gearbox="automatic")]
    # unions splits 1 | 2 with two unknown (3 left); gearbox hand hand | automatic, one unknown (8/3 left)
    assert best_question(half_known, questions=[UNIONS, GEARBOX], answered={}) == GEARBOX


def test_unrecorded_trait_is_never_held_against_a_model():
    assert answers_against(unit_model("a", "A1"), traits={"gearbox": "hand"}) == ()


def test_answers_are_compared_without_case_or_blanks():
    assert answers_against(FOUR[0], traits={"gearbox": " Hand "}) == ()
    assert answers_for(FOUR[0], traits={"gearbox": " Hand ", "unions": "2"}) == 1
