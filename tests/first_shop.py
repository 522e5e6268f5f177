"""The demo shop's rows: published once in a run by the services, and from then on written as they were.

Publishing parses and checks 114 entries and 20 documents, every time with the same outcome; only the moment
differs. What the services do is tested where they are called, never through these copies.
"""

from collections.abc import Callable
from datetime import datetime

from django.db import models, transaction

from jobs.models import ShopRevision
from packing.models import CatalogueRevision

COPIED = (CatalogueRevision, ShopRevision)
Rows = list[dict[str, object]]
_kept: dict[type[models.Model], Rows] = {}


def write_first_shop(publish: Callable[[], None], *, now: datetime) -> None:
    """Put the rows that `publish` makes into the database, by calling it when that never was done.

    Where anything is published already the outcome depends on it, so `publish` is called then too.
    """
    if any(model.objects.exists() for model in COPIED):
        publish()
    elif _kept:
        with transaction.atomic():
            for model, rows in _kept.items():
                model.objects.bulk_create([model(**row, published_at=now) for row in rows])
    else:
        publish()
        for model in COPIED:
            names = [field.attname for field in model._meta.concrete_fields]
            kept = [name for name in names if name not in {"id", "published_at"}]
            _kept[model] = list(model.objects.order_by("pk").values(*kept))
