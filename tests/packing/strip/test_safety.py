"""Promises of the gate, the goods flags and the wording check."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packing.catalogue.schema import StripAction
from packing.errors import OutOfRange
from packing.parcel.unit import Leg
from packing.strip.assemble import family_strip_list
from packing.strip.gate import GateState, NaiveMoment, describe_smell, gate, needs_gate
from packing.strip.safety import DEFERRAL, GoodsKind, cautions, forbidden_words, goods_flags
from packing.strip.strip_list import StripItem
from tests.packing.strip.examples import diesel_family, family, magneto_family, step

LONDON = ZoneInfo("Europe/London")
NOW = datetime(2026, 3, 10, 12, 0, tzinfo=LONDON)


def answer(**changes):
    """Return the gate's answer for a unit drained two days ago and smelled an hour ago, with changes."""
    facts = {
        "drained_at": NOW - timedelta(days=2),
        "smell_checked_at": NOW - timedelta(hours=1),
        "smells": False,
        "air_hours": 24.0,
        "now": NOW,
    }
    return gate(**(facts | changes))


def test_drained_aired_and_without_smell_today_may_be_posted():
    assert answer().state is GateState.OPEN
    assert answer().may_post


def test_not_drained_is_the_first_thing_asked():
    assert answer(drained_at=None).state is GateState.NOT_DRAINED


def test_draining_in_the_future_does_not_count():
    assert answer(drained_at=NOW + timedelta(minutes=1)).state is GateState.NOT_DRAINED


def test_airing_names_the_hour_it_ends():
    airing = answer(drained_at=datetime(2026, 3, 9, 20, 0, tzinfo=LONDON))
    assert airing.state is GateState.AIRING
    assert "20:00 on Tuesday 10 March 2026" in airing.sentence


@pytest.mark.parametrize(
    "checked_at",
    [None, NOW - timedelta(days=1), NOW + timedelta(minutes=1)],
    ids=["never", "yesterday", "in the future"],
)
def test_smell_test_counts_only_on_the_posting_day(checked_at):
    assert answer(smell_checked_at=checked_at).state is GateState.SMELL_TEST_DUE


def test_smell_test_before_the_airing_ended_does_not_count():
    due = answer(drained_at=NOW - timedelta(hours=24, minutes=30), smell_checked_at=NOW - timedelta(hours=1))
    assert due.state is GateState.SMELL_TEST_DUE


def test_smell_test_without_an_answer_does_not_count():
    assert answer(smells=None).state is GateState.SMELL_TEST_DUE


def test_posting_day_is_the_senders_own_date():
    checked_at = datetime(2026, 7, 10, 0, 30, tzinfo=LONDON)  # 9 July 23:30 in UTC
    evening = datetime(2026, 7, 10, 22, 0, tzinfo=LONDON)
    drained_at = evening - timedelta(days=3)
    local = gate(drained_at=drained_at, smell_checked_at=checked_at, smells=False, air_hours=24, now=evening)
    in_utc = gate(
        drained_at=drained_at,
        smell_checked_at=checked_at,
        smells=False,
        air_hours=24,
        now=evening.astimezone(UTC),
    )
    assert (local.state, in_utc.state) == (GateState.OPEN, GateState.SMELL_TEST_DUE)


def test_airing_counts_elapsed_hours_when_clocks_change():
    drained_at = datetime(2026, 3, 28, 20, 0, tzinfo=LONDON)  # clocks go forward at 01:00 on 29 March 2026
    airing = answer(drained_at=drained_at, now=datetime(2026, 3, 29, 20, 30, tzinfo=LONDON))
    assert airing.state is GateState.AIRING
    assert airing.opens_at == datetime(2026, 3, 29, 21, 0, tzinfo=LONDON)


def test_the_hour_that_runs_twice_is_not_counted_twice():
    drained_at = datetime(2026, 10, 24, 2, 30, tzinfo=LONDON)  # clocks go back at 02:00 on 25 October 2026
    first_pass = datetime(2026, 10, 25, 1, 45, fold=0, tzinfo=LONDON)
    airing = answer(drained_at=drained_at, now=first_pass)
    assert airing.state is GateState.AIRING
    assert airing.opens_at.fold == 1


@given(
    drained_hours=st.one_of(st.none(), st.floats(min_value=-5, max_value=200)),
    checked_hours=st.one_of(st.none(), st.floats(min_value=-5, max_value=200)),
    air_hours=st.floats(min_value=0, max_value=336),
)
def test_smell_closes_the_gate_whatever_else_is_ticked(drained_hours, checked_hours, air_hours):
    drained_at = None if drained_hours is None else NOW - timedelta(hours=drained_hours)
    checked_at = None if checked_hours is None else NOW - timedelta(hours=checked_hours)
    closed = answer(drained_at=drained_at, smell_checked_at=checked_at, smells=True, air_hours=air_hours)
    assert closed.state is GateState.SMELLS
    assert "cannot be posted" in closed.sentence


def smelled(*, at, **changes):
    """Return the gate's answer when the newest test with a smell was made at `at`."""
    return answer(**({"smelled_at": at, "drained_at": NOW - timedelta(days=9)} | changes))


def test_no_smell_a_minute_after_a_smell_opens_nothing():
    locked = smelled(at=NOW - timedelta(minutes=1), smell_checked_at=NOW)
    assert (locked.state, locked.may_post, locked.may_smell) == (GateState.SMELLS, False, False)
    assert "smell it again on Wednesday 11 March 2026" in locked.sentence
    assert locked.opens_at == datetime(2026, 3, 11, 0, 0, tzinfo=LONDON)


def test_a_smell_locks_until_the_local_day_ends_and_not_a_minute_longer():
    last_minute = datetime(2026, 7, 10, 23, 59, tzinfo=LONDON)  # 10 July 22:59 in UTC
    midnight = datetime(2026, 7, 11, 0, 0, tzinfo=LONDON)  # 10 July 23:00 in UTC
    facts = {"at": last_minute - timedelta(hours=9), "drained_at": last_minute - timedelta(days=9)}
    locked = smelled(**facts, smell_checked_at=last_minute, now=last_minute)
    due = smelled(**facts, smells=True, smell_checked_at=facts["at"], now=midnight)
    passed = smelled(**facts, smell_checked_at=midnight, now=midnight)
    assert (locked.may_smell, due.may_smell) == (False, True)
    assert (due.state, passed.state) == (GateState.SMELLS, GateState.OPEN)


def test_draining_entered_again_for_an_earlier_hour_does_not_wash_off_a_smell():
    locked = smelled(at=NOW - timedelta(hours=2), drained_at=NOW - timedelta(hours=30), smells=None)
    assert (locked.state, locked.may_smell) == (GateState.SMELLS, False)


def test_drained_and_aired_anew_after_the_smell_may_be_tested_on_the_same_day():
    facts = {"at": NOW - timedelta(hours=5), "drained_at": NOW - timedelta(hours=4)}
    assert smelled(**facts, smells=None, air_hours=6).state is GateState.AIRING
    assert smelled(**facts, smells=None, air_hours=3).state is GateState.SMELL_TEST_DUE
    assert smelled(**facts, smells=False, smell_checked_at=NOW, air_hours=3).state is GateState.OPEN


def test_a_family_without_hours_of_airing_waits_for_the_next_day_all_the_same():
    facts = {"at": NOW - timedelta(hours=5), "drained_at": NOW - timedelta(hours=4)}
    assert smelled(**facts, smells=False, smell_checked_at=NOW, air_hours=0).state is GateState.SMELLS


def test_a_smell_found_while_it_airs_is_tested_again_when_the_airing_ends():
    locked = smelled(
        at=NOW - timedelta(hours=1), drained_at=NOW - timedelta(hours=5), smells=True, air_hours=48
    )
    assert locked.opens_at == NOW + timedelta(hours=43)
    assert "from 07:00 on Thursday 12 March 2026" in locked.sentence


def test_the_workshop_is_told_when_it_may_smell_again():
    found_at = datetime(2026, 7, 10, 0, 30, tzinfo=LONDON)  # 9 July 23:30 in UTC
    same_day = describe_smell(found_at, today=date(2026, 7, 10), zone=LONDON)
    assert "It smelled at 00:30 on Friday 10 July 2026" in same_day
    assert "again on Saturday 11 July 2026 at the earliest" in same_day
    assert "Smell it again today" in describe_smell(found_at, today=date(2026, 7, 11), zone=LONDON)


@given(
    drained_hours=st.floats(min_value=-5, max_value=200),
    checked_hours=st.floats(min_value=-5, max_value=200),
    air_hours=st.floats(min_value=0, max_value=336),
)
def test_open_gate_means_aired_and_smelled_today(drained_hours, checked_hours, air_hours):
    drained_at, checked_at = NOW - timedelta(hours=drained_hours), NOW - timedelta(hours=checked_hours)
    found = answer(drained_at=drained_at, smell_checked_at=checked_at, air_hours=air_hours)
    aired_at = drained_at.astimezone(UTC) + timedelta(hours=air_hours)
    smelled_today = aired_at <= checked_at.astimezone(UTC) <= NOW and checked_at.date() == NOW.date()
    proper = smelled_today and drained_at <= NOW
    assert found.may_post == proper


def test_every_answer_is_a_whole_sentence():
    answers = [answer(), answer(drained_at=None), answer(smells=True), answer(smells=None)]
    answers.append(answer(air_hours=60))
    assert {each.state for each in answers} == set(GateState)
    assert all(each.sentence[0].isupper() and each.sentence.endswith(".") for each in answers)


@pytest.mark.parametrize("air_hours", [-1, 337, float("nan"), float("inf")])
def test_absurd_airing_time_is_refused(air_hours):
    with pytest.raises(OutOfRange):
        answer(air_hours=air_hours)


def test_time_without_zone_is_refused():
    with pytest.raises(NaiveMoment, match="time zone"):
        answer(drained_at=datetime(2026, 3, 9, 20, 0))  # noqa: DTZ001


def test_way_back_speaks_of_test_fluid():
    assert "test fluid" in answer(drained_at=None, leg=Leg.TO_CUSTOMER).sentence


def test_dry_unit_needs_no_gate_on_its_way_in():
    assert not needs_gate(magneto_family(), leg=Leg.TO_SHOP)
    assert not needs_gate(magneto_family(), leg=Leg.TO_CUSTOMER)


def test_lift_mark_follows_the_weighed_parcel():
    heavy = {flag.kind for flag in goods_flags(diesel_family(), leg=Leg.TO_SHOP, by_air=False)}
    light = {
        flag.kind for flag in goods_flags(diesel_family(), leg=Leg.TO_SHOP, by_air=False, gross_mass_kg=20.0)
    }
    assert heavy - light == {GoodsKind.LIFT}


def test_fuel_is_to_be_declared_truthfully():
    [fuel] = [
        flag for flag in goods_flags(family(), leg=Leg.TO_SHOP, by_air=False) if flag.kind is GoodsKind.FUEL
    ]
    assert "declare it truthfully" in fuel.sentence
    assert fuel.read_on is not None


@pytest.mark.parametrize(
    ("leg", "words"),
    [(Leg.TO_SHOP, "take it home."), (Leg.TO_CUSTOMER, "bring it back to the shop and tell the customer.")],
)
def test_who_sends_it_reads_where_it_goes_when_the_carrier_refuses(leg, words):
    [fuel] = [flag for flag in goods_flags(family(), leg=leg, by_air=False) if flag.kind is GoodsKind.FUEL]
    assert f"If the carrier will not take it, {words}" in fuel.sentence


def test_each_flag_names_its_rule_and_defers():
    flags = [
        *goods_flags(diesel_family(), leg=Leg.TO_SHOP, by_air=None),
        *goods_flags(magneto_family(), leg=Leg.TO_SHOP, by_air=None),
    ]
    assert {flag.kind for flag in flags} == set(GoodsKind)
    assert all(flag.rule and flag.sentence.endswith(DEFERRAL) for flag in flags)


def test_gasket_in_a_dry_family_is_flagged_too():
    shared = magneto_family(strip_steps=(step("gasket_stays", "leave_on", part="flange gasket"),))
    assert GoodsKind.ASBESTOS in {flag.kind for flag in goods_flags(shared, leg=Leg.TO_SHOP, by_air=False)}


def test_magneto_cautions_say_never_to_open_it():
    assert any(caution.startswith("Never open it") for caution in cautions(magneto_family()))


@pytest.mark.parametrize(
    ("never", "word"),
    [
        ("Never scrape an old gasket: it can hold asbestos.", "asbestos"),
        ("Never dry it with heat, in an oven or near a flame.", "oven"),
        ("Never post it while it smells of fuel, however faintly.", "post"),
    ],
)
def test_what_the_shared_cautions_say_is_said_once(never, word):
    said = [
        caution for caution in cautions(family(never=(never,))) if word in caution.split(DEFERRAL)[0].lower()
    ]
    assert len(said) == 1


def test_a_family_without_fuel_keeps_its_own_word_about_heat():
    assert any(
        "an oven" in caution for caution in cautions(magneto_family(never=("Never warm it in an oven.",)))
    )


def test_the_familys_own_nevers_are_cautions():
    assert any("whistle" in caution for caution in cautions(family(never=("Never whistle near it.",))))


@pytest.mark.parametrize(
    ("shared", "instruction"),
    [
        (family(), "Scrape the old gasket off the flange."),
        (family(), "Then sand the flange flat."),
        (family(), "Warm it in the oven for an hour."),
        (family(), "Use a heat gun on the stuck screw."),
        (family(), "Blow out the jets with compressed air."),
        (magneto_family(), "Open the magneto and wipe the points."),
        (magneto_family(), "Take the armature out."),
    ],
)
def test_dangerous_instruction_is_found(shared, instruction):
    listed = family_strip_list(shared)
    item = StripItem("bad", StripAction.TAKE_OFF, "part", instruction, "A reason.")
    faults = forbidden_words(replace(listed, items=(*listed.items, item)))
    assert {fault.slug for fault in faults} == {"bad"}


@pytest.mark.parametrize(
    "instruction",
    ["Never scrape, sand or brush it.", "Do not open it.", "Leave the heat insulator where it is."],
)
def test_forbidding_instruction_passes(instruction):
    listed = family_strip_list(magneto_family(strip_steps=(step("good", "leave_on", instruction),)))
    assert forbidden_words(listed) == ()


def test_diesel_list_without_caps_is_found():
    listed = family_strip_list(diesel_family())
    left = tuple(item for item in listed.items if item.action is not StripAction.CAP)
    [fault] = forbidden_words(replace(listed, items=left))
    assert (fault.slug, "every port" in fault.sentence) == ("", True)
