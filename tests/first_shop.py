"""The demo shop's rows: published once in a run by the services, and from then on written as they were.

Publishing parses and checks 114 entries and 20 documents, every time with the same outcome; only the moment
differs. What the services do is tested where they are called, never through these copies.
"""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.db import connection, models, transaction

from jobs.models import ShopRevision
from packing.models import CatalogueRevision

COPIED: tuple[type[models.Model], ...] = (CatalogueRevision, ShopRevision)
MOMENT = "published_at"
_kept: dict[type[models.Model], list[list[Any]]] = {}


def write_first_shop(publish: Callable[[], None], *, now: datetime) -> None:
    """Put the rows that `publish` makes into the database, by calling it when that never was done.

    Where anything is published already the outcome depends on it, so `publish` is called then too.
    """
    if any(model.objects.exists() for model in COPIED):
        publish()
    elif _kept:
        _write_again(now)
    else:
        publish()
        for model in COPIED:
            _kept[model] = [
                [field.get_db_prep_save(getattr(row, field.attname), connection) for field in _fields(model)]
                for row in model.objects.order_by("pk")
            ]


def _fields(model: type[models.Model]) -> list[models.Field]:
    """Return the fields that are the same each time."""
    return [field for field in model._meta.concrete_fields if not field.primary_key and field.name != MOMENT]


def _write_again(now: datetime) -> None:
    quote = connection.ops.quote_name
    with transaction.atomic(), connection.cursor() as cursor:
        for model, rows in _kept.items():
            moment = model._meta.get_field(MOMENT)
            columns = [quote(field.column) for field in (*_fields(model), moment)]
            cursor.executemany(
                f"INSERT INTO {quote(model._meta.db_table)} ({', '.join(columns)}) "
                f"VALUES ({', '.join(['%s'] * len(columns))})",
                [[*row, moment.get_db_prep_save(now, connection)] for row in rows],
            )
