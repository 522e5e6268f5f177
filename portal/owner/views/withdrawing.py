"""Taking a document out of use, with the reason."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from packing.errors import CatalogueError, PackingError, RevisionTaken
from portal.owner import kinds
from portal.owner.drafts import drop_draft
from portal.owner.forms import WithdrawForm
from portal.owner.kinds import DocumentKind, kind_or_404
from portal.owner.navigation import page
from portal.owner.overtaken import what_came
from portal.shared.actors import staff_actor

NEEDED_BY = {"person": "work_centre", "work_centre": "route"}


@require_http_methods(["GET", "HEAD", "POST"])
def withdraw(request: HttpRequest, kind: str, slug: str) -> HttpResponse:
    """Take a document out of use; one that was published anew meanwhile is shown before it goes."""
    found = kind_or_404(kind)
    newest = kinds.newest(found, slug)
    published = kinds.published(found).get(slug)
    if found.fixed_slugs or not newest:
        raise Http404
    if published is None:
        messages.info(request, _("This is withdrawn already."))
        return redirect("owner:entry", kind=kind, slug=slug)
    name = kinds.name_of(found, published)
    form = WithdrawForm(request.POST if request.method == "POST" else None)
    came = None
    if request.method == "POST" and form.is_valid():
        seen = request.POST.get("based_on", "")
        based_on = int(seen) if kinds.SOME_NUMBER.fullmatch(seen) else 0
        try:
            kinds.withdraw(
                found,
                slug,
                based_on=based_on,
                note=form.cleaned_data["note"],
                actor=staff_actor(request),
                now=timezone.now(),
            )
        except RevisionTaken:
            came, newest = what_came(found, slug, based_on=based_on), kinds.newest(found, slug)
            form.add_error(None, _("%(what)s Look at it, then withdraw it if it is still to go.") % {
                "what": came["sentence"]
            })  # fmt: skip
        except PackingError as refusal:
            form.add_error(None, _sentences(refusal, kind=found, name=name))
        else:
            drop_draft(request.session, kind=found, slug=slug)
            messages.success(request, _("%(name)s is withdrawn.") % {"name": name})
            return redirect("owner:entries", kind=kind)
    changes = came["changes"] if came else ()
    context = page("data", kind=found, slug=slug, name=name, form=form, based_on=newest, changes=changes)
    return render(request, "owner/withdraw.html", context)


def _sentences(refusal: PackingError, *, kind: DocumentKind, name: str) -> list[str]:
    """Return why it cannot go: by the names of what still needs it, not by the keys of their files."""
    if not isinstance(refusal, CatalogueError):
        return [str(refusal)]
    if users := _users(refusal, kind=kind):
        said = {"name": name, "users": ", ".join(users)}
        return [_("%(name)s is still needed by: %(users)s. Change these first, or withdraw them.") % said]
    return [capfirst(words) if key == kind.key else f"{key}: {words}" for key, words in refusal.problems]


def _users(refusal: CatalogueError, *, kind: DocumentKind) -> list[str]:
    """Return the names of the documents in which the refusal found what would be missing."""
    if kind.key not in NEEDED_BY:
        return []
    using = kinds.BY_KEY[NEEDED_BY[kind.key]]
    entries = kinds.published(using)
    slugs = dict.fromkeys(key.partition(".")[0] for key, _sentence in refusal.problems)
    return [kinds.name_of(using, entries[slug]) for slug in slugs if slug in entries]
