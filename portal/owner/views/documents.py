"""What does the shop know: every document as it is published, its history, and all of it as TOML?"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from jobs.selectors import shop
from packing import selectors as catalogue
from packing.catalogue.schema import Material
from packing.plain import to_plain
from portal.owner import kinds
from portal.owner.changes import find_changes
from portal.owner.curve_chart import show_curve
from portal.owner.drafts import NEW, drafted
from portal.owner.effects import find_effects
from portal.owner.entry_words import line_words
from portal.owner.imports import to_toml
from portal.owner.kinds import DocumentKind, Revision, kind_or_404
from portal.owner.navigation import Cell, page
from portal.owner.reading import read_document
from portal.owner.references import references


@dataclass(frozen=True, slots=True)
class KindLine:
    """One kind of document and how many of it are in use."""

    kind: DocumentKind
    count: int
    url: str


@dataclass(frozen=True, slots=True)
class EntryLine:
    """One document in the list of its kind."""

    slug: str
    name: str
    words: str
    origin: str
    has_draft: bool


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """One revision in the history of a document."""

    number: int
    published_at: datetime
    by: str
    note: str
    withdrawn: bool


@require_safe
def data(request: HttpRequest) -> HttpResponse:
    """Show every kind of document."""
    known = catalogue.catalogue()
    counts = {
        "family": len(known.families), "unit_model": len(known.unit_models), "material": len(known.materials),
        "carton": len(known.cartons), "carrier": len(known.carriers),
    }  # fmt: skip
    lines = [
        KindLine(kind, counts[kind.key] if kind.key in counts else len(kinds.published(kind)), kind.key)
        for kind in kinds.KINDS
    ]
    context = page("data", shop_lines=lines[:7], catalogue_lines=lines[7:])
    return render(request, "owner/data.html", context)


@require_safe
def entries(request: HttpRequest, kind: str) -> HttpResponse:
    """Show the documents of one kind; a kind of one document goes to it, closed days to their own page."""
    found = kind_or_404(kind)
    if found.is_single:
        return redirect("owner:entry", kind=kind, slug=found.fixed_slugs[0])
    if kind == "closed_day":
        return redirect("owner:closed_days")
    text = request.GET.get("q", "").strip()[:80]
    with_draft = drafted(request.session, kind=found)
    listed = [_line(found, entry, with_draft=with_draft) for entry in kinds.published(found).values()]
    lines = [line for line in listed if text.lower() in f"{line.slug} {line.name} {line.words}".lower()]
    context = page(
        "data",
        kind=found,
        lines=lines,
        total=len(listed),
        text=text,
        has_origin=any(line.origin for line in lines),
        may_add=not found.fixed_slugs,
        has_new_draft=NEW in with_draft,
    )
    return render(request, "owner/entries.html", context)


@require_safe
def entry(request: HttpRequest, kind: str, slug: str) -> HttpResponse:
    """Show one document as it is published, what it brings about, and its history."""
    found = kind_or_404(kind)
    revisions = kinds.revisions(found, slug)
    published = kinds.published(found).get(slug)
    if published is None and not revisions:
        if found.is_single:
            return redirect("owner:edit", kind=kind, slug=slug)
        raise Http404
    shown = published if published is not None else kinds.parse(found, revisions[0].document)
    document = to_plain(shown)
    source = document.get("source", {})
    effects = None
    if kind == "unit_model":
        effects = find_effects(shown, shown, published=catalogue.catalogue(), today=timezone.localdate())
    context = page(
        "data",
        kind=found,
        slug=slug,
        name=kinds.name_of(found, shown),
        is_withdrawn=published is None,
        has_draft=slug in drafted(request.session, kind=found),
        parts=_readings(found, document),
        origin=source.get("origin", "") if isinstance(source, dict) else "",
        source=source.get("text", "") if isinstance(source, dict) else "",
        revisions=tuple(_revision_line(row) for row in revisions),
        parcels=effects.parcels if effects else (),
        curve=show_curve(shown) if isinstance(shown, Material) else None,
        may_withdraw=published is not None and not found.fixed_slugs,
        zone=shop.zone().key,
        title_cells=_title_cells(found, name=slug, number=revisions[0].revision if revisions else 0),
    )
    return render(request, "owner/entry.html", context)


@require_safe
def revision(request: HttpRequest, kind: str, slug: str, number: int) -> HttpResponse:
    """Show a document as one revision had it, and what that revision changed."""
    found = kind_or_404(kind)
    history = {row.revision: row for row in kinds.revisions(found, slug)}
    row = history.get(number)
    if row is None:
        raise Http404
    before = history.get(number - 1)
    changes = (
        find_changes(before.document, row.document, shapes=found.shapes, owner=found.cls, known=references())
        if before
        else ()
    )
    context = page(
        "data",
        kind=found,
        slug=slug,
        name=str(row.document.get("name") or slug),
        line=_revision_line(row),
        newest=max(history),
        is_first=before is None,
        changes=changes,
        parts=_readings(found, row.document),
        zone=shop.zone().key,
        title_cells=_title_cells(found, name=slug, number=number),
    )
    return render(request, "owner/revision.html", context)


@require_safe
def export_all(request: HttpRequest) -> HttpResponse:
    """Return everything that is published as one TOML file."""
    pairs = [(kind, each) for kind in kinds.KINDS for each in _in_use(kind)]
    return _toml(pairs, name="shop-and-catalogue")


@require_safe
def export_kind(request: HttpRequest, kind: str) -> HttpResponse:
    """Return all documents of one kind as TOML."""
    found = kind_or_404(kind)
    return _toml([(found, each) for each in _in_use(found)], name=found.key)


@require_safe
def export_entry(request: HttpRequest, kind: str, slug: str) -> HttpResponse:
    """Return one document as TOML."""
    found = kind_or_404(kind)
    one = kinds.published(found).get(slug)
    if one is None:
        raise Http404
    return _toml([(found, one)], name=f"{found.key}-{slug}")


def _in_use(kind: DocumentKind) -> Iterable[Any]:
    return kinds.published(kind).values()


def _toml(pairs: Iterable[tuple[DocumentKind, Any]], *, name: str) -> HttpResponse:
    day = timezone.now().astimezone(shop.zone()).date().isoformat()
    response = HttpResponse(to_toml(pairs), content_type="application/toml; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}-{day}.toml"'
    return response


def _readings(kind: DocumentKind, document: dict[str, Any]) -> Any:
    return read_document(document, shapes=kind.shapes, owner=kind.cls, known=references())


def _line(kind: DocumentKind, entry: Any, *, with_draft: frozenset[str]) -> EntryLine:
    source = getattr(entry, "source", None)
    return EntryLine(
        slug=entry.slug,
        name=kinds.name_of(kind, entry),
        words=line_words(entry),
        origin=source.origin.value if source else "",
        has_draft=entry.slug in with_draft,
    )


def _revision_line(row: Revision) -> RevisionLine:
    by = str(row.published_by) if row.published_by else _("the files of the first start")
    return RevisionLine(row.revision, row.published_at, by, row.note, row.withdrawn)


def _title_cells(kind: DocumentKind, *, name: str, number: int) -> tuple[Cell, ...]:
    return (
        Cell(_("Sheet"), str(kind.one).capitalize()),
        Cell(_("Short name"), name),
        Cell(_("Revision"), str(number) if number else _("not published")),
    )
