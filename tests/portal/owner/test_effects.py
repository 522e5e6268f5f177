"""What the owner publishes shows its effects beforehand, and the dates follow it."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from jobs.domain.shop import ClosedDay, ShopKind
from jobs.selectors import shop
from jobs.services import forecasts
from packing import selectors as catalogue
from packing.parcel.unit import Leg
from portal.owner.effects import find_effects
from portal.owner.parcel_plans import LEG_WORDS, may_change, plan_of, stock_of, with_entry
from tests.factories import NOW, make_job, open_shop, publish

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _shop(db):
    open_shop()


def effects(before, after):
    return find_effects(before, after, published=catalogue.catalogue())


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
    assert found.models_looked_at == len(catalogue.catalogue().unit_models)


def small_shop(*models):
    """Return what is published, with few models, so that all of it can be planned again."""
    published = catalogue.catalogue()
    return replace(published, unit_models={slug: published.unit_models[slug] for slug in models})


FEW = ("pellmar-pt55", "tolvane-ds45", "brennick-bm1")


@pytest.mark.parametrize(
    "change",
    [{"length_mm": 290.0, "width_mm": 240.0}, {"ect_kn_m": 12.0}, {"ect_kn_m": 1.5}, {"slug": "new"}],
)
def test_a_carton_that_is_passed_over_changes_nothing_and_no_other_is(change):
    published = small_shop(*FEW)
    carton = published.cartons["single-12x12x10"]
    changed = replace(carton, **change)
    stock = stock_of(published)
    after = with_entry(stock, entry=changed)
    differs = {
        (model.name, LEG_WORDS[leg])
        for model in published.unit_models.values()
        for leg in Leg
        if plan_of(model, leg=leg, stock=stock).headline != plan_of(model, leg=leg, stock=after).headline
    }
    told = find_effects(carton, changed, published=published)
    assert {(row.name, row.leg_words) for row in told.models} == differs
    passed_over = [
        model
        for model in published.unit_models.values()
        if not may_change(model, leg=Leg.TO_SHOP, stock=stock, entry=changed)
    ]
    assert passed_over  # a plan is spared


def test_a_new_verdict_is_told_first():
    cartons = catalogue.catalogue().cartons
    two = {slug: cartons[slug] for slug in ("single-16x16x16", "double-24x18x18")}
    published = replace(small_shop("brennick-db6080", "tolvane-qf4"), cartons=two)
    carton = two["double-24x18x18"]
    told = find_effects(carton, replace(carton, length_mm=200.0, width_mm=200.0), published=published)
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
