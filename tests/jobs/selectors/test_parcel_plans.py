"""Everybody who plans a parcel asks the same question and is given the same answer."""

from dataclasses import replace
from datetime import date

import pytest

from jobs.domain.shop import ShopKind
from jobs.selectors import shop
from jobs.selectors.answering import preview_plan
from jobs.selectors.parcel_plans import plan_for, stock_on
from jobs.services._telling import both_plans
from packing import selectors as catalogue
from packing.errors import PackingError
from packing.parcel.carriers import carrier_on
from packing.parcel.journey import order_of
from packing.parcel.plan import SearchOrder
from packing.parcel.unit import Leg
from packing.plain import to_plain
from tests.factories import MODEL, open_shop, publish

pytestmark = pytest.mark.django_db

# UPS rounded sides to the nearest inch up to 17 August 2025 and to the next since (parcelindustry.com).
BEFORE, AFTER = date(2025, 8, 17), date(2025, 8, 18)


@pytest.fixture(autouse=True)
def _shop(db):
    open_shop()
    with_carriers = replace(shop.identity(), carrier_in="ups-ground", carrier_back="ups-ground")
    publish(ShopKind.SHOP, with_carriers)


@pytest.mark.parametrize("today", [BEFORE, AFTER])
def test_customer_and_workshop_are_shown_the_same_plan(today):
    there, back = both_plans(catalogue.catalogue().unit_models[MODEL], today=today)
    assert to_plain(preview_plan(MODEL, today=today).plan) == there
    assert back != there


@pytest.mark.parametrize("today", [BEFORE, AFTER])
def test_the_carriers_rules_are_those_of_the_day(today):
    stock = stock_on(today)
    rules = stock.carrier(Leg.TO_SHOP)
    assert rules == carrier_on(stock.published.carriers["ups-ground"], day=today)
    assert rules.side_rounding.value == ("nearest_inch" if today == BEFORE else "up_inch")


def test_no_carrier_named_is_no_carrier():
    stock = stock_on(AFTER)
    nobody = replace(stock, identity=replace(stock.identity, carrier_back=""))
    assert nobody.carrier(Leg.TO_CUSTOMER) is None


def test_a_customer_is_given_what_is_easy_to_get_and_the_shop_what_bills_least():
    assert order_of(Leg.TO_SHOP) is SearchOrder.EASY_FIRST
    assert order_of(Leg.TO_CUSTOMER) is SearchOrder.LEAST_BILLED


def test_a_refusal_is_told_again_every_time_it_is_asked_for():
    stock = stock_on(AFTER)
    empty = replace(stock, published=replace(stock.published, cartons={}))
    model = stock.published.unit_models[MODEL]
    said = set()
    for _ in range(2):
        with pytest.raises(PackingError) as refusal:
            plan_for(model, leg=Leg.TO_SHOP, stock=empty)
        said.add(str(refusal.value))
    assert len(said) == 1
