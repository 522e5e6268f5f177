"""What the catalogue says now, and what it said at any revision.

Every read is one query. Parsing is what costs, so parsed entries are kept by the text of their document: the
same text always gives the same entry, and no rollback, other process or other database can make that stale.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from django.db.models import Exists, OuterRef, QuerySet, TextField
from django.db.models.functions import Cast

from packing.catalogue.documents import parse_entry
from packing.catalogue.schema import Carrier, Carton, Entry, EntryKind, Family, Material, UnitModel
from packing.errors import UnknownEntry
from packing.models import CatalogueRevision


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Every entry now published, each kind by slug in alphabetical order."""

    families: dict[str, Family]
    unit_models: dict[str, UnitModel]
    materials: dict[str, Material]
    cartons: dict[str, Carton]
    carriers: dict[str, Carrier]


def published(kind: EntryKind) -> dict[str, Entry]:
    """Return the entries of one kind that are published and not withdrawn, by slug."""
    rows = _latest().filter(kind=kind.value, withdrawn=False)
    return {entry.slug: entry for _, entry in _entries(rows)}


def catalogue() -> Catalogue:
    """Return every published entry of all five kinds, read together."""
    entries = [entry for _, entry in _entries(_latest().filter(withdrawn=False))]
    return Catalogue(
        families={entry.slug: entry for entry in entries if isinstance(entry, Family)},
        unit_models={entry.slug: entry for entry in entries if isinstance(entry, UnitModel)},
        materials={entry.slug: entry for entry in entries if isinstance(entry, Material)},
        cartons={entry.slug: entry for entry in entries if isinstance(entry, Carton)},
        carriers={entry.slug: entry for entry in entries if isinstance(entry, Carrier)},
    )


def entry_at(kind: EntryKind, slug: str, *, revision: int) -> Entry:
    """Return an entry as it stood at one revision, withdrawn or not.

    Raises: UnknownEntry when there is no such revision.
    """
    rows = CatalogueRevision.objects.filter(kind=kind.value, slug=slug, revision=revision)
    for _, entry in _entries(rows):
        return entry
    raise UnknownEntry(f"The catalogue has no revision {revision} of {_named(kind, slug)}.")


def revisions_of(kind: EntryKind, slug: str) -> tuple[CatalogueRevision, ...]:
    """Return every revision of an entry with who published it, newest first; empty for an unknown slug."""
    rows = CatalogueRevision.objects.filter(kind=kind.value, slug=slug)
    return tuple(rows.select_related("published_by").order_by("-revision"))


def newest_revisions() -> dict[tuple[str, str], int]:
    """Return the number of the newest revision by kind and slug, withdrawn entries counted."""
    rows = _latest().values_list("kind", "slug", "revision")
    return {(kind, slug): number for kind, slug, number in rows}


def current_revision(kind: EntryKind, slug: str) -> int:
    """Return the number of the revision that is published now.

    Raises: UnknownEntry when the entry was never published or is withdrawn.
    """
    row = _latest().filter(kind=kind.value, slug=slug).values_list("revision", "withdrawn").first()
    if row is None or row[1]:
        raise UnknownEntry(
            f"The catalogue has no {_named(kind, slug)}; look at the list of what is published."
        )
    return int(row[0])


def _named(kind: EntryKind, slug: str) -> str:
    return f"{kind.value.replace('_', ' ')} “{slug}”"


def _latest() -> QuerySet[CatalogueRevision]:
    """Return the newest revision of each entry."""
    newer = CatalogueRevision.objects.filter(
        kind=OuterRef("kind"), slug=OuterRef("slug"), revision__gt=OuterRef("revision")
    )
    return CatalogueRevision.objects.filter(~Exists(newer)).order_by("kind", "slug")


def _entries(rows: QuerySet[CatalogueRevision]) -> Iterable[tuple[EntryKind, Entry]]:
    texts = rows.annotate(document_text=Cast("document", TextField())).values_list("kind", "document_text")
    for kind_name, text in texts:
        kind = EntryKind(kind_name)
        yield kind, _parsed(kind, text)


@lru_cache(maxsize=1024)
def _parsed(kind: EntryKind, text: str) -> Entry:
    return parse_entry(json.loads(text), kind=kind)
