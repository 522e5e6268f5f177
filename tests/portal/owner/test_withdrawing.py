"""What is still needed cannot be withdrawn: the page names what needs it, as the owner knows it."""

import pytest
from django.urls import reverse

from jobs.domain.shop import ShopKind
from jobs.selectors import shop
from tests.factories import open_shop
from tests.portal.reading import parse, words_of

pytestmark = pytest.mark.django_db


def routes():
    return [each.name for each in shop.documents(ShopKind.ROUTE).values()]


def benches_of_tobin():
    centres = shop.documents(ShopKind.WORK_CENTRE).values()
    return [each.name for each in centres if "tobin" in each.people]


@pytest.mark.parametrize(
    ("kind", "slug", "users"),
    [("work_centre", "cleaning_tank", routes), ("person", "tobin", benches_of_tobin)],
)
def test_what_needs_it_is_told_by_name_and_not_by_the_keys_of_a_file(person, client_of, kind, slug, users):
    open_shop()
    owner = client_of(person("owner"))
    address = reverse("owner:withdraw", args=[kind, slug])
    answer = owner.post(address, {"note": "Gone", "based_on": "1"})
    page = words_of(parse(answer.content.decode()))
    names = users()
    assert names
    assert "is still needed by: " in page
    assert [name for name in names if name not in page] == []
    assert ".steps[" not in page
    assert ".people" not in page
    assert slug in shop.documents(ShopKind(kind))
