"""What the owner publishes shows its effects beforehand, and the dates follow it."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from jobs.domain.shop import ClosedDay, ShopKind
from jobs.selectors import shop
from jobs.services import forecasts
from packing import selectors as catalogue
from portal.owner.effects import find_effects
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
