"""On which single days is the shop closed, year by year, and how do public holidays get in?"""

from itertools import groupby

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from jobs.domain.shop import ClosedDay, ShopKind
from jobs.selectors import shop
from jobs.services.shop import seed_closed_days
from packing.errors import CatalogueError
from portal.owner.forms import HolidaysForm
from portal.owner.kinds import BY_KEY
from portal.owner.navigation import page
from portal.shared.actors import staff_actor


@require_http_methods(["GET", "HEAD", "POST"])
def closed_days(request: HttpRequest) -> HttpResponse:
    """Show the closed days; bring in the public holidays of a country and a year."""
    now = timezone.now()
    today = now.astimezone(shop.zone()).date()
    form = HolidaysForm(
        request.POST if request.method == "POST" else None,
        this_year=today.year,
        initial={"country": "GB", "year": today.year},
    )
    if request.method == "POST" and form.is_valid():
        try:
            count = seed_closed_days(
                country=form.cleaned_data["country"],
                subdivision=form.cleaned_data["subdivision"] or None,
                years=(form.cleaned_data["year"],),
                actor=staff_actor(request),
                now=now,
            )
        except CatalogueError as refusal:
            form.add_error(None, [sentence[:1].upper() + sentence[1:] for _key, sentence in refusal.problems])
        else:
            said = ngettext("%(count)d closed day is added.", "%(count)d closed days are added.", count)
            none = _("None is added: each of them is there already, or was withdrawn.")
            messages.success(request, said % {"count": count} if count else none)
            return redirect("owner:closed_days")
    days: list[ClosedDay] = sorted(shop.documents(ShopKind.CLOSED_DAY).values(), key=lambda day: day.on)
    years = [(year, list(listed)) for year, listed in groupby(days, key=lambda day: day.on.year)]
    context = page("data", kind=BY_KEY["closed_day"], years=years[::-1], today=today, form=form)
    return render(request, "owner/closed_days.html", context, status=422 if form.errors else 200)
