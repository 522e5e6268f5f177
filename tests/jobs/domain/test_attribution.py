"""Promises of attribution: "cannot tell" unless the evidence carries a cause, and never a word of blame."""

from dataclasses import replace
from itertools import product

import pytest

from jobs.domain.attribution import (
    BreakFace,
    Cause,
    DamageEvidence,
    EvidenceItem,
    PhotoBefore,
    attribute,
    score_evidence,
)
from jobs.domain.condition import CartonState, PackingFound, Severity

NOTHING = DamageEvidence(severity=Severity.MINOR, carton=CartonState.SOUND, packing=PackingFound.SUSPENDED)
TRANSIT = DamageEvidence(
    severity=Severity.MINOR,
    carton=CartonState.PANEL_CRUSHED,
    packing=PackingFound.THIN_SOMEWHERE,
    photo_before=PhotoBefore.SHOWS_SOUND,
    piece_or_dust_in_box=True,
    carton_mark_lines_up=True,
)


def test_nothing_known_is_cannot_tell():
    assert attribute(NOTHING).cause is Cause.CANNOT_TELL
    assert len(attribute(NOTHING).missing) == 3


def test_all_marks_of_a_blow_are_transit():
    assert attribute(TRANSIT).cause is Cause.IN_TRANSIT


@pytest.mark.parametrize(
    "lost",
    [
        {"photo_before": PhotoBefore.NONE},
        {"photo_before": PhotoBefore.UNCLEAR},
        {"piece_or_dust_in_box": False},
        {"carton_mark_lines_up": False},
        {"severity": Severity.MAJOR},
        {"severity": Severity.BEYOND_REPAIR},
    ],
)
def test_any_missing_piece_makes_transit_cannot_tell(lost):
    found = attribute(replace(TRANSIT, **lost))
    assert found.cause is Cause.CANNOT_TELL
    assert len(found.missing) == 1


def test_two_people_can_call_a_major_damage_transit():
    assert attribute(replace(TRANSIT, severity=Severity.MAJOR, people=2)).cause is Cause.IN_TRANSIT


def test_bright_break_helps_an_unclear_photo():
    unclear = replace(TRANSIT, photo_before=PhotoBefore.UNCLEAR, break_face=BreakFace.BRIGHT)
    assert attribute(unclear).cause is Cause.IN_TRANSIT


def test_poor_packing_in_a_sound_carton_is_told_apart():
    poor = replace(
        TRANSIT, carton=CartonState.SOUND, packing=PackingFound.LOOSE_OR_MOVED, carton_mark_lines_up=False
    )
    assert attribute(poor).cause is Cause.IN_TRANSIT_POORLY_PACKED


@pytest.mark.parametrize(
    "sign",
    [
        {"photo_before": PhotoBefore.SHOWS_DAMAGE},
        {"break_face": BreakFace.DULL},
        {"sealant_over_it": True},
        {"worn_with_age": True},
        {"declared_by_customer": True},
    ],
)
def test_each_sign_of_age_alone_is_before_posting(sign):
    assert attribute(replace(NOTHING, **sign)).cause is Cause.BEFORE_POSTING


def test_evidence_that_contradicts_itself_is_cannot_tell():
    assert attribute(replace(TRANSIT, break_face=BreakFace.DULL)).cause is Cause.CANNOT_TELL


def test_seen_sound_on_arrival_is_ours():
    assert attribute(replace(TRANSIT, sound_in_arrival_photos=True)).cause is Cause.AT_THIS_SHOP


def test_no_photo_of_the_zone_is_never_transit():
    causes = {
        attribute(
            DamageEvidence(
                severity=Severity.MINOR,
                carton=carton,
                packing=packing,
                break_face=break_face,
                piece_or_dust_in_box=piece,
                carton_mark_lines_up=mark,
                people=2,
            )
        ).cause
        for carton, packing, break_face, piece, mark in product(
            CartonState, PackingFound, BreakFace, [True, False], [True, False]
        )
    }
    assert causes == {Cause.CANNOT_TELL, Cause.BEFORE_POSTING}


def test_under_six_of_eight_asks_before_the_unit_leaves_the_bench():
    held = list(EvidenceItem)[:5]
    score = score_evidence(held)
    assert score.points == 5
    assert "Before it leaves the unpacking bench" in score.sentence
    assert score.missing[0].label in score.sentence


def test_six_of_eight_let_the_unit_go_and_ask_for_more():
    assert score_evidence(list(EvidenceItem)[:6]).sentence.startswith("6 of 8. Better still, add ")


def test_all_eight_ask_for_nothing():
    score = score_evidence([*EvidenceItem, EvidenceItem.LABEL])
    assert (score.points, score.missing) == (8, ())
