"""The database keeps what was said to be kept, and lets writers wait for each other."""

import threading

import pytest
from django.db import connection, connections, transaction

from portal.accounts.models import User
from portal.settings import base

pytestmark = pytest.mark.django_db(transaction=True)


def pragma(name):
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA {name}")
        return cursor.fetchone()[0]


def test_the_site_asks_sqlite_for_write_ahead_full_and_immediate():
    from pathlib import Path

    from portal.settings.database import sqlite_at

    options = sqlite_at(Path("x"))["OPTIONS"]
    assert options["transaction_mode"] == "IMMEDIATE"
    assert options["timeout"] == 20
    assert "journal_mode=WAL" in options["init_command"]
    assert "synchronous=FULL" in options["init_command"]
    assert base.DATABASES["default"]["CONN_MAX_AGE"] == 60


def test_sqlite_runs_with_the_write_ahead_log():
    if connection.vendor != "sqlite":
        pytest.skip("SQLite only")
    assert pragma("journal_mode") == "wal"
    assert pragma("foreign_keys") == 1


def test_postgresql_acknowledges_only_what_is_on_disk():
    if connection.vendor != "postgresql":
        pytest.skip("PostgreSQL only")
    with connection.cursor() as cursor:
        cursor.execute("SHOW synchronous_commit")
        assert cursor.fetchone()[0] == "on"
        cursor.execute("SHOW statement_timeout")
        assert cursor.fetchone()[0] == "10s"


def test_writers_that_read_first_wait_for_each_other_instead_of_failing(person):
    somebody = person("owner")
    faults = []

    def read_then_write():
        try:
            for _ in range(10):
                with transaction.atomic():
                    row = User.objects.select_for_update().get(pk=somebody.pk)
                    row.sessions_number += 1
                    row.save(update_fields=["sessions_number"])
        except Exception as fault:
            faults.append(fault)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=read_then_write) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []
    somebody.refresh_from_db()
    assert somebody.sessions_number == 81
