"""What did somebody else publish while this was being typed, and where does it go on?"""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from portal.owner import kinds
from portal.owner.changes import Change, find_changes
from portal.owner.kinds import DocumentKind, Revision
from portal.owner.navigation import page
from portal.owner.references import references


def overtaken_page(
    request: HttpRequest, *, kind: DocumentKind, slug: str, based_on: int, go_on_url: str, is_new: bool
) -> HttpResponse:
    """Return the page that shows the other's revision beside the one this change was made from."""
    context = page(
        "data", kind=kind, go_on_url=go_on_url, is_new=is_new, **what_came(kind, slug, based_on=based_on)
    )
    return render(request, "owner/overtaken.html", context, status=409)


def what_came(kind: DocumentKind, slug: str, *, based_on: int) -> dict[str, Any]:
    """Return the newest revision in words, and what it changed of the one with the number `based_on`."""
    history = {row.revision: row for row in kinds.revisions(kind, slug)}
    newest = history[max(history)]
    return {
        "slug": slug,
        "name": _called(kind, newest),
        "sentence": _sentence(newest),
        "note": newest.note,
        "changes": _changes(kind, before=history.get(based_on), after=newest),
    }


def _called(kind: DocumentKind, row: Revision) -> str:
    """Return the name in the revision, or what an entry without a name is called on its other pages."""
    entry = kinds.published(kind).get(row.slug)
    said = row.document.get("name") or (kinds.name_of(kind, entry) if entry is not None else row.slug)
    return str(said)


def _sentence(row: Revision) -> str:
    said = {"who": row.published_by or _("Somebody"), "number": row.revision}
    if row.withdrawn:
        return _("%(who)s withdrew this meanwhile, as revision %(number)d.") % said
    return _("%(who)s published revision %(number)d meanwhile.") % said


def _changes(kind: DocumentKind, *, before: Revision | None, after: Revision) -> tuple[Change, ...]:
    return find_changes(
        before.document if before is not None else {},
        after.document,
        shapes=kind.told_shapes,
        owner=kind.cls,
        known=references(),
    )
