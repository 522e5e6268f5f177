"""Keeping what stands beside the dates true: the weeks ahead, when to send, what costs time, what to start.

Each part is worked out on its own, in a second or a few, so that mail and photos wait no longer than that
for the worker; the costly parts follow the newest run of the forecast at a distance.
"""

import logging
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction

from jobs.leadtime.clock import open_day_from
from jobs.leadtime.contributions import weigh_contributions
from jobs.leadtime.errors import LeadTimeError
from jobs.leadtime.groundwork import sort_routes
from jobs.leadtime.intake import advise_sending
from jobs.leadtime.newcomers import forecast_curves
from jobs.leadtime.outlook import look_out
from jobs.leadtime.starts import weigh_starts
from jobs.leadtime.state import ShopState
from jobs.models import ForecastRun, OutlookPart, ShopRevision
from jobs.selectors import shop_state
from jobs.selectors.quotes import LevelsInForce, levels_in_force
from jobs.services._claims import claimed
from packing.plain import to_plain

logger = logging.getLogger(__name__)

WEEKS_REPLICATIONS = 200
CURVE_REPLICATIONS = 300  # as many as the dates stand on, so that both pages say the same of today
CONTRIBUTION_REPLICATIONS = 60
START_REPLICATIONS = 120
CURVE_DAYS = 84
Rows = Iterator[tuple[str, str, Any]]


@dataclass(frozen=True, slots=True)
class _Basis:
    """What a part is worked out from; the levels are those of the dates that customers see."""

    state: ShopState
    promises: Mapping[str, date]
    levels: LevelsInForce
    now: datetime


@dataclass(frozen=True, slots=True)
class _Part:
    """One part: what it is worked out by, and how long the stored one is good while jobs move.

    `by_family` names the rows it writes for each family beside its own.
    """

    name: str
    work_out: Callable[[_Basis], Rows]
    good_for: timedelta
    by_family: tuple[str, ...] = ()


def _weeks(basis: _Basis) -> Rows:
    yield "weeks", "", to_plain(look_out(basis.state, now=basis.now, replications=WEEKS_REPLICATIONS))


def _starts(basis: _Basis) -> Rows:
    gains = weigh_starts(
        basis.state,
        now=basis.now,
        promises=basis.promises,
        replications=START_REPLICATIONS,
        levels=basis.levels.shop,
        family_levels=basis.levels.families,
    )
    yield "starts", "", {"gains": to_plain(gains)}


def _newcomers(basis: _Basis) -> Rows:
    today = basis.now.astimezone(shop_state.zone_of(basis.state)).date()
    opens_on = open_day_from(basis.state.working_hours, day=today)
    curves = forecast_curves(
        basis.state,
        now=basis.now,
        days=CURVE_DAYS,
        replications=CURVE_REPLICATIONS,
        levels=basis.levels.shop,
        family_levels=basis.levels.families,
    )
    for curve in curves:
        yield "curve", curve.family, to_plain(curve)
        yield "advice", curve.family, to_plain(advise_sending(curve, today=today, opens_on=opens_on))
    yield "newcomers", "", {}


def _contributions(basis: _Basis) -> Rows:
    families, _ = sort_routes(basis.state)
    found = weigh_contributions(
        basis.state, now=basis.now, newcomers=tuple(families), replications=CONTRIBUTION_REPLICATIONS
    )
    jobs = {each.job_number: to_plain(each.contributions) for each in found if each.job_number}
    newcomers = {each.family: to_plain(each.contributions) for each in found if not each.job_number}
    yield "contributions", "", {"jobs": jobs, "families": newcomers}


PARTS = (
    _Part("weeks", _weeks, timedelta(minutes=1)),
    _Part("newcomers", _newcomers, timedelta(minutes=15), by_family=("curve", "advice")),
    _Part("starts", _starts, timedelta(minutes=3)),
    _Part("contributions", _contributions, timedelta(minutes=10)),
)


def refresh_next(*, now: datetime) -> bool:
    """Work out the first part that is behind the newest run of the forecast; say whether another is.

    Nothing is worked out while the shop cannot be forecast: the run itself holds the reason. A part that
    another worker is at is left to it.
    """
    run = ForecastRun.objects.order_by("-computed_at").first()
    if run is None or run.overview.get("refusal"):
        return False
    behind = _find_behind(run, now=now)
    for part in behind:
        with claimed(f"outlook {part.name}", now=now) as mine:
            # Another worker may have finished it between the look and the claim.
            if mine and part in _find_behind(run, now=now):
                _refresh(part, run=run, now=now)
                return len(behind) > 1
    return False


def refresh_all(*, now: datetime) -> None:
    """Work out every part that is behind, one after the other."""
    while refresh_next(now=now):
        pass


def _find_behind(run: ForecastRun, *, now: datetime) -> list[_Part]:
    stored = {row.part: row for row in OutlookPart.objects.filter(subject="").defer("content")}
    behind = []
    for part in PARTS:
        row = stored.get(part.name)
        if row is not None:
            published = ShopRevision.objects.filter(published_at__gt=row.computed_at).exists()
            if row.run_at >= run.computed_at or (now - row.computed_at < part.good_for and not published):
                continue
        behind.append(part)
    return behind


def _refresh(part: _Part, *, run: ForecastRun, now: datetime) -> None:
    try:
        basis = _Basis(shop_state.shop_state(now=now), shop_state.promised_days(), levels_in_force(run), now)
        found = list(part.work_out(basis))
    except LeadTimeError as refusal:
        found = [(part.name, "", {"refusal": str(refusal)})]
    except (ArithmeticError, LookupError, ValueError):
        # The next parts are not to wait for this one's fault; it is tried again after the next run.
        logger.exception("outlook part %s failed", part.name)
        found = [(part.name, "", {"refusal": "It could not be worked out; the log of the site says why."})]
    with transaction.atomic(durable=True):
        OutlookPart.objects.filter(part__in=(part.name, *part.by_family)).delete()
        OutlookPart.objects.bulk_create(
            OutlookPart(part=kind, subject=subject, content=content, run_at=run.computed_at, computed_at=now)
            for kind, subject, content in found
        )
