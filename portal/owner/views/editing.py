"""Changing a document: type, add rows, remove them, go on to the preview.

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

from packing import selectors as catalogue
from packing.catalogue.fields import FieldShape
from packing.plain import to_plain
from portal.owner import kinds, typed
from portal.owner.drafts import Draft, drop_draft, find_draft, keep_draft
from portal.owner.editor import DocumentForm, without_blank_rows
from portal.owner.kinds import DocumentKind, kind_or_404
from portal.owner.navigation import page
from portal.owner.plan_panel import CHOOSING_KINDS, SHOWN_KINDS, choose_model, find_panel
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
    here = editor_address(kind, slug)
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
        based_on = kinds.newest(kind, name_in_form(form, kind=kind))
    is_sound = is_sound and not _is_taken(form, kind=kind, slug=slug)
    keep_draft(request.session, kind=kind, slug=slug, draft=Draft(tree, based_on))
    if is_sound and "look" not in request.POST:
        return redirect(preview_address(kind, slug))
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
    sections = tuple(part for part in parts if part.legend)
    look = _look(request, kind=kind, slug=slug, before=published, entry=form.entry)
    context = page(
        "data",
        kind=kind,
        slug=slug,
        name=kinds.name_of(kind, published) if published is not None else "",
        form=form,
        parts=parts,
        edit_url=editor_address(kind, slug),
        based_on=based_on,
        sections=sections if len(sections) > 1 else (),
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


def editor_address(kind: DocumentKind, slug: str) -> str:
    """Return where a document is typed; a new one has no slug."""
    return reverse("owner:edit", args=[kind.key, slug]) if slug else reverse("owner:new", args=[kind.key])


def preview_address(kind: DocumentKind, slug: str) -> str:
    """Return where a document is looked at before it is published; a new one has no slug."""
    if slug:
        return reverse("owner:preview", args=[kind.key, slug])
    return reverse("owner:preview_new", args=[kind.key])


def _is_known(kind: DocumentKind, slug: str) -> bool:
    return slug in kind.fixed_slugs or slug in kinds.published(kind) or bool(kinds.revisions(kind, slug))


def name_in_form(form: DocumentForm, *, kind: DocumentKind) -> str:
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
