"""The lifecycle table as a graph, and random walks over it."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.domain import facts as f
from jobs.domain.actors import Actor
from jobs.domain.errors import IllegalTransition
from jobs.domain.lifecycle import TRANSITIONS, allowed_events, next_stage
from jobs.domain.log import JobLog
from jobs.domain.replay import replay
from jobs.domain.stages import (
    ENDED,
    EVENT_LABELS,
    OPEN_STAGES,
    STAGE_LABELS,
    EventKind,
    HoldKind,
    Role,
    Stage,
    Turn,
)
from jobs.domain.undoing import last_undoable

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
EVERY_FACT = {
    f.NoFacts: f.NoFacts(),
    f.BookingSent: f.BookingSent(),
    f.BoxRecorded: f.BoxRecorded(),
    f.Words: f.Words(text="why"),
    f.Drained: f.Drained(drained_at=START),
    f.SmellChecked: f.SmellChecked(smells=False),
    f.Sent: f.Sent(on=START.date()),
    f.ReturnedUnrepaired: f.ReturnedUnrepaired(on=START.date(), reason="cracked"),
    f.Arrived: f.Arrived(carton_state="sound", packing_found="suspended"),
    f.Matched: f.Matched(box_job_number="1", booking_job_number="2"),
    f.Inspected: f.Inspected(grade="complete", number_read="KV4081B"),
    f.BenchWork: f.BenchWork(step="strip"),
    f.Finding: f.Finding(text="worn spindle", severity=2),
    f.ExtraWorkRef: f.ExtraWorkRef(extra_work=1, price_pence=4000, added_work_days=2),
    f.PartUsed: f.PartUsed(part="needle valve"),
    f.SettingsRecorded: f.SettingsRecorded(as_found={"float": "12 mm"}, as_left={"float": "11 mm"}),
    f.ReadingsRecorded: f.ReadingsRecorded(readings={"flow": 1.0}, passed=True),
    f.Held: f.Held(hold=HoldKind.PARTS, reason="needle valve"),
    f.TurnChanged: f.TurnChanged(turn=Turn.FIRST, reason="wedding on Saturday"),
    f.SignedOff: f.SignedOff(tested_by="a", signed_by="b"),
    f.Promise: f.Promise(earliest_on=START.date(), likely_on=START.date(), latest_on=START.date()),
    f.LinksRenewed: f.LinksRenewed(reason="lost", closed=2, is_mailed=True, is_address_changed=False),
    f.PhotoWithdrawn: f.PhotoWithdrawn(photo="0" * 32, shows="Label", reason="another unit"),
    f.Corrected: f.Corrected(corrects=1, reason="wrong job"),
}


def facts_for(kind, log):
    if kind is EventKind.CORRECTED:
        last = last_undoable(log.entries)
        return f.Corrected(corrects=last.number if last else 1, reason="wrong job")
    return EVERY_FACT[f.FACTS[kind]]


def record(log, kind, *, role=Role.OWNER):
    return log.record(
        kind,
        facts=facts_for(kind, log),
        actor=Actor(role=role, name="somebody"),
        happened_at=START + timedelta(hours=len(log.entries)),
    )


def walk(*kinds):
    log = JobLog()
    for kind in kinds:
        record(log, kind)
    return log


def test_every_kind_of_event_has_a_row_facts_and_a_label():
    assert set(TRANSITIONS) == set(EventKind) == set(f.FACTS) == set(EVENT_LABELS)


def test_every_stage_has_a_label():
    assert set(STAGE_LABELS) == set(Stage)


def test_every_stage_can_be_reached_from_the_start():
    reached = {row.target for row in TRANSITIONS.values() if None in row.sources}
    while True:
        further = {
            row.target for row in TRANSITIONS.values() if row.target and row.sources & reached
        } - reached
        if not further:
            break
        reached |= further
    assert reached == set(Stage)


@pytest.mark.parametrize("stage", sorted(OPEN_STAGES))
def test_an_open_stage_leads_to_an_end(stage):
    reached = {stage}
    while not reached & ENDED:
        further = {row.target for row in TRANSITIONS.values() if row.target and row.sources & reached}
        assert further - reached
        reached |= further


@pytest.mark.parametrize("stage", sorted(ENDED))
def test_nothing_moves_an_ended_job(stage):
    moving = [kind for kind, row in TRANSITIONS.items() if stage in row.sources and row.target]
    assert moving == []


def test_a_customer_never_records_work_at_the_bench():
    kinds = {kind for stage in Stage for kind in allowed_events(stage, role=Role.CUSTOMER, hold=None)}
    assert kinds == {
        EventKind.QUESTION_ANSWERED,
        EventKind.CANCELLED,
        EventKind.DRAINED,
        EventKind.SMELL_CHECKED,
        EventKind.POSTED,
        EventKind.TRACKING_ADDED,
        EventKind.EXTRA_WORK_APPROVED,
        EventKind.EXTRA_WORK_DECLINED,
        EventKind.RELEASED,
        EventKind.CLOSED,
        EventKind.DETAILS_CHANGED,
        EventKind.NOTE_ADDED,
    }


@pytest.mark.parametrize("stage", [None, *Stage])
@pytest.mark.parametrize("role", list(Role))
def test_the_buttons_offer_exactly_what_the_table_accepts(stage, role):
    offered = set(allowed_events(stage, role=role, hold=None))
    accepted = set()
    for kind in EventKind:
        try:
            next_stage(stage, kind=kind, role=role, hold=None)
        except IllegalTransition:
            continue
        accepted.add(kind)
    assert offered == accepted


def test_a_hold_for_parts_stops_the_bench():
    log = walk(EventKind.BOX_RECORDED, EventKind.INSPECTED, EventKind.HELD)
    with pytest.raises(IllegalTransition, match="on hold"):
        record(log, EventKind.STRIPPED)


def test_a_hold_for_payment_stops_only_the_sending_back():
    assert EventKind.STRIPPED in allowed_events(Stage.INSPECTED, role=Role.WORKSHOP, hold=HoldKind.PAYMENT)
    assert EventKind.SENT_BACK not in allowed_events(Stage.PACKED, role=Role.WORKSHOP, hold=HoldKind.PAYMENT)


def turn(log, place):
    log.record(
        EventKind.TURN_CHANGED,
        facts=f.TurnChanged(place, reason=f"to be {place}"),
        actor=Actor(role=Role.WORKSHOP, name="somebody"),
        happened_at=START + timedelta(hours=len(log.entries)),
    )


def test_a_job_put_first_stays_so_over_its_steps_until_it_is_put_back():
    log = walk(EventKind.BOX_RECORDED)
    assert log.state.turn is Turn.IN_TURN
    turn(log, Turn.FIRST)
    record(log, EventKind.INSPECTED)
    record(log, EventKind.HELD)
    assert (log.state.turn, log.state.turn_reason) == (Turn.FIRST, "to be first")
    assert log.state.stage is Stage.INSPECTED
    turn(log, Turn.IN_TURN)
    assert (log.state.turn, log.state.turn_reason) == (Turn.IN_TURN, "to be in_turn")
    assert replay(log.entries) == log.state


def test_putting_a_job_first_is_the_shops_while_the_unit_may_still_wait_for_a_bench():
    places = {stage for stage in Stage if EventKind.TURN_CHANGED in offered(stage, Role.WORKSHOP)}
    assert places == {stage for stage in Stage if EventKind.TURN_CHANGED in offered(stage, Role.OWNER)}
    assert places == OPEN_STAGES - {Stage.PACKED, Stage.SENT_BACK}
    for role in (Role.CUSTOMER, Role.SYSTEM):
        assert not any(EventKind.TURN_CHANGED in offered(stage, role) for stage in Stage)


def offered(stage, role):
    return allowed_events(stage, role=role, hold=None)


def test_a_failed_test_asks_for_assembly_and_test_again():
    log = walk(
        EventKind.BOX_RECORDED,
        EventKind.INSPECTED,
        EventKind.STRIPPED,
        EventKind.CLEANED,
        EventKind.ASSEMBLED,
        EventKind.TEST_FAILED,
    )
    assert log.state.stage is Stage.STRIPPED
    assert log.state.done_steps == ("strip", "clean")


def test_taking_back_the_last_step_restores_the_stage_before_it():
    log = walk(EventKind.BOX_RECORDED, EventKind.INSPECTED, EventKind.STRIPPED)
    record(log, EventKind.CORRECTED)
    assert log.state.stage is Stage.INSPECTED
    assert log.state.done_steps == ()


def test_an_earlier_step_than_the_last_is_not_taken_back():
    log = walk(EventKind.BOX_RECORDED, EventKind.INSPECTED, EventKind.STRIPPED)
    with pytest.raises(IllegalTransition, match="last step"):
        log.record(
            EventKind.CORRECTED,
            facts=f.Corrected(corrects=2, reason="no"),
            actor=Actor(role=Role.OWNER, name="somebody"),
            happened_at=START,
        )


def test_facts_of_another_kind_are_refused():
    with pytest.raises(TypeError):
        JobLog().record(
            EventKind.BOX_RECORDED,
            facts=f.NoFacts(),
            actor=Actor(role=Role.OWNER, name="somebody"),
            happened_at=START,
        )


KINDS = st.lists(st.sampled_from(list(EventKind)), max_size=40)
ROLES = st.sampled_from(list(Role))


@settings(max_examples=300, deadline=None)
@given(KINDS, ROLES)
def test_any_sequence_of_attempts_replays_to_what_was_kept(kinds, role):
    log = JobLog()
    kept = 0
    for kind in [EventKind.BOX_RECORDED, *kinds]:
        try:
            record(log, kind, role=role if log.entries else Role.OWNER)
        except IllegalTransition:
            continue
        kept += 1
    again = replay(log.entries)
    assert again == log.state
    assert again.event_count == kept == len(log.entries)
    assert again.stage in set(Stage)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.integers(min_value=0, max_value=10_000), min_size=1, max_size=40))
def test_only_legal_steps_are_ever_in_the_log(choices):
    log = JobLog()
    for choice in choices:
        possible = allowed_events(log.state.stage, role=Role.OWNER, hold=log.state.hold)
        kind = possible[choice % len(possible)]
        before = log.state.stage
        if kind is EventKind.CORRECTED and last_undoable(log.entries) is None:
            continue
        record(log, kind)
        row = TRANSITIONS[kind]
        assert before in row.sources
        if row.target is not None and kind is not EventKind.CORRECTED:
            assert log.state.stage is row.target
