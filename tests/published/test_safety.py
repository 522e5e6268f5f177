"""The safety gate, the flags and the demo shop's strip lists against published rules and worked cases.

49 CFR 173.220 (drained, cleaned, purged), USPS Postal Bulletin 22180 (odour is not purged), 49 CFR 173.21(d)
and PHMSA letter 09-0084 (magnets by air), HSE and OSHA on old gaskets. Airing hours: common practice.
"""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

import packing.data
from packing.catalogue.documents import entries_from_toml
from packing.catalogue.schema import Family, StripAction, UnitModel
from packing.parcel.unit import Leg
from packing.strip.assemble import StripFlag, assemble_strip_list, family_strip_list
from packing.strip.gate import GateState, gate, needs_gate
from packing.strip.safety import GoodsKind, cautions, forbidden_words, goods_flags
from tests.packing.strip.examples import diesel_family, family, magneto_family

DATA = Path(packing.data.__file__).parent
DEMO = [
    entry
    for file in sorted([*DATA.glob("families_*.toml"), *DATA.glob("demo/*.toml")])
    for _, entry in entries_from_toml(file.read_text(encoding="utf-8"), file=file.name)
]
FAMILIES = {entry.slug: entry for entry in DEMO if isinstance(entry, Family)}
MODELS = [entry for entry in DEMO if isinstance(entry, UnitModel) and entry.family in FAMILIES]
ALL_FLAGS = [flag.value for flag in StripFlag]


def at(day, hour, minute=0):
    return datetime(2026, 3, day, hour, minute, tzinfo=UTC)


def ask(*, now, drained_at=None, smell_checked_at=None, smells=None):
    return gate(
        drained_at=drained_at, smell_checked_at=smell_checked_at, smells=smells, air_hours=24, now=now
    )


def test_smell_blocks_whatever_else_is_ticked():
    blocked = ask(now=at(12, 9), drained_at=at(1, 9), smell_checked_at=at(12, 8), smells=True)
    assert (blocked.state, blocked.may_post) == (GateState.SMELLS, False)


def test_drained_yesterday_at_20_opens_today_at_20_and_not_before():
    drained_at = at(9, 20)
    before = ask(now=at(10, 19, 59), drained_at=drained_at, smell_checked_at=at(10, 19), smells=False)
    after = ask(now=at(10, 20, 10), drained_at=drained_at, smell_checked_at=at(10, 20, 5), smells=False)
    assert (before.state, before.opens_at) == (GateState.AIRING, at(10, 20))
    assert after.state is GateState.OPEN


def test_smell_test_of_another_day_does_not_open_it():
    next_day = ask(now=at(11, 8), drained_at=at(9, 20), smell_checked_at=at(10, 20, 5), smells=False)
    assert next_day.state is GateState.SMELL_TEST_DUE


def test_diesel_does_not_escape_the_gate():
    assert needs_gate(diesel_family(), leg=Leg.TO_SHOP)
    assert any("Diesel counts" in caution for caution in cautions(diesel_family()))


def test_magnet_is_flagged_by_air_and_not_by_road():
    by_air = {flag.kind for flag in goods_flags(magneto_family(), leg=Leg.TO_SHOP, by_air=True)}
    by_road = {flag.kind for flag in goods_flags(magneto_family(), leg=Leg.TO_SHOP, by_air=False)}
    assert GoodsKind.MAGNET in by_air
    assert GoodsKind.MAGNET not in by_road


def test_every_wet_tested_unit_passes_the_gate_on_its_way_back():
    assert needs_gate(magneto_family(wet_tested=True), leg=Leg.TO_CUSTOMER)
    assert ask(now=at(12, 9)).state is GateState.NOT_DRAINED


def test_no_allowance_for_fuel_left_inside_is_ever_offered():
    texts = [*cautions(family()), *cautions(diesel_family())]
    for shared in (family(), diesel_family(), magneto_family()):
        texts += [
            f"{flag.sentence} {flag.rule}" for flag in goods_flags(shared, leg=Leg.TO_SHOP, by_air=None)
        ]
        texts += [item.instruction for item in family_strip_list(shared, flags=ALL_FLAGS).items]
    assert len(texts) > 20
    assert not [text for text in texts if "500" in text or "17 oz" in text or " ml" in text.lower()]


def test_lift_mark_begins_above_20_kg():
    kinds = [
        GoodsKind.LIFT
        in {flag.kind for flag in goods_flags(family(), leg=Leg.TO_SHOP, by_air=False, gross_mass_kg=mass_kg)}
        for mass_kg in (20.0, 20.1)
    ]
    assert kinds == [False, True]


# --- the demo shop's own lists ---------------------------------------------------------------------


def test_the_demo_shop_has_families_and_models():
    assert len(FAMILIES) >= 5
    assert len(MODELS) >= 5


@pytest.mark.parametrize("slug", sorted(FAMILIES))
def test_family_list_tells_nobody_to_do_harm(slug):
    assert forbidden_words(family_strip_list(FAMILIES[slug], flags=ALL_FLAGS)) == ()


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.slug)
def test_model_list_tells_nobody_to_do_harm(model):
    listed = assemble_strip_list(model, family=FAMILIES[model.family], flags=ALL_FLAGS)
    assert forbidden_words(listed) == ()


@pytest.mark.parametrize("slug", sorted(FAMILIES))
def test_family_with_fuel_is_drained_and_smelled(slug):
    shared = FAMILIES[slug]
    drains = family_strip_list(shared).only(StripAction.DRAIN)
    assert bool(drains) == shared.holds_fuel
    assert needs_gate(shared, leg=Leg.TO_SHOP) == shared.holds_fuel
    assert not shared.holds_fuel or shared.air_hours >= timedelta(days=1) / timedelta(hours=1)
