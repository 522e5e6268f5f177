"""What do the next twelve weeks look like: work in the shop, output, and when units are best sent?"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from jobs.selectors import outlook, shop
from packing import selectors as catalogue
from portal.owner import ahead
from portal.owner.navigation import Cell, page
from portal.owner.setup_steps import first_missing


@require_safe
def weeks_ahead(request: HttpRequest) -> HttpResponse:
    """Show the stored outlook; nothing is simulated here."""
    now = timezone.now()
    published, documents = catalogue.catalogue(), shop.all_documents()
    found, refusal = outlook.weeks_ahead()
    calendar = outlook.intake_calendar(published=published)
    zone = shop.zone()
    today = now.astimezone(zone).date()
    known_on = (calendar.computed_at or now).astimezone(zone).date()
    closed = ahead.closed_weeks(found) if found else ()
    rows = ahead.calendar_rows(calendar, closed=closed, opens_on=shop.open_day(known_on))
    context = page(
        "weeks",
        now=now,
        zone=zone.key,
        found=found,
        refusal=refusal or calendar.refusal,
        missing=first_missing(documents),
        work_chart=ahead.work_fan(found) if found else None,
        output_chart=ahead.output_fan(found) if found else None,
        closed_stretches=ahead.closed_stretches(closed),
        absences=ahead.absences_ahead(shop.people(), today=today),
        is_behind=ahead.is_behind(found.computed_at if found else None, calendar.computed_at, now=now),
        calendar=calendar,
        rows=rows,
        weeks=ahead.calendar_weeks(rows),
        advice=ahead.advice_by_sentence(rows),
        title_cells=(
            Cell(_("Sheet"), _("Weeks ahead")),
            Cell(_("Date"), date_format(today, "j F Y")),
        ),
    )
    return render(request, "owner/weeks_ahead.html", context)
