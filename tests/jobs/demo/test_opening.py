"""The demo shop is opened once; what somebody changed in it since stays."""

from dataclasses import replace
from datetime import timedelta

import pytest

from jobs.demo.opening import open_demo_shop
from jobs.domain.shop import ShopKind
from jobs.models import ShopRevision
from jobs.selectors.shop import documents
from jobs.services.shop import withdraw_document
from tests.factories import NOW, OWNER, publish

pytestmark = pytest.mark.django_db


def test_opened_again_it_keeps_what_was_changed():
    open_demo_shop(now=NOW)
    bench = replace(documents(ShopKind.WORK_CENTRE)["fuel_bench"], benches=3)
    publish(ShopKind.WORK_CENTRE, bench, now=NOW + timedelta(hours=1))
    count = ShopRevision.objects.count()
    open_demo_shop(now=NOW + timedelta(days=2))
    assert documents(ShopKind.WORK_CENTRE)["fuel_bench"].benches == 3
    assert ShopRevision.objects.count() == count


def test_opened_again_it_leaves_withdrawn_what_somebody_withdrew():
    open_demo_shop(now=NOW)
    days = sorted(documents(ShopKind.CLOSED_DAY))
    for slug in (days[0], days[-1]):
        withdraw_document(slug, kind=ShopKind.CLOSED_DAY, based_on=1, note="we work", actor=OWNER, now=NOW)
    route = "magneto"
    withdraw_document(route, kind=ShopKind.ROUTE, based_on=1, note="no more", actor=OWNER, now=NOW)
    open_demo_shop(now=NOW + timedelta(days=2))
    assert route not in documents(ShopKind.ROUTE)
    assert sorted(documents(ShopKind.CLOSED_DAY)) == days[1:-1]
