"""How a catalogue entry is written as a document and read back without loss.

A document is a mapping of plain values: JSON in the database, TOML in files. A TOML file holds any number of
`[[family]]`, `[[unit_model]]`, `[[material]]`, `[[carton]]` and `[[carrier]]` tables.
"""

import re
import tomllib
from collections.abc import Iterable, Mapping
from typing import Any, cast

import tomli_w

from packing.catalogue.curves import A, B, fill_curve
from packing.catalogue.schema import ENTRY_CLASSES, Entry, EntryKind
from packing.errors import CatalogueError
from packing.plain import Problem, from_plain, to_plain

SLUG_LENGTH_MOST = 60
_SLUG = re.compile(r"[a-z0-9]+(?:[-_][a-z0-9]+)*")


def slug_problem(slug: str, *, key: str = "slug") -> tuple[Problem, ...]:
    """Return what is wrong with a slug: lower-case letters and digits, joined by single - or _, 60 at most.

    >>> slug_problem("kv28-marine")
    ()
    >>> slug_problem("KV 28")[0][0]
    'slug'
    """
    if len(slug) <= SLUG_LENGTH_MOST and _SLUG.fullmatch(slug):
        return ()
    return (
        (
            key,
            f"“{slug}” cannot be used in an address; write lower-case letters and digits, words joined by "
            f"single hyphens or underscores, {SLUG_LENGTH_MOST} characters at most.",
        ),
    )


def kind_of(entry: Entry) -> EntryKind:
    """Return the kind of an entry.

    Raises: TypeError for anything that is not a catalogue entry.
    """
    for kind, cls in ENTRY_CLASSES.items():
        if isinstance(entry, cls):
            return kind
    raise TypeError(f"{type(entry).__name__} is not a catalogue entry")


def parse_entry(document: Mapping[str, Any], *, kind: EntryKind) -> Entry:
    """Return the entry that a document describes; a material's a and b may follow from its readings.

    Raises: CatalogueError with one (key, sentence) pair for every wrong, missing or unknown key.
    """
    if kind is EntryKind.MATERIAL and not {A, B} <= document.keys():
        document = fill_curve(document)
    entry: Entry = from_plain(ENTRY_CLASSES[kind], document)
    problems = slug_problem(entry.slug)
    if problems:
        raise CatalogueError(problems)
    return entry


def dump_entry(entry: Entry) -> dict[str, Any]:
    """Return the document of an entry; `parse_entry` gives an equal entry back."""
    return cast(dict[str, Any], to_plain(entry))


def entries_from_toml(text: str, *, file: str = "") -> tuple[tuple[EntryKind, Entry], ...]:
    """Return every entry of a TOML text, in the order family, unit model, material, carton, carrier.

    Raises: CatalogueError whose keys name the file (when given), the line of the table, and the key in it.
    """
    tables = _tables(text, file=file)
    lines = _table_lines(text)
    entries: list[tuple[EntryKind, Entry]] = []
    problems: list[Problem] = []
    first_seen: dict[tuple[EntryKind, str], str] = {}
    for kind in EntryKind:
        for at, document in enumerate(tables.get(kind.value, [])):
            place = _place(kind, document, at=at, lines=lines, file=file)
            try:
                entry = parse_entry(document, kind=kind)
            except CatalogueError as refusal:
                problems += [(f"{place}, {key}", sentence) for key, sentence in refusal.problems]
                continue
            earlier = first_seen.setdefault((kind, entry.slug), place)
            if earlier != place:
                problems.append((f"{place}, slug", f"“{entry.slug}” is used above ({earlier}); rename one."))
            entries.append((kind, entry))
    if problems:
        raise CatalogueError(tuple(problems))
    return tuple(entries)


def entries_to_toml(entries: Iterable[Entry]) -> str:
    """Return a TOML text that `entries_from_toml` reads back as equal entries, grouped by kind."""
    tables: dict[str, list[dict[str, Any]]] = {}
    by_kind = [(kind_of(entry), entry) for entry in entries]
    for kind in EntryKind:
        documents = [dump_entry(entry) for entry_kind, entry in by_kind if entry_kind is kind]
        if documents:
            tables[kind.value] = documents
    return tomli_w.dumps(tables)


def _named(file: str, place: str) -> str:
    return f"{file}, {place}" if file else place


def _tables(text: str, *, file: str) -> dict[str, list[Any]]:
    """Return the arrays of tables of a TOML text, refusing any other top-level name."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as refusal:
        found = re.search(r"line \d+", str(refusal))
        sentence = (
            "the text cannot be read from here on; look for a missing quotation mark, bracket or comma."
        )
        raise CatalogueError(((_named(file, found[0] if found else "end of text"), sentence),)) from refusal
    known = [kind.value for kind in EntryKind]
    problems: list[Problem] = []
    for name, value in data.items():
        if name not in known:
            tables = ", ".join(f"[[{each}]]" for each in known)
            problems.append((_named(file, name), f"this table is not known here; known are {tables}."))
        elif not isinstance(value, list):
            problems.append((_named(file, name), f"write each entry under its own [[{name}]] line."))
    if problems:
        raise CatalogueError(tuple(problems))
    return data


def _table_lines(text: str) -> dict[str, list[int]]:
    """Return the line number of each `[[kind]]` header, by kind, in order."""
    lines: dict[str, list[int]] = {kind.value: [] for kind in EntryKind}
    for number, line in enumerate(text.splitlines(), 1):
        found = re.fullmatch(r"\s*\[\[\s*(\w+)\s*\]\]\s*(?:#.*)?", line)
        if found and found[1] in lines:
            lines[found[1]].append(number)
    return lines


def _place(kind: EntryKind, document: Any, *, at: int, lines: dict[str, list[int]], file: str) -> str:
    """Return where a table stands, such as `shop.toml, carton “c-12” (line 40)`."""
    slug = document.get("slug") if isinstance(document, Mapping) else None
    name = f"{kind.value} “{slug}”" if slug else f"{kind.value} {at + 1}"
    known = lines[kind.value]
    return _named(file, f"{name} (line {known[at]})" if at < len(known) else name)
