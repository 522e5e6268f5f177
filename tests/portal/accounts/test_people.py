"""Adding and changing people."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError, transaction

from portal.accounts.models import User
from portal.accounts.people import AddressTaken, LastOwner, add_person, change_person
from portal.accounts.roles import Role

pytestmark = pytest.mark.django_db


def test_an_address_belongs_to_one_person_whatever_its_capitals():
    add_person("Bench@Quillfeather.example", name="Bench", role=Role.WORKSHOP)
    with pytest.raises(AddressTaken, match="already"):
        add_person("bench@quillfeather.EXAMPLE", name="Bench", role=Role.WORKSHOP)


def test_the_database_refuses_capitals_and_unknown_roles(person):
    somebody = person("owner")
    for change in ({"email": "Owner@quillfeather.example"}, {"role": "customer"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            User.objects.filter(pk=somebody.pk).update(**change)


def test_the_last_owner_stays_an_owner(person):
    owner = person("owner")
    with pytest.raises(LastOwner):
        change_person(owner, name="Owner", role=Role.WORKSHOP, is_active=True)
    with pytest.raises(LastOwner):
        change_person(owner, name="Owner", role=Role.OWNER, is_active=False)
    person("owner", email="second@quillfeather.example")
    assert change_person(owner, name="Owner", role=Role.WORKSHOP, is_active=True).role == "workshop"


def test_losing_a_role_ends_the_sessions(person, client_of):
    owner = person("owner")
    person("owner", email="second@quillfeather.example")
    browser = client_of(owner)
    change_person(owner, name="Owner", role=Role.WORKSHOP, is_active=True)
    assert browser.get("/account/password/").status_code == 302


def test_the_command_adds_a_person_once():
    said = StringIO()
    call = ("add_person", "first@quillfeather.example", "--name", "First", "--role", "owner")
    call_command(*call, "--dry-run", stdout=said)
    assert not User.objects.exists()
    call_command(*call, stdout=said)
    assert User.objects.get().is_owner
    assert not User.objects.get().has_usable_password()
    with pytest.raises(CommandError, match="already"):
        call_command(*call, stdout=said)


@pytest.mark.parametrize(
    ("email", "name", "told"),
    [
        (f"{'a' * 60}@{'b' * 60}.{'c' * 60}.{'d' * 60}.{'e' * 60}.example", "First", "email: .*254"),
        ("first.quillfeather.example", "First", "email: .*valid"),
        ("first@quillfeather.example", "F" * 81, "name: .*80"),
        ("first@quillfeather.example", " ", "name: .*blank"),
    ],
)
def test_the_command_refuses_what_no_column_holds(email, name, told):
    with pytest.raises(CommandError, match=told):
        call_command("add_person", email, "--name", name, "--role", "owner")
    assert not User.objects.exists()


def test_the_command_refuses_an_easy_password():
    with pytest.raises(CommandError):
        call_command(
            "add_person", "a@quillfeather.example", "--name", "A", "--role", "owner", "--password", "1234"
        )
