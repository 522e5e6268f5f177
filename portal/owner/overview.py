"""How is the state of the shop said and drawn on the owner's page: sentences, lines of tables, charts?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.text import get_text_list
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _t
from django.utils.translation import ngettext

from jobs.domain.stages import HOLD_LABELS, STAGE_LABELS, HoldKind, Stage
from jobs.leadtime.ranges import BasedOn, Limit
from jobs.selectors.dashboard import AGE_BANDS_DAYS, OpenJobs, StageAges, Waiting, WeekAhead
from jobs.selectors.promises_at_risk import RiskKind
from jobs.selectors.reports import Damages, FamilyRange, ForecastNow, WeekFlow
from portal.owner.charts import (
    Bar,
    BarChart,
    LineChart,
    Point,
    RangeChart,
    Series,
    Span,
    bar_chart,
    line_chart,
    range_chart,
)
from portal.owner.navigation import job_url
from portal.owner.stacked import Stack, StackedChart, stacked_chart

WAITING_WORDS = {
    Waiting.SHOP_ANSWER: _t("The shop's answer to a booking"),
    Waiting.POSTING: _t("The customer to post it"),
    Waiting.CARRIER: _t("The carrier"),
    Waiting.INSPECTION: _t("Inspection"),
    Waiting.BENCH: _t("A bench"),
    Waiting.ANSWER: _t("The customer's answer"),
    Waiting.PARTS: _t("Parts"),
    Waiting.OUTSIDE: _t("An outside trade"),
    Waiting.PAYMENT: _t("Payment"),
    Waiting.PACKING: _t("Packing or sending back"),
}
BASED_ON = {
    BasedOn.SEED: ("estimate", _t("usual bench hours, no history of the shop's own yet")),
    BasedOn.PARTLY_OWN: ("estimate", _t("partly the shop's own jobs, partly usual bench hours")),
    BasedOn.OWN_HISTORY: ("measured", ""),
}
HOLD_ORDER = tuple(HoldKind)
HELD_SHOWN = 3
LEAST_LOAD_SHARE = 0.5
"""Of their hours: who has more than half of them free is not what jobs wait for, whatever waits."""


@dataclass(frozen=True, slots=True)
class HoldGroup:
    """The jobs held longest for one thing, and the way to all of them where more are."""

    words: str
    count: int
    lines: tuple[tuple[str, object], ...]
    all_url: str


@dataclass(frozen=True, slots=True)
class CentreLine:
    """The load of one work centre."""

    name: str
    jobs_waiting: int
    backlog_hours: str
    demand_hours: str
    capacity_hours: str
    load_percent: int
    queue_days: str
    limit_words: str


@dataclass(frozen=True, slots=True)
class FamilyLine:
    """The range of one family in words, with what takes the time."""

    row: FamilyRange
    origin: str
    source: str
    reasons: tuple[str, ...]


def headline(jobs: OpenJobs, forecast: ForecastNow) -> str:
    """Return the state of the shop in two or three sentences."""
    said = [
        ngettext("%(count)d unit is in the shop.", "%(count)d units are in the shop.", jobs.in_shop)
        % {"count": jobs.in_shop}
    ]
    missed = sum(risk.kind in (RiskKind.PASSED, RiskKind.LIKELY) for risk in jobs.own_risks)
    possible = sum(risk.kind is RiskKind.POSSIBLE for risk in jobs.own_risks)
    if missed:
        said.append(
            ngettext(
                "%(count)d promise is missed or will likely be.",
                "%(count)d promises are missed or will likely be.",
                missed,
            )
            % {"count": missed}
        )
    if possible and missed:
        said.append(_("%(count)d more may be missed.") % {"count": possible})
    elif possible:
        said.append(
            ngettext("%(count)d promise may be missed.", "%(count)d promises may be missed.", possible)
            % {"count": possible}
        )
    if untold := jobs.risks_count - missed - possible:
        said.append(
            ngettext(
                "For %(count)d promised unit no date can be told any more.",
                "For %(count)d promised units no date can be told any more.",
                untold,
            )
            % {"count": untold}
        )
    if not jobs.own_risks and jobs.promised:
        said.append(_("Every promise that rests with the shop is safe as things stand."))
    if waiting := len(jobs.waiting_risks):
        said.append(
            ngettext(
                "%(count)d promise waits for its customer, so its days do not count.",
                "%(count)d promises wait for their customers, so their days do not count.",
                waiting,
            )
            % {"count": waiting}
        )
    if words := limit_words(forecast):
        said.append(words)
    return " ".join(said)


def limit_words(forecast: ForecastNow) -> str:
    """Return in a sentence what the jobs wait for, people before benches; "" while nothing is short."""
    limit = _limit_named(forecast)
    if limit is None:
        return ""
    names = {each.work_centre: each.name for each in forecast.centres}
    if not limit.people:
        return _("Jobs wait longest at one place, and it is full: %(bench)s.") % {
            "bench": names.get(limit.work_centre, limit.work_centre)
        }
    places = [names.get(slug, slug) for slug in limit.needed_at]
    return _("Jobs wait for %(people)s, needed at: %(places)s.") % {
        "people": get_text_list(list(limit.people), _("and")),
        "places": get_text_list(places, _("and")),
    }


def _limit_named(forecast: ForecastNow) -> Limit | None:
    """Return what is short, None where the work of four weeks leaves most of its hours free."""
    limit = forecast.limit
    return limit if limit is not None and limit.load_share >= LEAST_LOAD_SHARE else None


def _limit_at(forecast: ForecastNow, *, work_centre: str) -> str:
    """Return what a centre's jobs wait for in two or three words; "" where nothing is short."""
    limit = _limit_named(forecast)
    if limit is None or work_centre not in (limit.needed_at if limit.people else (limit.work_centre,)):
        return ""
    if limit.people:
        return _("waits for %(people)s") % {"people": get_text_list(list(limit.people), _("or"))}
    return _("full")


def hold_groups(jobs: OpenJobs) -> tuple[HoldGroup, ...]:
    """Return the holds by kind, each with the jobs that are held longest."""
    groups = []
    for kind in HOLD_ORDER:
        held = [job for job in jobs.holds if job.kind is kind]
        if held:
            lines = tuple((job_url(job.number), job) for job in held[:HELD_SHOWN])
            every = f"{reverse('owner:jobs')}?hold={kind}" if len(held) > HELD_SHOWN else ""
            groups.append(HoldGroup(HOLD_LABELS[kind], len(held), lines, every))
    return tuple(groups)


def age_bands() -> tuple[str, ...]:
    """Return the words of the age bands, the last one open."""
    weeks = [days // 7 for days in AGE_BANDS_DAYS]
    words = [_("under 1 week")]
    words += [
        _("%(from)d to %(until)d weeks") % {"from": low, "until": high} for low, high in pairwise(weeks)
    ]
    return (*words, _("over %(weeks)d weeks") % {"weeks": weeks[-1]})


def _stage_words(stage: Stage) -> str:
    """Return the words of a stage in the chart, where not every booking waits for the shop."""
    return _("Booked, no yes or no yet") if stage is Stage.BOOKED else STAGE_LABELS[stage]


def stage_chart(stages: Sequence[StageAges]) -> StackedChart:
    """Return the open jobs by stage and by how long they have stood there."""
    return stacked_chart(
        tuple(Stack(_stage_words(row.stage), row.counts) for row in stages),
        parts=age_bands(),
        key="stages",
        title=_("Open jobs by stage, and how long they have stood there"),
        unit=_("jobs"),
    )


def flow_chart(weeks: Sequence[WeekFlow]) -> LineChart:
    """Return arrivals and output of the finished weeks."""
    done = [week for week in weeks if not week.is_running]
    mondays = [date_format(week.monday, "D j M Y") for week in done]

    def series(name: str, counts: Sequence[int]) -> Series:
        return Series(
            name,
            tuple(
                Point(float(at), monday, float(count))
                for at, (monday, count) in enumerate(zip(mondays, counts, strict=True))
            ),
        )

    return line_chart(
        (
            series(_("arrived"), [week.arrived for week in done]),
            series(_("sent back"), [week.sent_back for week in done]),
        ),
        key="flow",
        title=_("Units in and out, week by week"),
        unit=_("units a week"),
    )


def load_chart(lines: Sequence[CentreLine]) -> BarChart:
    """Return how much of each work centre's time the weekly demand takes."""
    return bar_chart(
        tuple(Bar(line.name, float(line.load_percent), line.limit_words) for line in lines),
        key="load",
        title=_("Load of each bench"),
        unit=_("% of its working week"),
    )


def centre_lines(forecast: ForecastNow) -> tuple[CentreLine, ...]:
    """Return the work centres, the most loaded first."""
    ordered = sorted(forecast.centres, key=lambda centre: -centre.load_share)
    return tuple(
        CentreLine(
            name=centre.name,
            jobs_waiting=centre.jobs_waiting,
            backlog_hours=f"{centre.backlog_hours:.0f}",
            demand_hours=f"{centre.weekly_demand_hours:.1f}",
            capacity_hours=f"{centre.weekly_capacity_hours:.0f}",
            load_percent=round(centre.load_share * 100),
            queue_days=f"{centre.mean_queue_days:.1f}",
            limit_words=_limit_at(forecast, work_centre=centre.work_centre),
        )
        for centre in ordered
    )


def are_idle(lines: Sequence[CentreLine]) -> bool:
    """Say whether no bench has work, neither waiting nor on its way."""
    return not any(line.jobs_waiting or line.load_percent for line in lines)


def none_moved(weeks: Sequence[WeekFlow]) -> bool:
    """Say whether no unit came in or went out in these weeks."""
    return not any(week.arrived or week.sent_back for week in weeks)


def none_announced(weeks: Sequence[WeekAhead]) -> bool:
    """Say whether no parcel is expected in any week ahead."""
    return not any(week.posted or week.cleared for week in weeks)


def family_lines(forecast: ForecastNow) -> tuple[FamilyLine, ...]:
    """Return each family's range with its three longest reasons."""
    lines = []
    for row in forecast.families:
        origin, source = BASED_ON[row.based_on]
        longest = sorted(row.reasons, key=lambda reason: -reason[1])[:3]
        reasons = tuple(sentence for sentence, _days in longest)
        lines.append(FamilyLine(row, origin, str(source), reasons))
    return tuple(lines)


def range_of_families(forecast: ForecastNow, *, today: date) -> RangeChart:
    """Return the lead-time range of a unit of each family that arrives now, in days from today."""
    return range_chart(
        tuple(
            Span(
                row.name,
                float((row.earliest_on - today).days),
                float((row.likely_on - today).days),
                float((row.latest_on - today).days),
            )
            for row in forecast.families
        ),
        key="families",
        title=_("Days until a unit that arrives now goes back"),
        unit=_("calendar days from today"),
    )


def damage_chart(found: Damages) -> LineChart:
    """Return the share of arrivals with damage first seen then, month by month."""
    points = tuple(
        Point(float(at), date_format(row.month, "M Y"), round(row.share * 100, 1))
        for at, row in enumerate(found.months)
        if row.month is not None
    )
    return line_chart(
        (Series(_("damage first seen on arrival"), points),),
        key="damage",
        title=_("Units with damage first seen on arrival"),
        unit=_("% of inspected arrivals"),
    )


def waiting_words(waiting: Waiting) -> str:
    """Return for what a job waits."""
    return str(WAITING_WORDS[waiting])


def is_old(computed_at: datetime | None, *, now: datetime) -> bool:
    """Say whether a forecast is older than the worker ever leaves one."""
    return computed_at is None or (now - computed_at).total_seconds() > 8 * 3600
