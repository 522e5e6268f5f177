"""How deep is the queue tonight, which promise is at risk, what damages parcels, what needs the owner?"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from jobs.backups.nightly import late_backup
from jobs.selectors import dashboard as queue
from jobs.selectors import reports, shop
from jobs.selectors.shop_past import shop_past
from jobs.selectors.unprepared_photos import unprepared_photos
from packing import selectors as catalogue
from portal.owner import overview, risks
from portal.owner.navigation import Cell, job_url, page
from portal.owner.setup_steps import first_missing, setup_steps


@require_safe
def dashboard(request: HttpRequest) -> HttpResponse:
    """Show the shop as the stored rows have it; nothing is simulated here."""
    now = timezone.now()
    documents = shop.all_documents()
    zone = shop.zone_in(documents)
    today = now.astimezone(zone).date()
    published = catalogue.catalogue()
    forecast = reports.forecast_now(published=published)
    jobs = queue.open_jobs(published=published, refused=forecast.refused_jobs, zone=zone, now=now)
    past = shop_past(zone=zone, now=now)
    steps = setup_steps(published, documents=documents)
    centres = overview.centre_lines(forecast)
    context = page(
        "dashboard",
        now=now,
        today=today,
        zone=zone.key,
        steps=steps,
        is_set_up=all(step.is_done for step in steps),
        missing=first_missing(documents),
        late_backup=late_backup(now=now),
        jobs=jobs,
        headline=overview.headline(jobs, forecast),
        risks=risks.risk_lines(jobs.own_risks[: risks.SHOWN_MOST], chances=forecast.chances),
        risks_left=max(len(jobs.own_risks) - risks.SHOWN_MOST, 0),
        waiting_risks=risks.risk_lines(jobs.waiting_risks[: risks.SHOWN_MOST], chances=forecast.chances),
        waiting_count=len(jobs.waiting_risks),
        waiting_left=max(len(jobs.waiting_risks) - risks.SHOWN_MOST, 0),
        holds=overview.hold_groups(jobs),
        waits=tuple(
            (overview.waiting_words(row.waiting), row, job_url(row.oldest_number) if row.count else "")
            for row in jobs.waits
        ),
        stages_chart=overview.stage_chart(jobs.stages),
        forecast=forecast,
        forecast_is_old=overview.is_old(forecast.computed_at, now=now),
        limit_words=overview.limit_words(forecast),
        limit_percent=round(forecast.limit.load_share * 100) if forecast.limit else 0,
        people_percent=round(forecast.people_load_share * 100),
        centres=centres,
        benches_are_idle=overview.are_idle(centres),
        load_chart=overview.load_chart(centres),
        families=overview.family_lines(forecast),
        family_count=len(forecast.families),
        families_chart=overview.range_of_families(forecast, today=today),
        flow=past.flow,
        nothing_moved=overview.none_moved(past.flow),
        nothing_announced=overview.none_announced(jobs.weeks_ahead),
        flow_chart=overview.flow_chart(past.flow),
        damages=past.damages,
        damage_chart=overview.damage_chart(past.damages),
        damage_total=(
            sum(row.damaged for row in past.damages.months),
            sum(row.arrivals for row in past.damages.months),
        ),
        mails=reports.mails_given_up(),
        photos=unprepared_photos(),
        expected_soon=sum(week.posted + week.cleared for week in jobs.weeks_ahead[:2]),
        shop_answers=next(row.count for row in jobs.waits if row.waiting is queue.Waiting.SHOP_ANSWER),
        title_cells=(
            Cell(_("Sheet"), _("Queue")),
            Cell(_("Date"), date_format(today, "j F Y")),
            Cell(_("Forecast of"), _moment(forecast.computed_at)),
        ),
        bookings_url=reverse("workshop:bookings"),
    )  # fmt: skip
    return render(request, "owner/dashboard.html", context)


def _moment(computed_at: object) -> str:
    return date_format(timezone.localtime(computed_at), "j M, H:i") if computed_at else _("none yet")  # type: ignore[arg-type]
