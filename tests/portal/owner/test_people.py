"""The owner adds people, changes what they may open, ends their sessions; nobody else sees these pages."""

from uuid import uuid4

import pytest
from django.urls import reverse

from portal.accounts.models import User
from portal.owner.urls import urlpatterns
from tests.factories import open_shop

pytestmark = pytest.mark.django_db

ARGUMENTS = {"kind": "carton", "slug": "single-12x12x12", "number": 1, "pk": 1, "reference": uuid4()}


@pytest.fixture
def owner(db, person, client_of):
    return client_of(person("owner"))


def address(pattern):
    needed = pattern.pattern.converters
    return reverse(f"owner:{pattern.name}", kwargs={name: ARGUMENTS[name] for name in needed})


@pytest.mark.parametrize("pattern", urlpatterns, ids=lambda pattern: pattern.name)
def test_a_person_of_the_workshop_finds_no_page_here(pattern, person, client_of):
    assert client_of(person("workshop")).get(address(pattern)).status_code == 404


def test_a_stranger_is_sent_to_sign_in(client):
    assert reverse("accounts:sign_in") in client.get(reverse("owner:dashboard")).url


def test_a_person_is_added(owner):
    given = {"name": "Ada", "email": "ada@quillfeather.example", "role": "workshop"}
    owner.post(reverse("owner:new_person"), given)
    assert User.objects.get(email="ada@quillfeather.example").role == "workshop"


def test_the_same_address_cannot_be_added_twice(owner, person):
    somebody = person("workshop")
    page = owner.post(
        reverse("owner:new_person"), {"name": "Ada", "email": somebody.email, "role": "workshop"}
    )
    assert "in the list already" in page.content.decode()


def test_the_last_owner_stays_an_owner(owner):
    last = User.objects.get(role="owner")
    page = owner.post(
        reverse("owner:person", args=[last.pk]), {"name": last.name, "role": "workshop", "is_active": "on"}
    )
    assert "only owner" in page.content.decode()
    last.refresh_from_db()
    assert last.role == "owner"


def test_ending_sessions_signs_the_person_out(owner, person, client_of):
    open_shop()
    somebody = person("workshop")
    browser = client_of(somebody)
    owner.post(reverse("owner:end_sessions", args=[somebody.pk]))
    assert reverse("accounts:sign_in") in browser.get(reverse("workshop:counter")).url
