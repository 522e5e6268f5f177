"""Promises of the words for conditions: each has a label, and the order of severity holds."""

import pytest

from jobs.domain.condition import ArrivalGrade, CartonState, DamageKind, PackingFound, Severity


@pytest.mark.parametrize("words", [CartonState, PackingFound, DamageKind, Severity, ArrivalGrade])
def test_every_word_has_its_own_label(words):
    labels = [word.label for word in words]
    assert all(labels)
    assert len(set(labels)) == len(labels)


def test_severity_rises_and_hazard_comes_first():
    assert max(Severity) is Severity.HAZARD
    assert Severity.COSMETIC < Severity.MINOR < Severity.MAJOR < Severity.BEYOND_REPAIR


def test_scuffed_carton_is_not_a_damaged_carton():
    assert [state for state in CartonState if not state.damaged] == [
        CartonState.SOUND,
        CartonState.SCUFFED,
        CartonState.SMELLS_OF_FUEL,
    ]


def test_thin_packing_is_not_yet_inadequate():
    assert [found for found in PackingFound if not found.inadequate] == [
        PackingFound.SUSPENDED,
        PackingFound.THIN_SOMEWHERE,
    ]
