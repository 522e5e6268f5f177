"""How does a new shop get benches and routes without typing them all?"""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from jobs.services.shop import publish_usual
from packing.errors import CatalogueError
from portal.shared.actors import staff_actor


@require_http_methods(["GET", "HEAD", "POST"])
def take_usual(request: HttpRequest) -> HttpResponse:
    """Publish the usual benches and routes for the families that have none, and show the routes."""
    if request.method != "POST":
        return redirect("owner:dashboard")  # the offer stands there; to look at it takes nothing
    try:
        count = publish_usual(actor=staff_actor(request), now=timezone.now())
    except CatalogueError as refusal:
        messages.error(request, str(refusal))
        return redirect("owner:entries", "route")
    said = ngettext("%(count)d entry is added.", "%(count)d benches and routes are added.", count)
    more = _("Their hours are estimates: go through them and put in your own.")
    messages.success(
        request, f"{said % {'count': count}} {more}" if count else _("No usual route is left to take.")
    )
    return redirect("owner:entries", "route")
