"""Closed days are brought in from a country's public holidays once, and are the owner's from then on."""

import pytest
from django.db.models.signals import pre_save
from django.urls import reverse

from jobs.domain.shop import ShopKind
from jobs.models import ShopRevision
from jobs.selectors import shop
from tests.factories import open_shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(db, person, client_of):
    open_shop()
    return client_of(person("owner"))


def seed(owner, **given):
    page = owner.get(reverse("owner:closed_days"))
    year = page.context["form"].fields["year"].choices[0][0]
    return owner.post(reverse("owner:closed_days"), {"country": "GB", "year": year, **given})


def test_public_holidays_of_a_region_become_closed_days(owner):
    assert seed(owner, subdivision="sct").status_code == 302
    names = {day.name for day in shop.documents(ShopKind.CLOSED_DAY).values()}
    # Scotland keeps 2 January and Saint Andrew's Day (Bank Holidays (Scotland) Act 2007); from memory.
    assert any("Andrew" in name for name in names)


def test_bringing_them_in_twice_adds_nothing(owner):
    seed(owner)
    before = len(shop.documents(ShopKind.CLOSED_DAY))
    assert before > 5
    seed(owner)
    assert len(shop.documents(ShopKind.CLOSED_DAY)) == before


def test_a_region_that_is_not_there_is_refused_with_those_that_are(owner):
    page = seed(owner, subdivision="XX")
    assert "SCT" in page.content.decode()


def test_a_closed_day_is_written_by_its_date_alone(owner):
    answer = owner.post(
        reverse("owner:new", args=["closed_day"]), {"on": "2026-08-03", "name": "Harbour fête"}
    )
    owner.post(answer.url, {"note": "As every year"})
    assert shop.documents(ShopKind.CLOSED_DAY)["2026-08-03"].name == "Harbour fête"


def test_a_holiday_the_owner_withdrew_stays_away_when_they_are_brought_in_again(owner):
    seed(owner)
    worked = min(shop.documents(ShopKind.CLOSED_DAY))
    owner.post(
        reverse("owner:withdraw", args=["closed_day", worked]),
        {"note": "We work on that day", "based_on": "1"},
    )
    assert worked not in shop.documents(ShopKind.CLOSED_DAY)
    seed(owner)
    assert worked not in shop.documents(ShopKind.CLOSED_DAY)


@pytest.fixture
def somebody_faster():
    """Publish each document a moment before it is published, as another of the shop's people would."""

    def publish_first(instance, **_sent):
        values = {name: getattr(instance, name) for name in ("kind", "slug", "revision", "document")}
        ShopRevision.objects.bulk_create([ShopRevision(published_at=instance.published_at, **values)])

    pre_save.connect(publish_first, sender=ShopRevision)
    yield
    pre_save.disconnect(publish_first, sender=ShopRevision)


def test_two_people_bringing_them_in_at_once_are_told_in_a_sentence(owner, somebody_faster):
    answer = seed(owner)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Somebody published this meanwhile" in page
    assert 'id="error-summary"' in page
