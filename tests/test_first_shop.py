"""The shop that most tests stand on is row by row what the services publish."""

from datetime import timedelta

import pytest

from jobs.models import ShopRevision
from packing.models import CatalogueRevision
from tests.factories import NOW, open_shop, publish_first_shop
from tests.first_shop import COPIED

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=3)


def rows():
    return [[{**row, "id": None} for row in model.objects.order_by("pk").values()] for model in COPIED]


def empty():
    """Take the rows away behind the backs of their models, which refuse it."""
    for model in COPIED:
        model.objects.all()._raw_delete("default")


def test_the_rows_written_again_are_those_that_the_services_publish():
    publish_first_shop(now=LATER)
    published = rows()
    empty()
    open_shop(now=NOW)  # the first one in this run keeps its rows
    empty()
    open_shop(now=LATER)
    assert [len(found) > 10 for found in published] == [True, True]
    assert rows() == published


def test_where_something_is_published_already_the_services_decide():
    open_shop(now=NOW)
    ShopRevision.objects.all()._raw_delete("default")
    kept = CatalogueRevision.objects.count()
    open_shop(now=LATER)
    assert CatalogueRevision.objects.count() == kept
    assert {row.published_at for row in ShopRevision.objects.all()} == {LATER}
