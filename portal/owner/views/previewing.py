"""Looking at what would change before it is published, and publishing it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from jobs.domain.shop import MessageText
from jobs.messages.compose import sample_mail
from packing import selectors as catalogue
from packing.catalogue.schema import Material
from packing.errors import CatalogueError, RevisionTaken
from packing.plain import to_plain
from portal.owner import kinds
from portal.owner.changes import find_changes
from portal.owner.curve_chart import show_curve
from portal.owner.drafts import Draft, drop_draft, find_draft, keep_draft
from portal.owner.editor import DocumentForm
from portal.owner.effects import find_effects
from portal.owner.forms import NoteForm
from portal.owner.kinds import DocumentKind, kind_or_404
from portal.owner.navigation import page
from portal.owner.overtaken import overtaken_page
from portal.owner.references import references
from portal.owner.views.editing import EDIT_METHODS, editor_address, name_in_form, preview_address
from portal.shared.actors import staff_actor


@require_http_methods(EDIT_METHODS)
def preview_new(request: HttpRequest, kind: str) -> HttpResponse:
    """Look at a new document before it is published, and publish it."""
    return _preview(request, kind=kind_or_404(kind), slug="")


@require_http_methods(EDIT_METHODS)
def preview(request: HttpRequest, kind: str, slug: str) -> HttpResponse:
    """Look at what would change before it is published, and publish it."""
    return _preview(request, kind=kind_or_404(kind), slug=slug)


def _preview(request: HttpRequest, *, kind: DocumentKind, slug: str) -> HttpResponse:
    draft = find_draft(request.session, kind=kind, slug=slug)
    here = editor_address(kind, slug)
    if draft is None:
        return _nothing_typed(request, kind=kind, slug=slug)
    form = DocumentForm(kind, tree=draft.tree, fixed_slug=slug, is_sent=True)
    if not form.is_valid():
        return redirect(here)
    name = slug or name_in_form(form, kind=kind)
    if kinds.newest(kind, name) != draft.based_on:
        return _overtaken(request, kind=kind, slug=slug, name=name, draft=draft)
    # What is new needs no reason; a change does.
    initial = {} if draft.based_on else {"note": _("First entry")}
    note = NoteForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and request.POST.get("seen", draft.mark) != draft.mark:
        note.add_error(None, _("This was typed anew in another window meanwhile. Here is how it stands now."))
    elif request.method == "POST" and note.is_valid():
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
        request, kind=kind, slug=slug, entry=form.entry, note=note, edit_url=here, number=number, draft=draft
    )


def _nothing_typed(request: HttpRequest, *, kind: DocumentKind, slug: str) -> HttpResponse:
    """Lead on from the preview of what is typed no more; who meant to publish it is told."""
    if request.method != "POST":
        return redirect(editor_address(kind, slug))
    sentence = _("Nothing is left to publish here: what was typed is published already, or thrown away.")
    messages.warning(request, sentence)
    return (
        redirect("owner:entry", kind=kind.key, slug=slug)
        if slug and kinds.revisions(kind, slug)
        else redirect("owner:entries", kind=kind.key)
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
    go_on_url = preview_address(kind, slug) if slug else editor_address(kind, slug)
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
    draft: Draft,
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
        seen=draft.mark,
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
