"""What the owner publishes shows its effects beforehand, and the dates follow it."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from jobs.domain.shop import ClosedDay, ShopKind
from jobs.selectors import shop
from jobs.selectors.parcel_plans import plan_for, stock_on
from jobs.services import forecasts
from jobs.services._telling import both_plans
from packing import selectors as catalogue
from packing.parcel.carriers import carrier_on
from packing.parcel.unit import Leg
from packing.plain import to_plain
from portal.owner.effects import MODELS_AT_ONCE, find_effects
from portal.owner.parcel_plans import LEG_WORDS, may_change, with_entry
from portal.owner.plan_panel import find_panel
from tests.factories import NOW, make_job, open_shop, publish

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _shop(db):
    open_shop()


def effects(before, after):
    return find_effects(before, after, published=catalogue.catalogue(), today=NOW.date())


def test_a_route_names_the_families_it_gains_and_loses():
    route = shop.documents(ShopKind.ROUTE)["carburettor"]
    said = " ".join(effects(route, replace(route, families=("sender",))).sentences)
    assert "New on this route: Fuel senders." in said
    assert "No longer on this route: Carburettors." in said


def test_a_bench_names_the_routes_that_pass_it():
    centre = shop.documents(ShopKind.WORK_CENTRE)["test_stand"]
    said = " ".join(effects(centre, replace(centre, benches=2)).sentences)
    assert all(route.name in said for route in shop.routes())


def test_a_closed_day_touches_every_route():
    day = ClosedDay(slug="2026-08-03", on=date(2026, 8, 3), name="Harbour fête")
    assert all(route.name in " ".join(effects(None, day).sentences) for route in shop.routes())


def test_a_projection_that_grows_moves_the_parcel():
    model = catalogue.catalogue().unit_models["tolvane-kv4081"]
    first, *rest = model.projections
    longer = replace(model, projections=(replace(first, reach_mm=140.0), *rest))
    parcels = effects(model, longer).parcels
    assert any(change.where == "Carton" for parcel in parcels for change in parcel.changes)


def test_a_model_that_stays_as_it_is_changes_no_parcel():
    model = catalogue.catalogue().unit_models["tolvane-kv4081"]
    assert [parcel.changes for parcel in effects(model, model).parcels] == [(), ()]


def test_a_carrier_nobody_uses_changes_no_parcel():
    carrier = next(iter(catalogue.catalogue().carriers.values()))
    found = effects(carrier, replace(carrier, days_most=carrier.days_most + 1))
    assert found.models == ()
    assert found.looked_at.count == len(catalogue.catalogue().unit_models)


def test_all_unit_models_are_looked_at_a_few_at_a_time():
    published = catalogue.catalogue()
    carton = published.cartons["double-15x15x11"]
    seen, before = [], 0
    while True:
        found = find_effects(
            carton, replace(carton, slug="new"), published=published, today=NOW.date(), models_before=before
        )
        seen.append((found.looked_at.first, found.looked_at.last))
        before = found.looked_at.following
        if not before:
            break
    count = len(published.unit_models)
    assert count > MODELS_AT_ONCE
    assert seen[0] == (1, MODELS_AT_ONCE)
    assert [first for first, _ in seen[1:]] == [last + 1 for _, last in seen[:-1]]
    assert seen[-1][1] == count


@pytest.mark.parametrize("models_before", [-1, 10_000])
def test_a_number_beyond_the_models_starts_with_the_first(models_before):
    published = catalogue.catalogue()
    carrier = next(iter(published.carriers.values()))
    found = find_effects(carrier, carrier, published=published, today=NOW.date(), models_before=models_before)
    assert found.looked_at.first == 1


def small_shop(*models):
    """Return what is published, with few models, so that all of it can be planned again."""
    published = catalogue.catalogue()
    return replace(published, unit_models={slug: published.unit_models[slug] for slug in models})


FEW = ("pellmar-pt55", "tolvane-ds45", "brennick-bm1")


def in_short(model, *, leg, stock):
    plan = plan_for(model, leg=leg, stock=stock)
    return plan.headline, round(plan.billed_mass_kg, 6)


def told_and_true(was, now):
    """What the preview tells of three models, what truly changes, and how many plans it did not make."""
    published = small_shop(*FEW)
    stock = stock_on(NOW.date(), published=published)
    after = with_entry(stock, entry=now)
    ways = [(model, leg) for model in published.unit_models.values() for leg in Leg]
    differs = {
        (model.name, LEG_WORDS[leg])
        for model, leg in ways
        if in_short(model, leg=leg, stock=stock) != in_short(model, leg=leg, stock=after)
    }
    found = find_effects(was, now, published=published, today=NOW.date())
    spared = [way for way in ways if not may_change(way[0], leg=way[1], stock=stock, after=after, entry=now)]
    return {(row.name, row.leg_words) for row in found.models}, differs, len(spared)


@pytest.mark.parametrize(
    "change",
    [{"length_mm": 290.0, "width_mm": 240.0}, {"ect_kn_m": 12.0}, {"ect_kn_m": 1.5}, {"slug": "new"}],
)
def test_a_carton_that_is_passed_over_changes_nothing_and_no_other_is(change):
    carton = catalogue.catalogue().cartons["single-12x12x10"]
    told, differs, spared = told_and_true(carton, replace(carton, **change))
    assert told == differs
    assert spared


MATERIALS = ("bubble-wrap", "polyethylene-plank", "grocery-bags", "folded-corrugated")
TRIED = (
    {"density_kg_m3": 3.0, "uncertainty_share": 0.05, "mass_most_kg": None},
    {"curve_a_kpa": 20.0},
    {"curve_a_kpa": 120.0, "density_kg_m3": 90.0},
    {"easy_to_get": True, "heavy_allowed": True, "sharp_allowed": True},
    {"easy_to_get": False},
    {"slug": "new", "density_kg_m3": 4.0},
)


@pytest.mark.slow
@pytest.mark.parametrize("change", TRIED)
@pytest.mark.parametrize("slug", MATERIALS)
def test_a_material_that_is_passed_over_changes_nothing_and_no_other_is(slug, change):
    material = catalogue.catalogue().materials[slug]
    told, differs, _ = told_and_true(material, replace(material, **change))
    assert told == differs


def test_a_material_without_a_part_in_most_parcels_is_passed_over_in_them():
    material = catalogue.catalogue().materials["moulded-pulp"]
    _, _, spared = told_and_true(material, replace(material, density_kg_m3=material.density_kg_m3 + 5))
    assert spared >= len(FEW)


def test_a_carrier_is_looked_at_on_its_own_way_only():
    stock = stock_on(NOW.date())
    used, other = list(stock.published.carriers.values())[:2]
    stock = replace(stock, identity=replace(stock.identity, carrier_in=used.slug, carrier_back=other.slug))
    after = with_entry(stock, entry=replace(used, bill_step_kg=5.0))
    model = next(iter(stock.published.unit_models.values()))
    asked = {leg: may_change(model, leg=leg, stock=stock, after=after, entry=used) for leg in Leg}
    assert asked == {Leg.TO_SHOP: True, Leg.TO_CUSTOMER: False}


def test_a_new_verdict_is_told_first():
    cartons = catalogue.catalogue().cartons
    two = {slug: cartons[slug] for slug in ("single-16x16x16", "double-24x18x18")}
    published = replace(small_shop("brennick-db6080", "tolvane-qf4"), cartons=two)
    carton = two["double-24x18x18"]
    told = find_effects(
        carton, replace(carton, length_mm=200.0, width_mm=200.0), published=published, today=NOW.date()
    )
    assert [(row.name, row.has_new_verdict) for row in told.models] == [
        ("Tolvane QF4", True),
        ("Tolvane QF4", True),
        ("Brennick DB6080", False),
        ("Brennick DB6080", False),
    ]


def test_dates_are_counted_again_after_hours_or_routes_were_published():
    make_job(stage="stripped")
    forecasts.refresh(now=NOW + timedelta(days=6))
    # The first run made a promise, which is an event and so a change of its own.
    forecasts.refresh(now=NOW + timedelta(days=6, minutes=5))
    later = NOW + timedelta(days=6, minutes=10)
    assert not forecasts.refresh_if_stale(now=later)
    route = shop.documents(ShopKind.ROUTE)["carburettor"]
    publish(ShopKind.ROUTE, replace(route, rework_share=0.3), now=later)
    assert forecasts.refresh_if_stale(now=later + timedelta(minutes=2))


@pytest.mark.parametrize("today", [date(2025, 8, 17), date(2025, 8, 18)])
def test_the_owner_sees_the_plans_that_a_job_is_given_on_that_day(today):
    # UPS rounds every side up to a whole inch from 18 August 2025 (parcelindustry.com).
    identity = replace(shop.identity(), carrier_in="ups-ground", carrier_back="ups-ground")
    publish(ShopKind.SHOP, identity)
    published = catalogue.catalogue()
    model = published.unit_models["tolvane-kv4081"]
    panel = find_panel(model, model, model_slug=model.slug, published=published, today=today)
    assert tuple(to_plain(parcel.plan) for parcel in panel.parcels) == both_plans(model, today=today)
    stock = stock_on(today)
    assert stock.carrier(Leg.TO_SHOP) == carrier_on(published.carriers["ups-ground"], day=today)
