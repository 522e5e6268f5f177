"""Bringing documents in from a TOML file: choose, look at every entry, publish all of them or none."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from jobs.services.shop import publish_all
from packing.errors import CatalogueError
from portal.owner.forms import ImportForm, NoteForm
from portal.owner.imports import publishable, read_toml
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
    plan = read_toml(text)
    form = NoteForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and plan.may_publish and form.is_valid():
        entries, documents = publishable(plan)
        try:
            count = publish_all(
                entries=entries,
                documents=documents,
                note=form.cleaned_data["note"],
                actor=staff_actor(request),
                now=timezone.now(),
            )
        except CatalogueError as refusal:
            form.add_error(None, [f"{key}: {sentence}" for key, sentence in refusal.problems])
        else:
            del request.session[KEY]
            said = ngettext("%(count)d entry is published.", "%(count)d entries are published.", count)
            messages.success(request, said % {"count": count})
            return redirect("owner:data")
    return render(request, "owner/import_preview.html", page("data", plan=plan, form=form))
