"""The shop's documents are read as they are published: at once, and never as they nearly were."""

import threading
from dataclasses import replace

import pytest
from django.db import connections, transaction

from jobs.domain.shop import ShopKind
from jobs.models import ShopRevision
from jobs.selectors import shop
from packing.plain import to_plain
from tests.factories import NOW, open_shop, publish


def rename(name):
    publish(ShopKind.SHOP, replace(shop.identity(), name=name))


@pytest.mark.django_db(transaction=True)
def test_a_published_change_is_seen_at_once_and_costs_one_query_until_then(django_assert_num_queries):
    open_shop()
    shop.identity()
    with django_assert_num_queries(1):
        shop.identity()
    rename("Another name")
    assert shop.identity().name == "Another name"


@pytest.mark.django_db(transaction=True)
def test_a_change_that_is_rolled_back_leaves_nothing_behind():
    """The row number of a rolled-back revision is given out again on SQLite."""
    open_shop()
    before = shop.identity()
    changed = to_plain(replace(before, name="Nearly"))
    row = {"kind": "shop", "slug": "shop", "revision": 2, "published_at": NOW}
    with transaction.atomic():
        ShopRevision.objects.create(document=changed, **row)
        assert shop.identity().name == "Nearly"
        transaction.set_rollback(True)
    assert shop.identity() == before
    ShopRevision.objects.create(document=to_plain(replace(before, name="Really")), **row)
    assert shop.identity().name == "Really"


@pytest.mark.django_db(transaction=True)
def test_readers_are_undisturbed_while_somebody_publishes():
    open_shop()
    faults, done = [], threading.Event()

    def read():
        try:
            while not done.is_set():
                assert shop.documents(ShopKind.ROUTE)
        except Exception as fault:
            faults.append(fault)
        finally:
            connections.close_all()

    readers = [threading.Thread(target=read) for _ in range(6)]
    for reader in readers:
        reader.start()
    for turn in range(10):
        rename(f"Name {turn}")
    done.set()
    for reader in readers:
        reader.join()
    assert faults == []
    assert shop.identity().name == "Name 9"
