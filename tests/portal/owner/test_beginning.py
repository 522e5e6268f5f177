"""A new shop: what it begins with, and how it gets benches and routes without typing them all."""

from datetime import timedelta

import pytest
from django.urls import reverse

from jobs.domain.shop import ShopKind
from jobs.leadtime.routes import BenchStep, Route, RouteStep, WorkCentre
from jobs.selectors import shop
from jobs.services import forecasts
from packing.selectors import catalogue
from packing.services import FirstEntries, publish_first_revisions
from tests.factories import NOW, open_shop, publish, publish_first_shop

pytestmark = pytest.mark.django_db
USUAL = "owner:take_usual"


@pytest.fixture
def owner(db, person, client_of):
    publish_first_revisions(FirstEntries.USUAL, now=NOW)
    return client_of(person("owner"))


def test_the_usual_benches_and_routes_are_offered_and_taken(owner):
    assert reverse(USUAL) in owner.get(reverse("owner:dashboard")).content.decode()
    said = owner.post(reverse(USUAL), follow=True).content.decode()
    assert "16 benches and routes are added" in said
    assert "estimates" in said
    assert len(shop.documents(ShopKind.ROUTE)) == len(shop.documents(ShopKind.WORK_CENTRE)) == 8
    assert reverse(USUAL) not in owner.get(reverse("owner:dashboard")).content.decode()


def test_a_usual_route_is_called_as_its_family_is(owner):
    owner.post(reverse(USUAL))
    plurals = {slug: family.plural for slug, family in catalogue().families.items()}
    routes = shop.routes()
    assert routes
    assert {route.name for route in routes} == {plurals[route.families[0]] for route in routes}


def test_looking_at_the_address_of_the_offer_takes_nothing(owner):
    assert owner.get(reverse(USUAL))["Location"] == reverse("owner:dashboard")
    assert shop.documents(ShopKind.ROUTE) == {}


def test_taking_them_twice_adds_nothing(owner):
    owner.post(reverse(USUAL))
    assert "No usual route is left to take" in owner.post(reverse(USUAL), follow=True).content.decode()


def test_what_the_owner_has_stays_as_it_is(owner):
    own = WorkCentre("strip_bench", "My own bench", 7)
    route = Route("mine", "Mine", ("sender",), (RouteStep(BenchStep.STRIP, "strip_bench", 1.0),))
    publish(ShopKind.WORK_CENTRE, own)
    publish(ShopKind.ROUTE, route)
    owner.post(reverse(USUAL))
    assert shop.documents(ShopKind.WORK_CENTRE)["strip_bench"] == own
    routes = shop.documents(ShopKind.ROUTE)
    assert [slug for slug, one in routes.items() if "sender" in one.families] == ["mine"]
    assert len(routes) == 8


def test_working_hours_begin_with_usual_ones_in_the_sites_time_zone(owner, settings):
    settings.SHOP_TIME_ZONE = "America/Halifax"
    page = owner.get(reverse("owner:edit", args=["hours", "hours"])).content.decode()
    assert 'value="America/Halifax"' in page
    assert page.count('value="08:00"') == 5
    assert shop.documents(ShopKind.HOURS) == {}


def test_what_does_not_go_together_is_said_and_nothing_is_published(owner):
    open_shop()  # its people may not sign off injectors
    said = owner.post(reverse(USUAL), follow=True).content.decode()
    assert "nobody at “Test stand” may sign off the family “injector”" in said
    assert len(shop.documents(ShopKind.ROUTE)) == 6


def test_the_first_entry_of_something_needs_no_reason_of_its_own(owner):
    here = reverse("owner:preview", args=["hours", "hours"])
    editor = reverse("owner:edit", args=["hours", "hours"])
    days = {f"{day}-0-start": "08:00" for day in ("monday", "tuesday")}
    ends = {f"{day}-0-end": "17:00" for day in ("monday", "tuesday")}
    owner.post(editor, {"time_zone": "Europe/London", **days, **ends})
    assert 'value="First entry"' in owner.get(here).content.decode()


def test_before_the_address_is_set_the_owner_is_led_to_it_and_others_are_not(
    owner, client, person, client_of
):
    words = "This shop has not published its address yet"
    link = reverse("owner:edit", args=["shop", "shop"])
    foot = owner.get("/workshop/").content.decode().split('<footer class="help">', 1)[1]
    assert words in foot
    assert link in foot
    for browser in (client, client_of(person("workshop", email="bench@q.example"))):
        page = browser.get("/account/sign-in/", follow=True).content.decode()
        assert words in page
        assert link not in page
    publish_first_shop(now=NOW)
    assert words not in owner.get("/workshop/").content.decode()


def test_without_working_hours_the_page_that_sets_them_is_linked(owner):
    forecasts.refresh(now=NOW)
    page = owner.get(reverse("owner:quotes")).content.decode()
    assert "No working hours are set yet" in page
    assert reverse("owner:edit", args=["hours", "hours"]) in page.split("<main", 1)[1]


def test_what_is_to_be_set_up_is_said_once_on_the_dashboard(owner):
    forecasts.refresh(now=NOW)
    page = owner.get(reverse("owner:dashboard")).content.decode()
    assert "Setting up, in this order" in page
    assert "No working hours are set" not in page


@pytest.mark.parametrize("name", ["owner:dashboard", "owner:quotes", "owner:weeks_ahead"])
def test_what_was_missing_is_not_said_any_more_once_it_is_published(owner, name):
    forecasts.refresh(now=NOW - timedelta(minutes=1))
    open_shop()
    page = owner.get(reverse(name)).content.decode()
    assert "No working hours are set" not in page
    assert "Something was published since dates were last worked out" in page
