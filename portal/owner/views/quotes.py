"""Did past quotes come true, and at which points of the simulation are dates quoted because of it?"""

from collections.abc import Iterable, Sequence

from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from jobs.leadtime.calibrate import place_in_quote
from jobs.leadtime.clock import WorkingHours
from jobs.leadtime.errors import LeadTimeError
from jobs.selectors import quotes as kept
from jobs.selectors import shop
from jobs.selectors.quotes import Moment
from packing import selectors as catalogue
from portal.owner import quote_words
from portal.owner.csv_export import Cell, csv_response
from portal.owner.navigation import Cell as TitleCell
from portal.owner.navigation import page
from portal.owner.setup_steps import first_missing

CSV_HEAD = (
    "job", "family", "moment", "quoted_at", "earliest_on", "likely_on", "8_in_10_by", "packed_at",
    "left_unrepaired", "back_by_8_in_10_date", "place_in_simulation", "hours_stopped_for_customer",
    "quoted_level_8_in_10",
)  # fmt: skip


@require_safe
def quotes(request: HttpRequest) -> HttpResponseBase:
    """Show the record of past quotes as the newest run found it, or the CSV of every one of them."""
    if request.GET.get("as") == "csv":
        return _csv()
    published, now, found = catalogue.catalogue(), timezone.now(), kept.quotes_now()
    record = found.record
    context = page(
        "quotes",
        now=now,
        zone=shop.zone().key,
        found=found,
        record=record,
        missing=first_missing(shop.all_documents()),
        few=quote_words.FEW_QUOTES,
        judged=record.families[0].quotes if record and record.families else 0,
        headline=quote_words.headline(record) if record else "",
        chart=quote_words.reliability_chart(record) if record and record.points else None,
        lines=quote_words.record_lines(record, published=published) if record else (),
        turn_words=quote_words.turn_words(record) if record else "",
        levels=quote_words.level_lines(record, published=published) if record else (),
        uncorrected=quote_words.percent(record.uncorrected.covered_80_share)
        if record and record.uncorrected
        else None,
        drifts=quote_words.drift_lines(found.drifts),
        title_cells=(
            TitleCell(_("Sheet"), _("Past quotes")),
            TitleCell(_("Date"), date_format(timezone.localtime(now), "j F Y")),
        ),
    )
    return render(request, "owner/quotes.html", context)


def _csv() -> HttpResponseBase:
    zone, now = shop.zone(), timezone.now()
    day = now.astimezone(zone).date().isoformat()
    try:
        hours = shop.working_hours()
    except LeadTimeError:
        return csv_response(CSV_HEAD, (), name=f"quotes-{day}.csv", zone=zone)
    rows = kept.quote_rows(tuple(Moment), hours=hours, now=now)
    return csv_response(CSV_HEAD, _cells(rows, hours=hours), name=f"quotes-{day}.csv", zone=zone)


def _cells(rows: Iterable[kept.QuoteRow], *, hours: WorkingHours) -> Iterable[Sequence[Cell]]:
    for row in rows:
        packed = row.packed_at is not None
        yield (
            row.job_number, row.family, str(quote_words.MOMENT_WORDS[row.moment]), row.computed_at,
            row.earliest_on, row.likely_on, row.latest_on, row.packed_at, row.left_unrepaired,
            row.is_back_in_time if packed else None,
            f"{place_in_quote(row.past, hours=hours):.3f}" if packed else "",
            f"{row.past.stopped_hours:.1f}", f"{row.past.levels.high:.3f}",
        )  # fmt: skip
