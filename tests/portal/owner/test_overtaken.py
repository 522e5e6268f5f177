"""Of two owners who change one document the second is told, keeps what was typed, and sees the other's."""

import pytest
from django.urls import reverse

from jobs.domain.shop import ShopKind
from jobs.models import ShopRevision
from jobs.selectors import shop
from packing.models import CatalogueRevision
from portal.owner import kinds
from portal.owner.imports import to_toml
from tests.factories import open_shop
from tests.portal.owner.test_editing import CARTON, edit_url, preview_url, sent_for
from tests.portal.owner.test_imports import NEW_CARTON, bring
from tests.portal.reading import parse

pytestmark = pytest.mark.django_db

NEW_URL = "/owner/data/person/new/"
PREVIEW_URL = f"{NEW_URL}preview/"


@pytest.fixture
def owner(db, person, client_of):
    open_shop()
    return client_of(person("owner"))


@pytest.fixture
def other(owner, person, client_of):
    return client_of(person("owner", email="second@quillfeather.example"))


def strength(number=None):
    rows = CatalogueRevision.objects.filter(slug=CARTON)
    return (rows.get(revision=number) if number else rows.latest("revision")).document["ect_kn_m"]


def change_carton(client, *, to):
    client.post(edit_url("carton", CARTON), sent_for("carton", CARTON, ect_kn_m=to))
    return client.post(preview_url("carton", CARTON), {"note": "Stronger board"})


def hidden(page, name):
    (value,) = parse(page.content).xpath(f"//main//input[@name='{name}']/@value")
    return value


def test_two_new_documents_of_one_name_never_become_two_revisions(owner, other):
    for client, name in ((owner, "Wren Rook"), (other, "Wren Finch")):
        assert client.post(NEW_URL, {"name": name, "slug": "wren-2"}).url == PREVIEW_URL
    owner.post(PREVIEW_URL, {"note": "She began in March"})
    answer = other.post(PREVIEW_URL, {"note": "He began in May"})
    assert answer.status_code == 409
    assert ShopRevision.objects.get(kind=ShopKind.PERSON.value, slug="wren-2").document["name"] == "Wren Rook"
    page = answer.content.decode()
    assert "Somebody of the owner published revision 1 meanwhile." in page
    assert "She began in March" in page
    assert "Wren Rook" in page


def test_a_new_document_whose_name_was_taken_keeps_what_was_typed_and_goes_on_under_another(owner, other):
    for client, name in ((owner, "Wren Rook"), (other, "Wren Finch")):
        client.post(NEW_URL, {"name": name, "slug": "wren-2"})
    owner.post(PREVIEW_URL, {"note": "She began in March"})
    other.get(PREVIEW_URL)
    assert "Wren Finch" in other.get(NEW_URL).content.decode()
    assert "in use already" in other.post(NEW_URL, {"name": "Wren Finch", "slug": "wren-2"}).content.decode()
    other.post(NEW_URL, {"name": "Wren Finch", "slug": "wren-3"})
    assert other.post(PREVIEW_URL, {"note": "He began in May"}).status_code == 302
    assert {"wren-2", "wren-3"} <= set(shop.documents(ShopKind.PERSON))


def test_a_name_that_a_withdrawn_document_had_may_be_given_again(owner):
    withdraw = reverse("owner:withdraw", args=["carton", CARTON])
    text = to_toml([(kinds.BY_KEY["carton"], kinds.published(kinds.BY_KEY["carton"])[CARTON])])
    owner.post(withdraw, {"note": "Gone", "based_on": hidden(owner.get(withdraw), "based_on")})
    sent = {"name": "Wren Rook", "slug": "wren-2"}
    owner.post(NEW_URL, sent)
    owner.post(PREVIEW_URL, {"note": "First"})
    gone = reverse("owner:withdraw", args=["person", "wren-2"])
    owner.post(gone, {"note": "Left", "based_on": hidden(owner.get(gone), "based_on")})
    assert owner.post(NEW_URL, {**sent, "name": "Wren Finch"}).url == PREVIEW_URL
    assert owner.post(PREVIEW_URL, {"note": "Another Wren"}).status_code == 302
    assert shop.documents(ShopKind.PERSON)["wren-2"].name == "Wren Finch"
    page = owner.get(bring(owner, text))
    owner.post(reverse("owner:import_preview"), {"note": "Back", "seen": hidden(page, "seen")})
    assert CatalogueRevision.objects.filter(slug=CARTON).count() == 3


def test_a_form_drawn_before_anothers_revision_does_not_take_it_back(owner, other):
    drawn = hidden(other.get(edit_url("carton", CARTON)), "based_on")
    change_carton(owner, to="7.9")
    sent = {**sent_for("carton", CARTON, ect_kn_m="8.4"), "based_on": drawn}
    other.post(edit_url("carton", CARTON), sent)
    answer = other.get(preview_url("carton", CARTON))
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "Somebody of the owner published revision 2 meanwhile." in page
    assert "7.9 kN/m" in page
    assert "8.4 kN/m" in other.get(preview_url("carton", CARTON)).content.decode()


def test_a_revision_between_looking_and_publishing_is_found_out(owner, other):
    other.post(edit_url("carton", CARTON), sent_for("carton", CARTON, ect_kn_m="8.4"))
    assert other.get(preview_url("carton", CARTON)).status_code == 200
    change_carton(owner, to="7.9")
    assert other.post(preview_url("carton", CARTON), {"note": "second"}).status_code == 409
    assert strength() == 7.9
    assert other.post(preview_url("carton", CARTON), {"note": "second"}).status_code == 302
    assert (strength(2), strength()) == (7.9, 8.4)


def test_a_document_changed_meanwhile_is_shown_before_it_is_withdrawn(owner, other):
    withdraw = reverse("owner:withdraw", args=["carton", CARTON])
    drawn = hidden(other.get(withdraw), "based_on")
    change_carton(owner, to="7.9")
    answer = other.post(withdraw, {"note": "Not sold any more", "based_on": drawn})
    page = answer.content.decode()
    assert "Somebody of the owner published revision 2 meanwhile." in page
    assert "7.9 kN/m" in page
    assert "Not sold any more" in page
    assert CARTON in kinds.published(kinds.BY_KEY["carton"])
    again = {"note": "Not sold any more", "based_on": hidden(answer, "based_on")}
    assert other.post(withdraw, again).status_code == 302
    assert CARTON not in kinds.published(kinds.BY_KEY["carton"])


def test_what_another_withdrew_meanwhile_is_said_to_be_withdrawn(owner, other):
    withdraw = reverse("owner:withdraw", args=["carton", CARTON])
    sent = {"note": "Gone", "based_on": hidden(other.get(withdraw), "based_on")}
    owner.post(withdraw, sent)
    page = other.post(withdraw, sent, follow=True)
    assert page.status_code == 200
    assert "This is withdrawn already." in page.content.decode()


def test_a_file_looked_at_before_anothers_revision_publishes_nothing_and_is_compared_again(owner, other):
    entry = kinds.published(kinds.BY_KEY["carton"])[CARTON]
    text = to_toml([(kinds.BY_KEY["carton"], entry)]).replace("ect_kn_m = 5.6", "ect_kn_m = 8.4")
    looked_at = other.get(bring(other, text + NEW_CARTON))
    change_carton(owner, to="7.9")
    sent = {"note": "Spring order", "seen": hidden(looked_at, "seen")}
    answer = other.post(reverse("owner:import_preview"), sent)
    page = answer.content.decode()
    assert f"Somebody published {entry.name} meanwhile." in page
    assert "7.9 kN/m" in page
    assert "Spring order" in page
    assert strength() == 7.9
    assert not CatalogueRevision.objects.filter(slug="crate-40").exists()
    again = {"note": "Spring order", "seen": hidden(answer, "seen")}
    assert other.post(reverse("owner:import_preview"), again).status_code == 302
    assert strength() == 8.4


def test_a_new_entry_of_a_file_never_replaces_one_that_came_meanwhile(owner, other):
    page = other.get(bring(other, NEW_CARTON.replace("Crate 40", "Crate of the other")))
    mine = owner.get(bring(owner, NEW_CARTON))
    owner.post(reverse("owner:import_preview"), {"note": "mine", "seen": hidden(mine, "seen")})
    other.post(reverse("owner:import_preview"), {"note": "other", "seen": hidden(page, "seen")})
    assert CatalogueRevision.objects.get(slug="crate-40").document["name"] == "Crate 40"
