"""Two owners who change each other at the same moment wait in one order, and one owner stays."""

import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection, connections, transaction

from portal.accounts.models import User
from portal.accounts.people import LastOwner, add_person, change_person
from portal.accounts.roles import Role
from tests.database.crowd import at_once

pytestmark = pytest.mark.django_db(transaction=True)
MOST_WAIT_S = 20.0


def demote(owner):
    return change_person(owner, name=owner.name, role=Role.WORKSHOP, is_active=True)


def demote_elsewhere(owner):
    try:
        return demote(owner)
    finally:
        connections.close_all()


def somebody_waits():
    """Return whether any connection waits for a lock, asked until one does."""
    until = time.monotonic() + MOST_WAIT_S
    while time.monotonic() < until:
        with connection.cursor() as cursor:
            cursor.execute("SELECT count(*) FROM pg_locks WHERE NOT granted")
            if cursor.fetchone()[0]:
                return True
        time.sleep(0.05)
    return False


@pytest.fixture
def owners():
    return [add_person(f"{name}@quillfeather.example", name=name, role=Role.OWNER) for name in ("one", "two")]


def test_of_two_owners_who_demote_each_other_one_stays(owners):
    one, two = owners
    crowd = at_once(lambda: demote(one), lambda: demote(two))
    assert (len(crowd.answers), len(crowd.of(LastOwner))) == (1, 1)
    assert User.objects.filter(role=Role.OWNER, is_active=True).count() == 1


def test_who_waits_for_one_owner_holds_no_other(owners):
    if connection.vendor != "postgresql":
        pytest.skip("SQLite has one writer at a time, so nobody waits with something in hand.")
    one, two = owners
    with ThreadPoolExecutor(1) as other:
        with transaction.atomic():
            User.objects.select_for_update().get(pk=one.pk)
            waiting = other.submit(demote_elsewhere, two)
            assert somebody_waits()
            User.objects.select_for_update(nowait=True).get(pk=two.pk)
        assert waiting.result(timeout=MOST_WAIT_S).role == Role.WORKSHOP
