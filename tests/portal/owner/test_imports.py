"""A TOML file is published as a whole or not at all, and every refused entry says why."""

import pytest
from django.urls import reverse

from jobs.models import ShopRevision
from packing.models import CatalogueRevision
from portal.owner import kinds
from portal.owner.imports import LineState, read_toml, to_toml
from tests.factories import open_shop

pytestmark = pytest.mark.django_db

NEW_CARTON = """
[[carton]]
slug = "crate-40"
name = "Crate 40"
length_mm = 400.0
width_mm = 400.0
height_mm = 400.0
wall = "double"
caliper_mm = 7.0
ect_kn_m = 8.4
board_g_m2 = 900.0
source = { text = "Weighed and measured here", origin = "measured" }
"""
NEW_PERSON = '[[person]]\nslug = "ada"\nname = "Ada Thornby"\n'


@pytest.fixture
def owner(db, person, client_of):
    open_shop()
    return client_of(person("owner"))


def bring(owner, text):
    owner.post(reverse("owner:import"), {"text": text})
    return reverse("owner:import_preview")


def counted():
    return CatalogueRevision.objects.count(), ShopRevision.objects.count()


def test_a_file_with_one_bad_entry_publishes_nothing(owner):
    before = counted()
    bad = '[[person]]\nslug = "Bad Name"\nname = "Nobody"\n'
    answer = owner.post(bring(owner, NEW_CARTON + NEW_PERSON + bad), {"note": "all of it"})
    assert answer.status_code == 200
    assert counted() == before


def test_a_good_file_publishes_catalogue_and_shop_together(owner):
    before = counted()
    answer = owner.post(bring(owner, NEW_CARTON + NEW_PERSON), {"note": "Spring order"})
    assert answer.status_code == 302
    assert counted() == (before[0] + 1, before[1] + 1)
    assert CatalogueRevision.objects.get(slug="crate-40").note == "Spring order"


def test_looking_at_a_file_publishes_nothing(owner):
    before = counted()
    page = owner.get(bring(owner, NEW_CARTON)).content.decode()
    assert ">1 new.<" in page
    assert counted() == before


def test_a_refused_entry_says_which_key_and_why(owner):
    (line,) = read_toml(NEW_CARTON.replace("400.0", "9000.0", 1)).lines
    assert line.state is LineState.REFUSED
    assert line.problems[0][0] == "length_mm"


def test_a_family_and_its_model_may_come_together(owner):
    family, model = kinds.BY_KEY["family"], kinds.BY_KEY["unit_model"]
    text = to_toml(
        [
            (model, kinds.published(model)["tolvane-kv4081"]),
            (family, kinds.published(family)["carburettor"]),
        ]
    )
    text = text.replace('slug = "carburettor"', 'slug = "carb"').replace(
        'family = "carburettor"', 'family = "carb"'
    )
    text = text.replace('slug = "tolvane-kv4081"', 'slug = "tolvane-copy"')
    assert [line.state for line in read_toml(text).lines] == [LineState.NEW, LineState.NEW]


def test_an_entry_that_stands_twice_is_refused(owner):
    assert [line.state for line in read_toml(NEW_PERSON * 2).lines] == [LineState.NEW, LineState.REFUSED]


def test_a_shop_with_an_unknown_drop_test_is_refused(owner):
    shop = kinds.BY_KEY["shop"]
    text = to_toml([(shop, kinds.published(shop)["shop"])]).replace("ista_1a", "from the roof")
    (line,) = read_toml(text).lines
    assert line.state is LineState.REFUSED
    assert line.problems[0][0] == "test_level"


def test_a_route_that_cannot_be_worked_is_refused(owner):
    step = '[[route.steps]]\nstep = "strip"\nwork_centre = "nowhere"\nmedian_hours = 1.0\n'
    route = f'[[route]]\nslug = "x"\nname = "X"\nfamilies = []\n{step}'
    (line,) = read_toml(route).lines
    assert line.state is LineState.REFUSED


@pytest.mark.parametrize(
    ("text", "key"), [("[[carton]\n", "Line 1"), ("[[unknown]]\na = 1\n", "unknown"), ("", "")]
)
def test_a_file_that_cannot_be_used_says_where(owner, text, key):
    plan = read_toml(text)
    assert plan.problems[0][0] == key
    assert not plan.may_publish


def test_everything_that_is_exported_comes_back_unchanged(owner):
    text = owner.get(reverse("owner:export_all")).content.decode()
    plan = read_toml(text)
    assert len(plan.lines) > 100
    assert {line.state for line in plan.lines} == {LineState.UNCHANGED}


def test_what_the_file_leaves_as_it_is_is_folded(owner):
    carton = kinds.BY_KEY["carton"]
    kept = to_toml((carton, entry) for entry in kinds.published(carton).values())
    page = owner.get(bring(owner, kept + NEW_CARTON)).content.decode()
    table, folded = page.split("</table>", 1)
    assert ("Crate 40" in table, "Crate 40" in folded) == (True, False)
    names = [entry.name for entry in kinds.published(carton).values()]
    assert names
    assert [name for name in names if name not in folded.split("<details>", 1)[1]] == []
    assert [name for name in names if f">{name}<br>" in table] == []


def test_a_file_that_changes_nothing_says_so_and_leads_on(owner):
    carton = kinds.BY_KEY["carton"]
    text = to_toml([(carton, entry) for entry in kinds.published(carton).values()])
    page = owner.get(bring(owner, text)).content.decode()
    assert "Nothing: everything in it is published as it stands there." in page
    assert "<table" not in page
    assert "Bring in another file" in page
