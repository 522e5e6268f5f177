"""The only writers of the catalogue: publish a revision, withdraw an entry, bring the first revisions.

Each change names the revision it was made from, 0 for none. Two people publishing the same entry: the second
is told to look again, whether they came at once or an hour apart.

Raises throughout: CatalogueError with (key, sentence) pairs when the rules refuse, RevisionTaken when another
revision was published meanwhile, UnknownEntry for a slug that was never published.
"""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from enum import StrEnum
from pathlib import Path

from django.db import IntegrityError, transaction

from packing.catalogue.documents import dump_entry, entries_from_toml, kind_of
from packing.catalogue.rules import check_entry
from packing.catalogue.schema import Entry, EntryKind, Family, UnitModel
from packing.errors import CatalogueError, RevisionTaken, UnknownEntry
from packing.models import CatalogueRevision
from packing.selectors import catalogue, entry_at, published

DATA_FOLDER = Path(__file__).parent / "data"
FIRST_FILES = (
    "materials.toml",
    "cartons.toml",
    "carriers.toml",
    "families_fuel.toml",
    "families_diesel_and_ignition.toml",
)
FIRST_NOTE = "First revision"
NOTE_LENGTH_MOST = 500
ENTRY_TAKEN = "somebody published this entry meanwhile; look at their revision, then publish again."


class FirstEntries(StrEnum):
    """What a catalogue begins with: the usual families and what parcels need, or invented units too."""

    USUAL = "usual"
    DEMO = "demo"


def publish_entry(
    entry: Entry, *, based_on: int, note: str, actor_user_id: int | None, now: datetime
) -> CatalogueRevision:
    """Return the revision that now holds `entry`: a new one, or the current one when nothing changed.

    Raises: CatalogueError when the rules refuse the entry; RevisionTaken when `based_on` is not the newest.
    """
    with one_writer(told=ENTRY_TAKEN), transaction.atomic(durable=True):
        latest = _latest_row(kind_of(entry), slug=entry.slug)
        if latest is not None and not latest.withdrawn and _entry_of(latest) == entry:
            return latest
        _refuse_overtaken(latest, based_on=based_on)
        _refuse_problems([entry], families={}, unit_models={})
        return _append(entry, latest=latest, note=note, actor_user_id=actor_user_id, now=now)


def add_entries(
    entries: Sequence[Entry],
    *,
    based_on: Mapping[tuple[str, str], int],
    note: str,
    actor_user_id: int | None,
    now: datetime,
) -> tuple[CatalogueRevision, ...]:
    """Return the new revisions of those entries that differ from what is published, checked as one catalogue.

    The caller holds the transaction, so that entries and other documents are published together or not.
    `based_on` holds the revision each was compared with by kind and slug; what is not in it was not there.

    Raises: CatalogueError naming entry and key, RevisionTaken; nothing is written then.
    """
    _refuse_problems(
        list(entries),
        families={entry.slug: entry for entry in entries if isinstance(entry, Family)},
        unit_models={entry.slug: entry for entry in entries if isinstance(entry, UnitModel)},
    )
    added: list[CatalogueRevision] = []
    for entry in entries:
        latest = _latest_row(kind_of(entry), slug=entry.slug)
        if latest is None or latest.withdrawn or _entry_of(latest) != entry:
            _refuse_overtaken(latest, based_on=based_on.get((kind_of(entry).value, entry.slug), 0))
            added.append(_append(entry, latest=latest, note=note, actor_user_id=actor_user_id, now=now))
    return tuple(added)


def withdraw_entry(
    kind: EntryKind, *, slug: str, based_on: int, note: str, actor_user_id: int | None, now: datetime
) -> CatalogueRevision:
    """Return the revision that withdraws an entry; jobs keep what they were given.

    Raises: UnknownEntry when it was never published; CatalogueError while unit models still use a family;
    RevisionTaken when `based_on` is not the newest.
    """
    with one_writer(told=ENTRY_TAKEN), transaction.atomic(durable=True):
        latest = _latest_row(kind, slug=slug)
        if latest is None:
            raise UnknownEntry(f"The catalogue has no {kind.value.replace('_', ' ')} “{slug}” to withdraw.")
        if latest.withdrawn:
            return latest
        _refuse_overtaken(latest, based_on=based_on)
        _refuse_family_in_use(kind, slug=slug)
        return _append(
            _entry_of(latest), latest=latest, note=note, actor_user_id=actor_user_id, now=now, withdrawn=True
        )


def publish_first_revisions(which: FirstEntries, *, now: datetime) -> tuple[CatalogueRevision, ...]:
    """Return the first revisions made from `packing/data` for entries that have no revision at all.

    Entries that the shop has published, changed or withdrawn are left alone, so it can run at every start.

    Raises: CatalogueError naming file, line and key when a file or an entry is refused.
    """
    entries = first_entries(which)
    with transaction.atomic(durable=True):
        known = set(CatalogueRevision.objects.values_list("kind", "slug"))
        fresh = [entry for entry in entries if (kind_of(entry).value, entry.slug) not in known]
        if not fresh:
            return ()
        _refuse_problems(
            fresh,
            families={entry.slug: entry for entry in fresh if isinstance(entry, Family)},
            unit_models={entry.slug: entry for entry in fresh if isinstance(entry, UnitModel)},
        )
        return tuple(
            _append(entry, latest=None, note=FIRST_NOTE, actor_user_id=None, now=now) for entry in fresh
        )


def first_entries(which: FirstEntries, *, folder: Path = DATA_FOLDER) -> tuple[Entry, ...]:
    """Return the entries that `packing/data` brings: what parcels need, families, and units for a demo.

    Raises: CatalogueError naming file, line and key.
    """
    files = [folder / name for name in FIRST_FILES]
    if which is FirstEntries.DEMO:
        files += sorted((folder / "demo").glob("*.toml"))
    return tuple(
        entry
        for file in files
        for _, entry in entries_from_toml(file.read_text(encoding="utf-8"), file=file.name)
    )


def _refuse_problems(
    entries: list[Entry], *, families: Mapping[str, Family], unit_models: Mapping[str, UnitModel]
) -> None:
    """Check entries beside the published ones and the given ones, which come first."""
    now_published = catalogue()
    all_families = {**now_published.families, **families}
    all_models = {**now_published.unit_models, **unit_models}
    problems = [
        (f"{kind_of(entry).value} “{entry.slug}” {key}" if len(entries) > 1 else key, sentence)
        for entry in entries
        for key, sentence in check_entry(entry, families=all_families, unit_models=all_models)
    ]
    if problems:
        raise CatalogueError(tuple(problems))


def _refuse_family_in_use(kind: EntryKind, *, slug: str) -> None:
    if kind is not EntryKind.FAMILY:
        return
    users = [
        model.name
        for model in published(EntryKind.UNIT_MODEL).values()
        if isinstance(model, UnitModel) and model.family == slug
    ]
    if users:
        raise CatalogueError(
            (("family", f"these models still use it: {', '.join(users)}. Withdraw them first."),)
        )


def _refuse_overtaken(latest: CatalogueRevision | None, *, based_on: int) -> None:
    """Refuse a change made from another revision than the newest, withdrawn ones counted."""
    if based_on != (latest.revision if latest is not None else 0):
        raise RevisionTaken((("revision", ENTRY_TAKEN),))


def _latest_row(kind: EntryKind, *, slug: str) -> CatalogueRevision | None:
    return CatalogueRevision.objects.filter(kind=kind.value, slug=slug).order_by("-revision").first()


def _entry_of(row: CatalogueRevision) -> Entry:
    return entry_at(EntryKind(row.kind), row.slug, revision=row.revision)


def _append(
    entry: Entry,
    *,
    latest: CatalogueRevision | None,
    note: str,
    actor_user_id: int | None,
    now: datetime,
    withdrawn: bool = False,
) -> CatalogueRevision:
    if len(note) > NOTE_LENGTH_MOST:
        raise CatalogueError((("note", f"shorten the note to {NOTE_LENGTH_MOST} characters."),))
    row = CatalogueRevision(
        kind=kind_of(entry).value,
        slug=entry.slug,
        revision=1 if latest is None else latest.revision + 1,
        document=dump_entry(entry),
        published_at=now,
        published_by_id=actor_user_id,
        note=note,
        withdrawn=withdrawn,
    )
    row.save()
    return row


@contextmanager
def one_writer(*, told: str) -> Iterator[None]:
    """Turn the database's refusal of a second revision with the same number into the sentence `told`."""
    try:
        yield
    except IntegrityError as refusal:
        if "unique" not in str(refusal).lower():
            raise
        raise RevisionTaken((("revision", told),)) from refusal
