"""Bringing documents in from a TOML file: choose, look at every entry, publish all of them or none."""

from collections.abc import Mapping

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from jobs.services.shop import publish_all
from packing.errors import CatalogueError, RevisionTaken
from portal.owner import kinds
from portal.owner.forms import ImportForm, NoteForm
from portal.owner.imports import ImportPlan, publishable, read_seen, read_toml, write_seen
from portal.owner.navigation import page
from portal.shared.actors import staff_actor

KEY = "owner_import"


@require_http_methods(["GET", "HEAD", "POST"])
def choose(request: HttpRequest) -> HttpResponse:
    """Take a file or its text; it is kept in the session until it is published or replaced."""
    form = ImportForm(
        request.POST if request.method == "POST" else None,
        request.FILES if request.method == "POST" else None,
        initial={"text": request.session.get(KEY, "")},
    )
    if request.method == "POST" and form.is_valid():
        request.session[KEY] = form.cleaned_data["toml"]
        return redirect("owner:import_preview")
    return render(request, "owner/import.html", page("data", form=form))


@require_http_methods(["GET", "HEAD", "POST"])
def preview(request: HttpRequest) -> HttpResponse:
    """Show what every entry would change or why it is refused, and publish when nothing is."""
    text = request.session.get(KEY)
    if not text:
        return redirect("owner:import")
    newest = kinds.newest_of_all()
    plan = read_toml(text)
    form = NoteForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and plan.may_publish and form.is_valid():
        entries, documents = publishable(plan)
        seen = read_seen(request.POST.get("seen", ""))
        try:
            count = publish_all(
                entries=entries,
                documents=documents,
                based_on=seen,
                note=form.cleaned_data["note"],
                actor=staff_actor(request),
                now=timezone.now(),
            )
        except RevisionTaken:
            newest = kinds.newest_of_all()
            form.add_error(None, _overtaken(plan, seen=seen, newest=newest))
            plan = read_toml(text)
        except CatalogueError as refusal:
            form.add_error(None, [f"{key}: {sentence}" for key, sentence in refusal.problems])
        else:
            del request.session[KEY]
            said = ngettext("%(count)d entry is published.", "%(count)d entries are published.", count)
            messages.success(request, said % {"count": count})
            return redirect("owner:data")
    context = page("data", plan=plan, form=form, seen=write_seen(plan, newest=newest))
    return render(request, "owner/import_preview.html", context)


def _overtaken(
    plan: ImportPlan, *, seen: Mapping[tuple[str, str], int], newest: Mapping[tuple[str, str], int]
) -> str:
    keys = {(line.kind.key, line.slug): line.name for line in plan.lines}
    names = [name for key, name in keys.items() if seen.get(key, 0) != newest.get(key, 0)]
    return _(
        "Somebody published %(names)s meanwhile. The file is compared below with what is published now: look "
        "at it again, then publish it."
    ) % {"names": ", ".join(names)}
