"""Changing a document: type, look at what would change, publish with a note.

Everything typed lives in a draft until it is published or thrown away; adding a row, looking at the preview
and coming back lose nothing.
"""

from collections.abc import Iterable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from jobs.domain.shop import MessageText
from jobs.messages.compose import sample_mail
from packing import selectors as catalogue
from packing.catalogue.fields import FieldShape
from packing.catalogue.schema import Material
from packing.errors import CatalogueError, RevisionTaken
from packing.plain import to_plain
from portal.owner import kinds, typed
from portal.owner.changes import find_changes
from portal.owner.curve_chart import show_curve
from portal.owner.drafts import Draft, drop_draft, find_draft, keep_draft
from portal.owner.editor import DocumentForm, without_blank_rows
from portal.owner.effects import find_effects
from portal.owner.forms import NoteForm
from portal.owner.kinds import DocumentKind, kind_or_404
from portal.owner.navigation import page
from portal.owner.overtaken import overtaken_page
from portal.owner.plan_panel import CHOOSING_KINDS, SHOWN_KINDS, choose_model, find_panel
from portal.owner.references import references
from portal.shared.actors import staff_actor
from portal.shared.days import day_words

EDIT_METHODS = ["GET", "HEAD", "POST"]


@require_http_methods(EDIT_METHODS)
def new(request: HttpRequest, kind: str) -> HttpResponse:
    """Write a document that is not there yet."""
    found = kind_or_404(kind)
    if found.fixed_slugs:
        raise Http404
    return _edit(request, kind=found, slug="")


@require_http_methods(EDIT_METHODS)
def edit(request: HttpRequest, kind: str, slug: str) -> HttpResponse:
    """Change a document that is published, or bring a withdrawn one back."""
    found = kind_or_404(kind)
    if not _is_known(found, slug):
        raise Http404
    return _edit(request, kind=found, slug=slug)


@require_http_methods(EDIT_METHODS)
def preview_new(request: HttpRequest, kind: str) -> HttpResponse:
    """Look at a new document before it is published, and publish it."""
    return _preview(request, kind=kind_or_404(kind), slug="")


@require_http_methods(EDIT_METHODS)
def preview(request: HttpRequest, kind: str, slug: str) -> HttpResponse:
    """Look at what would change before it is published, and publish it."""
    return _preview(request, kind=kind_or_404(kind), slug=slug)


@require_POST
def discard(request: HttpRequest, kind: str, slug: str) -> HttpResponse:
    """Throw away what was typed and not published; `new` stands for the document that has no name yet."""
    found = kind_or_404(kind)
    drop_draft(request.session, kind=found, slug="" if slug == "new" else slug)
    messages.success(request, _("What you had typed is thrown away; the published one is unchanged."))
    return (
        redirect("owner:entries", kind=kind)
        if slug == "new"
        else redirect("owner:entry", kind=kind, slug=slug)
    )


# --- typing --------------------------------------------------------------------------------------------


def _edit(request: HttpRequest, *, kind: DocumentKind, slug: str) -> HttpResponse:
    if request.method == "POST":
        return _take(request, kind=kind, slug=slug)
    draft = find_draft(request.session, kind=kind, slug=slug)
    # Asked for before the document: what is published between the two is then found out, never overwritten.
    based_on = draft.based_on if draft else kinds.newest(kind, slug)
    tree = draft.tree if draft else _published_tree(kind, slug)
    open_row = request.GET.get("row", "")
    form = DocumentForm(kind, tree=tree, fixed_slug=slug, is_sent=False, open_row=open_row)
    return _editor(request, kind=kind, slug=slug, form=form, based_on=based_on, has_draft=draft is not None)


def _take(request: HttpRequest, *, kind: DocumentKind, slug: str) -> HttpResponse:
    """Keep what was typed, then add a row, remove one, or go on to the preview when all of it can be read."""
    tree = typed.from_post(request.POST, shapes=kind.shapes)
    based_on = _drawn_from(request, kind=kind, slug=slug)
    here = _edit_url(kind, slug)
    try:
        if path := request.POST.get("add"):
            row = typed.add_row(tree, path=path, shapes=kind.shapes)
            keep_draft(request.session, kind=kind, slug=slug, draft=Draft(tree, based_on))
            return redirect(f"{here}?row={row}#row-{row}")
        if path := request.POST.get("remove"):
            typed.remove_row(tree, path=path)
            keep_draft(request.session, kind=kind, slug=slug, draft=Draft(tree, based_on))
            rows = path.rpartition(typed.JOIN)[0]
            return redirect(f"{here}?row={rows.rpartition(typed.JOIN)[0]}#rows-{rows}")
    except (LookupError, ValueError) as wrong:
        raise Http404 from wrong
    tree = without_blank_rows(tree, shapes=kind.shapes)
    form = DocumentForm(kind, tree=tree, fixed_slug=slug, is_sent=True)
    is_sound = form.is_valid()
    if is_sound and not slug:
        # A short name that is free may have had a document that is withdrawn.
        based_on = kinds.newest(kind, _name_of(form, kind=kind))
    is_sound = is_sound and not _is_taken(form, kind=kind, slug=slug)
    keep_draft(request.session, kind=kind, slug=slug, draft=Draft(tree, based_on))
    if is_sound and "look" not in request.POST:
        return redirect(_preview_url(kind, slug))
    return _editor(request, kind=kind, slug=slug, form=form, based_on=based_on, has_draft=True)


def _drawn_from(request: HttpRequest, *, kind: DocumentKind, slug: str) -> int:
    """Return the revision that the form which was sent was drawn from."""
    if kinds.SOME_NUMBER.fullmatch(sent := request.POST.get("based_on", "")):
        return int(sent)
    draft = find_draft(request.session, kind=kind, slug=slug)
    return draft.based_on if draft else kinds.newest(kind, slug)


def _is_taken(form: DocumentForm, *, kind: DocumentKind, slug: str) -> bool:
    """Refuse a new document whose short name is in use; it would quietly replace the other."""
    if slug or form.entry.slug not in kinds.published(kind):
        return False
    if kind.key == "closed_day":
        sentence = _("%(day)s is a closed day already: change that one, or choose another date.")
        form.add_error("on", sentence % {"day": day_words(form.entry.slug)})
        return True
    name = "slug" if "slug" in form.fields else next(iter(form.fields))
    sentence = _("“%(slug)s” is in use already: change that one, or give this one another name.")
    form.add_error(name, sentence % {"slug": form.entry.slug})
    return True


def _editor(
    request: HttpRequest,
    *,
    kind: DocumentKind,
    slug: str,
    form: DocumentForm,
    based_on: int,
    has_draft: bool,
) -> HttpResponse:
    published = kinds.published(kind).get(slug) if slug else None
    parts = form.parts()
    look = _look(request, kind=kind, slug=slug, before=published, entry=form.entry)
    context = page(
        "data",
        kind=kind,
        slug=slug,
        name=kinds.name_of(kind, published) if published is not None else "",
        form=form,
        parts=parts,
        edit_url=_edit_url(kind, slug),
        based_on=based_on,
        sections=tuple(part for part in parts if part.legend),
        has_lengths=any(typed.is_measured(shape) for shape in _all_shapes(kind.shapes)),
        has_draft=has_draft,
        **look,
    )
    return render(request, "owner/edit.html", context)


def _look(request: HttpRequest, *, kind: DocumentKind, slug: str, before: Any, entry: Any) -> dict[str, Any]:
    """Return the plan as it would be with what is typed, and the unit models it can be shown with."""
    if kind.key not in SHOWN_KINDS:
        return {"is_live": False, "panel": None, "models": (), "model_slug": ""}
    now_published = catalogue.catalogue()
    models = now_published.unit_models if kind.key in CHOOSING_KINDS else {}
    asked = request.POST.get("look_model", "")
    chosen = choose_model(asked, using=slug, published=now_published) if models else ""
    panel = None
    if entry is not None and "look" in request.POST:
        panel = find_panel(
            before, entry, model_slug=chosen, published=now_published, today=timezone.localdate()
        )
    return {"is_live": True, "panel": panel, "models": tuple(models.values()), "model_slug": chosen}


def _all_shapes(shapes: Iterable[FieldShape]) -> Iterable[FieldShape]:
    for shape in shapes:
        yield shape
        yield from _all_shapes(shape.inner)


# --- looking and publishing ----------------------------------------------------------------------------


def _preview(request: HttpRequest, *, kind: DocumentKind, slug: str) -> HttpResponse:
    draft = find_draft(request.session, kind=kind, slug=slug)
    here = _edit_url(kind, slug)
    if draft is None:
        return redirect(here)
    form = DocumentForm(kind, tree=draft.tree, fixed_slug=slug, is_sent=True)
    if not form.is_valid():
        return redirect(here)
    name = slug or _name_of(form, kind=kind)
    if kinds.newest(kind, name) != draft.based_on:
        return _overtaken(request, kind=kind, slug=slug, name=name, draft=draft)
    # What is new needs no reason; a change does.
    initial = {} if draft.based_on else {"note": _("First entry")}
    note = NoteForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and note.is_valid():
        try:
            row = kinds.publish(
                kind,
                form.entry,
                based_on=draft.based_on,
                note=note.cleaned_data["note"],
                actor=staff_actor(request),
                now=timezone.now(),
            )
        except RevisionTaken:
            return _overtaken(request, kind=kind, slug=slug, name=name, draft=draft)
        except CatalogueError as refusal:
            note.add_error(None, [f"{key}: {sentence}" for key, sentence in refusal.problems])
        else:
            drop_draft(request.session, kind=kind, slug=slug)
            said = {"name": kinds.name_of(kind, form.entry), "number": row.revision}
            messages.success(request, _("%(name)s is published as revision %(number)d.") % said)
            return redirect("owner:entry", kind=kind.key, slug=row.slug)
    number = draft.based_on + 1
    return _previewed(
        request, kind=kind, slug=slug, entry=form.entry, note=note, edit_url=here, number=number
    )


def _overtaken(
    request: HttpRequest, *, kind: DocumentKind, slug: str, name: str, draft: Draft
) -> HttpResponse:
    """Show what another published meanwhile; a draft of that document stands against it from now on.

    A new document that found its name taken waits for another name instead.
    """
    newest = kinds.newest(kind, name)
    if slug:
        keep_draft(request.session, kind=kind, slug=slug, draft=Draft(draft.tree, newest))
    go_on_url = _preview_url(kind, slug) if slug else _edit_url(kind, slug)
    return overtaken_page(
        request, kind=kind, slug=name, based_on=draft.based_on, go_on_url=go_on_url, is_new=not slug
    )


def _models_before(request: HttpRequest) -> int:
    """Return how many models' parcels were shown already; 0 for anything that is not a number."""
    asked = request.GET.get("models_before", "")
    return int(asked) if asked.isdecimal() and len(asked) < 7 else 0


def _previewed(
    request: HttpRequest,
    *,
    kind: DocumentKind,
    slug: str,
    entry: Any,
    note: NoteForm,
    edit_url: str,
    number: int,
) -> HttpResponse:
    before = kinds.published(kind).get(slug) if slug else None
    changes = find_changes(
        to_plain(before) if before is not None else {},
        to_plain(entry),
        shapes=kind.told_shapes,
        owner=kind.cls,
        known=references(),
    )
    document = to_plain(entry)
    context = page(
        "data",
        kind=kind,
        slug=slug,
        name=kinds.name_of(kind, entry),
        form=note,
        edit_url=edit_url,
        is_new=before is None,
        changes=changes,
        warnings=kinds.warnings(kind, entry),
        effects=find_effects(
            before,
            entry,
            published=catalogue.catalogue(),
            today=timezone.localdate(),
            models_before=_models_before(request),
        ),
        curve=show_curve(entry) if isinstance(entry, Material) else None,
        origin=document.get("source", {}).get("origin", ""),
        source=document.get("source", {}).get("text", ""),
        revision=number,
        mail=sample_mail(entry, today=timezone.localdate()) if isinstance(entry, MessageText) else None,
    )
    return render(request, "owner/preview.html", context)


def _edit_url(kind: DocumentKind, slug: str) -> str:
    return reverse("owner:edit", args=[kind.key, slug]) if slug else reverse("owner:new", args=[kind.key])


def _preview_url(kind: DocumentKind, slug: str) -> str:
    if slug:
        return reverse("owner:preview", args=[kind.key, slug])
    return reverse("owner:preview_new", args=[kind.key])


def _is_known(kind: DocumentKind, slug: str) -> bool:
    return slug in kind.fixed_slugs or slug in kinds.published(kind) or bool(kinds.revisions(kind, slug))


def _name_of(form: DocumentForm, *, kind: DocumentKind) -> str:
    """Return the short name that a document which can be read would be published under."""
    return str(getattr(form.entry, "slug", kind.key))


def _published_tree(kind: DocumentKind, slug: str) -> typed.Typed:
    """Return the inputs of the published document, the newest withdrawn one, or a usual or empty one."""
    entry = kinds.published(kind).get(slug) if slug else None
    if entry is not None:
        return typed.from_document(to_plain(entry), shapes=kind.shapes)
    rows = kinds.revisions(kind, slug) if slug else ()
    document = rows[0].document if rows else kinds.usual_document(kind)
    return typed.from_document(document, shapes=kind.shapes)
