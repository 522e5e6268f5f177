"""How does one moment of the database become a file, and the file a database again?

SQLite's `VACUUM INTO` and PostgreSQL's exported snapshot both see a single moment while others go on writing;
copying the database file does not (measured: 19 of 40 copies damaged under load).
"""

import os
import shutil
import sqlite3
import subprocess
from pathlib import Path
from typing import Any

from django.db import connection, transaction
from django.db.migrations.loader import MigrationLoader

from jobs.backups.errors import BackupDamaged, BackupNotMade, TargetInUse
from jobs.backups.manifest import Engine

FILES = {Engine.SQLITE: "database.sqlite3", Engine.POSTGRESQL: "database.pgdump"}


def engine_in_use() -> Engine:
    """Return which database the site runs on."""
    return Engine(connection.vendor)


def applied_migrations() -> tuple[str, ...]:
    """Return the migrations of the database, as `app.name`."""
    applied = MigrationLoader(connection).applied_migrations
    return tuple(sorted(f"{app}.{name}" for app, name in applied))


def unknown_migrations(names: tuple[str, ...]) -> list[str]:
    """Return which of these this version does not have: the back-up is of a newer one."""
    known = {f"{app}.{name}" for app, name in MigrationLoader(None).disk_migrations}
    return [name for name in names if name not in known]


def take_snapshot(folder: Path) -> tuple[Path, dict[str, int]]:
    """Write the database as it is at one moment into the folder; return the file, and the rows of each table.

    Raises: BackupNotMade.
    """
    engine = engine_in_use()
    file = folder / FILES[engine]
    if engine is Engine.SQLITE:
        with connection.cursor() as cursor:
            cursor.execute("VACUUM INTO %s", [str(file)])
        with sqlite3.connect(f"file:{file}?mode=ro", uri=True) as snapshot:
            rows = _count_sqlite(snapshot)
        snapshot.close()
        return file, rows
    with transaction.atomic(durable=True), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        # The dump may take longer than a page may wait.
        cursor.execute("SET LOCAL idle_in_transaction_session_timeout = 0")
        cursor.execute("SELECT pg_export_snapshot()")
        (name,) = cursor.fetchone()
        rows = {
            table: _count(cursor, table) for table in sorted(connection.introspection.table_names(cursor))
        }
        _run("pg_dump", "--format=custom", f"--snapshot={name}", f"--file={file}")
    return file, rows


def target_is_empty() -> bool:
    """Say whether the database of these settings holds no table yet."""
    if engine_in_use() is Engine.SQLITE:
        file = Path(connection.settings_dict["NAME"])
        return not file.exists() or file.stat().st_size == 0
    return not connection.introspection.table_names()


def put_back(file: Path, *, engine: Engine, rows: dict[str, int]) -> None:
    """Fill the empty database of these settings from the file, and compare it with the counted rows.

    Raises: TargetInUse, BackupDamaged, BackupNotMade.
    """
    if engine is not engine_in_use():
        raise TargetInUse(
            f"The back-up is of {engine.value}, these settings name {engine_in_use().value}: "
            "set DATABASE_URL to the same kind of database."
        )
    if not target_is_empty():
        raise TargetInUse("The database already holds a shop: name an empty one, or an empty DATA_DIR.")
    if engine is Engine.SQLITE:
        _put_back_sqlite(file, rows=rows)
        return
    connection.close()
    _run("pg_restore", "--no-owner", "--no-privileges", "--exit-on-error", "--single-transaction",
         f"--dbname={connection.settings_dict['NAME']}", str(file))  # fmt: skip
    with connection.cursor() as cursor:
        found = {
            table: _count(cursor, table) for table in sorted(connection.introspection.table_names(cursor))
        }
    _compare(found, rows=rows)


def _put_back_sqlite(file: Path, *, rows: dict[str, int]) -> None:
    target = Path(connection.settings_dict["NAME"])
    connection.close()
    target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    fresh = target.with_name(f"{target.name}.restoring")
    shutil.copyfile(file, fresh)
    fresh.chmod(0o600)
    try:
        with sqlite3.connect(fresh) as database:
            (whole,) = database.execute("PRAGMA integrity_check").fetchone()
            loose = database.execute("PRAGMA foreign_key_check").fetchall()
            found = _count_sqlite(database)
        database.close()
        if whole != "ok" or loose:
            raise BackupDamaged("The database of the back-up is damaged inside: use another back-up.")
        _compare(found, rows=rows)
        fresh.replace(target)
    except sqlite3.DatabaseError as error:
        raise BackupDamaged("The database of the back-up cannot be read: use another back-up.") from error
    finally:
        fresh.unlink(missing_ok=True)


def _compare(found: dict[str, int], *, rows: dict[str, int]) -> None:
    wrong = sorted(table for table in found.keys() | rows.keys() if found.get(table) != rows.get(table))
    if wrong:
        raise BackupDamaged(f"The table {wrong[0]} did not come back whole: use another back-up.")


def _count_sqlite(database: sqlite3.Connection) -> dict[str, int]:
    names = database.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name"
    ).fetchall()
    return {
        name: database.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]  # noqa: S608 - names from the schema
        for (name,) in names
    }


def _count(cursor: Any, table: str) -> int:
    cursor.execute(f"SELECT count(*) FROM {connection.ops.quote_name(table)}")  # noqa: S608 - names from the schema
    return int(cursor.fetchone()[0])


def _run(program: str, *words: str) -> None:
    """Run one of PostgreSQL's programs on the database of the settings, the password in its environment."""
    found = shutil.which(program)
    if found is None:
        raise BackupNotMade(f"{program} is missing: run `apt-get install postgresql-client`.")
    values = connection.settings_dict
    given = {
        "PGHOST": values["HOST"],
        "PGPORT": str(values["PORT"]),
        "PGUSER": values["USER"],
        "PGPASSWORD": values["PASSWORD"],
        "PGDATABASE": values["NAME"],
        "PGSSLMODE": values["OPTIONS"].get("sslmode", ""),
    }
    environment = {**os.environ, **{name: value for name, value in given.items() if value}}
    done = subprocess.run(  # noqa: S603 - our own command line
        [found, "--no-password", *words], env=environment, capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise BackupNotMade(f"{program} stopped: {done.stderr.strip().splitlines()[-1:] or 'without a word'}")
