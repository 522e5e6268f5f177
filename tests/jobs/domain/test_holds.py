"""Holds folded from events: one ends at its release, is interrupted by another, or is still open."""

from datetime import UTC, datetime, timedelta

import pytest

from jobs.domain.holds import HoldSpan, fold_holds
from jobs.domain.stages import EventKind, HoldKind

E = EventKind
MONDAY = datetime(2026, 3, 23, 9, 0, tzinfo=UTC)


def held(hold, hours):
    return E.HELD, {"hold": hold.value, "reason": "It waits."}, MONDAY + timedelta(hours=hours)


def released(hours):
    return E.RELEASED, {}, MONDAY + timedelta(hours=hours)


def spans(*told):
    def hours(moment):
        return None if moment is None else (moment - MONDAY) / timedelta(hours=1)

    return [(span.kind, hours(span.began_at), hours(span.ended_at)) for span in fold_holds(told)]


def test_a_hold_lasts_until_its_release():
    assert spans(held(HoldKind.PARTS, 1), released(5)) == [(HoldKind.PARTS, 1, 5)]


def test_a_hold_that_another_interrupts_goes_on_at_the_release():
    assert spans(held(HoldKind.PAYMENT, 1), held(HoldKind.ANSWER, 3), released(9), released(12)) == [
        (HoldKind.PAYMENT, 1, 3),
        (HoldKind.ANSWER, 3, 9),
        (HoldKind.PAYMENT, 9, 12),
    ]


def test_a_hold_for_the_same_ends_the_one_before_it():
    assert spans(held(HoldKind.ANSWER, 1), held(HoldKind.ANSWER, 3), released(9)) == [
        (HoldKind.ANSWER, 1, 3),
        (HoldKind.ANSWER, 3, 9),
    ]


@pytest.mark.parametrize("ended", [E.RETURNED_UNREPAIRED, E.MERGED])
def test_an_ended_job_waits_for_nothing(ended):
    gone = (ended, {}, MONDAY + timedelta(hours=7))
    assert spans(held(HoldKind.PAYMENT, 1), held(HoldKind.ANSWER, 3), gone) == [
        (HoldKind.PAYMENT, 1, 3),
        (HoldKind.ANSWER, 3, 7),
    ]


def test_the_last_hold_is_open():
    assert spans(held(HoldKind.ANSWER, 1), released(2), held(HoldKind.PAYMENT, 4)) == [
        (HoldKind.ANSWER, 1, 2),
        (HoldKind.PAYMENT, 4, None),
    ]


@pytest.mark.parametrize("told", [(), (released(1),), ((E.PACKED, {}, MONDAY),)])
def test_what_is_no_hold_leaves_none(told):
    assert fold_holds(told) == ()


def test_other_events_between_change_nothing():
    work = (E.WORK_PAUSED, {}, MONDAY + timedelta(hours=2))
    assert fold_holds((held(HoldKind.PARTS, 1), work, released(3))) == (
        HoldSpan(HoldKind.PARTS, MONDAY + timedelta(hours=1), MONDAY + timedelta(hours=3)),
    )
