"""What would a TOML file change, entry by entry, and what of it is refused?

A file holds any number of tables of any kind, `[[unit_model]]`, `[[route]]` and so on, in any order. It is
checked as a whole: a model may come with its family, a route with its benches.
"""

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

import tomli_w
from django.utils.translation import gettext as _

from jobs.domain.shop import ShopKind
from jobs.services.shop import problems_together
from packing import selectors as catalogue
from packing.catalogue.documents import slug_problem
from packing.catalogue.rules import check_entry
from packing.catalogue.schema import Entry, EntryKind, Family, UnitModel
from packing.errors import CatalogueError
from packing.plain import Problem, to_plain
from portal.owner import kinds
from portal.owner.changes import Change, find_changes
from portal.owner.kinds import DocumentKind
from portal.owner.references import References, references


class LineState(StrEnum):
    """What publishing would do with one entry of the file."""

    NEW = "new"
    CHANGED = "changed"
    UNCHANGED = "unchanged"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class ImportLine:
    """One entry of the file: what it is, what it would change, or why it is refused."""

    kind: DocumentKind
    slug: str
    name: str
    state: LineState
    problems: tuple[Problem, ...] = ()
    changes: tuple[Change, ...] = ()
    entry: Any = None


@dataclass(frozen=True, slots=True)
class ImportPlan:
    """The whole file; `problems` concern the file and none of its entries."""

    lines: tuple[ImportLine, ...] = ()
    problems: tuple[Problem, ...] = ()
    counts: dict[str, int] = field(default_factory=dict)

    @property
    def may_publish(self) -> bool:
        """Whether nothing is refused and something would change."""
        changing = {LineState.NEW, LineState.CHANGED}
        return not self.problems and not self._refused and any(line.state in changing for line in self.lines)

    @property
    def _refused(self) -> bool:
        return any(line.state is LineState.REFUSED for line in self.lines)

    @property
    def shown(self) -> tuple[ImportLine, ...]:
        """The entries of which there is something to say."""
        return tuple(line for line in self.lines if line.state is not LineState.UNCHANGED)

    @property
    def counted_words(self) -> str:
        """How many entries are new, changed, unchanged and refused, without those of which there is none."""
        words = {
            LineState.NEW: _("%(count)d new"),
            LineState.CHANGED: _("%(count)d changed"),
            LineState.UNCHANGED: _("%(count)d unchanged"),
            LineState.REFUSED: _("%(count)d refused"),
        }
        counted = ((words[state], self.counts[state.value]) for state in words)
        return ", ".join(said % {"count": count} for said, count in counted if count)


def to_toml(pairs: Iterable[tuple[DocumentKind, Any]]) -> str:
    """Return documents as one TOML text, a table for each, which `read_toml` reads back unchanged."""
    tables: dict[str, list[dict[str, Any]]] = {}
    for kind, entry in pairs:
        tables.setdefault(kind.key, []).append(to_plain(entry))
    return tomli_w.dumps(tables)


def read_toml(text: str) -> ImportPlan:
    """Return what the file would change; nothing is written."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as refusal:
        return ImportPlan(problems=(_unreadable(refusal),))
    problems = tuple(_unknown_tables(data))
    if problems:
        return ImportPlan(problems=problems)
    lines = [_parse_line(kind, document) for kind in kinds.KINDS for document in data.get(kind.key, ())]
    if not lines:
        return ImportPlan(
            problems=(("", _("The file has no entries; it begins each with a line like [[carton]].")),)
        )
    lines = _refuse_doubles(lines)
    lines = _check_together(lines)
    known = references()
    in_use = {kind.key: kinds.published(kind) for kind in kinds.KINDS if kind.key in data}
    lines = [_compared(line, now=in_use[line.kind.key].get(line.slug), known=known) for line in lines]
    counts = {state.value: sum(line.state is state for line in lines) for state in LineState}
    return ImportPlan(tuple(lines), counts=counts)


def publishable(plan: ImportPlan) -> tuple[tuple[Entry, ...], dict[ShopKind, tuple[Any, ...]]]:
    """Return what is new or changed: the catalogue's entries, and the shop's documents by kind."""
    wanted = [line for line in plan.lines if line.state in {LineState.NEW, LineState.CHANGED}]
    entries = tuple(line.entry for line in wanted if isinstance(line.kind.kind, EntryKind))
    documents: dict[ShopKind, tuple[Any, ...]] = {}
    for line in wanted:
        if isinstance(line.kind.kind, ShopKind):
            documents[line.kind.kind] = (*documents.get(line.kind.kind, ()), line.entry)
    return entries, documents


def write_seen(plan: ImportPlan, *, newest: Mapping[tuple[str, str], int]) -> str:
    """Return the revisions that the plan was compared with, for the form that publishes it to carry."""
    keys = [(line.kind.key, line.slug) for line in plan.lines if line.state is not LineState.REFUSED]
    return " ".join(f"{kind}/{slug}:{newest.get((kind, slug), 0)}" for kind, slug in keys)


def read_seen(text: str) -> dict[tuple[str, str], int]:
    """Return the revisions by kind and slug that `write_seen` wrote; what cannot be read is left out."""
    found: dict[tuple[str, str], int] = {}
    for part in text.split():
        name, _colon, number = part.rpartition(":")
        kind, _slash, slug = name.partition("/")
        if kinds.SOME_NUMBER.fullmatch(number):
            found[kind, slug] = int(number)
    return found


def _unreadable(refusal: tomllib.TOMLDecodeError) -> Problem:
    found = re.search(r"line (\d+)", str(refusal))
    where = _("Line %(line)s") % {"line": found[1]} if found else _("End of the file")
    return where, _(
        "the text cannot be read from here on; look for a missing quotation mark, bracket or comma."
    )


def _unknown_tables(data: Mapping[str, Any]) -> Iterable[Problem]:
    for name, value in data.items():
        if name not in kinds.BY_KEY:
            yield (
                name,
                _("this table is not known here; known are %(names)s.") % {"names": ", ".join(kinds.BY_KEY)},
            )
        elif not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
            yield name, _("write each entry under its own line [[%(name)s]].") % {"name": name}


def _parse_line(kind: DocumentKind, document: Mapping[str, Any]) -> ImportLine:
    slug = str(document.get("slug", kind.fixed_slugs[0] if kind.is_single else ""))
    name = str(document.get("name", slug))
    try:
        entry = kinds.parse(kind, document)
    except CatalogueError as refusal:
        return ImportLine(kind, slug, name, LineState.REFUSED, refusal.problems)
    wrong = () if kind.fixed_slugs else slug_problem(slug)
    if kind.fixed_slugs and slug not in kind.fixed_slugs:
        wrong = (("slug", _("this has to be one of %(names)s.") % {"names": ", ".join(kind.fixed_slugs)}),)
    state = LineState.REFUSED if wrong else LineState.NEW
    return ImportLine(kind, slug, kinds.name_of(kind, entry), state, wrong, entry=entry)


def _refuse_doubles(lines: list[ImportLine]) -> list[ImportLine]:
    seen: set[tuple[str, str]] = set()
    kept: list[ImportLine] = []
    for line in lines:
        if (line.kind.key, line.slug) in seen:
            kept.append(_refused(line, (("slug", _("this stands in the file twice; keep one.")),)))
        else:
            kept.append(line)
        seen.add((line.kind.key, line.slug))
    return kept


def _check_together(lines: list[ImportLine]) -> list[ImportLine]:
    """Ask the rules of every entry beside the published ones and the others of the file."""
    sound = [line for line in lines if line.state is not LineState.REFUSED]
    now_published = catalogue.catalogue()
    families = {
        **now_published.families,
        **{e.entry.slug: e.entry for e in sound if isinstance(e.entry, Family)},
    }
    models = {
        **now_published.unit_models,
        **{e.entry.slug: e.entry for e in sound if isinstance(e.entry, UnitModel)},
    }
    documents: dict[ShopKind, list[Any]] = {}
    for line in sound:
        if isinstance(line.kind.kind, ShopKind) and line.kind.kind is not ShopKind.HOURS:
            documents.setdefault(line.kind.kind, []).append(line.entry)
    together = problems_together(documents)
    checked: list[ImportLine] = []
    for line in lines:
        found: tuple[Problem, ...] = ()
        if line in sound and isinstance(line.kind.kind, EntryKind):
            found = check_entry(line.entry, families=families, unit_models=models)
        elif line in sound:
            found = tuple(each for each in together if _is_about(each, line=line))
        checked.append(_refused(line, found) if found else line)
    if together and not any(line.state is LineState.REFUSED for line in checked):
        return [
            _refused(line, together) if line.kind.key in {"route", "work_centre", "person"} else line
            for line in checked
        ]
    return checked


def _is_about(problem: Problem, *, line: ImportLine) -> bool:
    """Say whether a problem of the shop's documents together concerns this one: routes are named by slug."""
    if line.kind.kind is ShopKind.SHOP:
        return problem[0] == "test_level"
    return problem[0].split(".")[0] in {line.slug, f"{line.kind.key}s"}


def _refused(line: ImportLine, problems: tuple[Problem, ...]) -> ImportLine:
    return ImportLine(line.kind, line.slug, line.name, LineState.REFUSED, (*line.problems, *problems))


def _compared(line: ImportLine, *, now: Any, known: References) -> ImportLine:
    """Return the line as new, changed or unchanged beside what is published now (None: nothing)."""
    if line.state is LineState.REFUSED or now is None:
        return line
    if now == line.entry:
        return ImportLine(line.kind, line.slug, line.name, LineState.UNCHANGED, entry=line.entry)
    changes = find_changes(
        to_plain(now), to_plain(line.entry), shapes=line.kind.shapes, owner=line.kind.cls, known=known
    )
    return ImportLine(line.kind, line.slug, line.name, LineState.CHANGED, changes=changes, entry=line.entry)
