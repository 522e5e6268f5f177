"""The demo shop is opened once; what somebody changed in it since stays."""

from dataclasses import replace
from datetime import timedelta

import pytest

from jobs.demo.opening import open_demo_shop
from jobs.domain.shop import ShopKind
from jobs.models import ShopRevision
from jobs.selectors.shop import documents
from tests.factories import NOW, publish

pytestmark = pytest.mark.django_db


def test_opened_again_it_keeps_what_was_changed():
    open_demo_shop(now=NOW)
    bench = replace(documents(ShopKind.WORK_CENTRE)["fuel_bench"], benches=3)
    publish(ShopKind.WORK_CENTRE, bench, now=NOW + timedelta(hours=1))
    count = ShopRevision.objects.count()
    open_demo_shop(now=NOW + timedelta(days=2))
    assert documents(ShopKind.WORK_CENTRE)["fuel_bench"].benches == 3
    assert ShopRevision.objects.count() == count
