"""Which promises are at risk, in words: those that rest with the shop, and those that wait for a customer?"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.domain.stages import HoldKind
from jobs.selectors.outlook import Chances
from jobs.selectors.promises_at_risk import PromiseAtRisk, RiskKind
from portal.owner.navigation import job_url
from portal.shared.chances import chance_words

SHOWN_MOST = 12  # the first; whoever has more at risk looks at the queue as a whole


@dataclass(frozen=True, slots=True)
class RiskLine:
    """One promise at risk in words."""

    number: str
    url: str
    risk: PromiseAtRisk
    words: str
    forecast_words: str
    chance: str


def risk_lines(risks: Sequence[PromiseAtRisk], *, chances: Chances) -> tuple[RiskLine, ...]:
    """Return the promises at risk, words first, with the stored chance of each.

    Dates and chance are those of one run: "likely" goes with less than half, "may" with less than 8 in 10.
    """
    told = cache(lambda day: date_format(day, "D j F"))  # many promises share few days
    return tuple(
        RiskLine(
            risk.number,
            job_url(risk.number),
            risk,
            _risk_words(risk),
            _forecast_words(risk, told=told),
            _chance(risk, chances=chances),
        )
        for risk in risks
    )


def _chance(risk: PromiseAtRisk, *, chances: Chances) -> str:
    if risk.waits_for_customer:
        return ""
    share = chances.of(risk.number, promised_on=risk.promised_on)
    if risk.kind is RiskKind.PASSED or risk.is_untold or share is None:
        return ""
    return _("kept %(chance)s") % {"chance": chance_words(share)}


def _risk_words(risk: PromiseAtRisk) -> str:
    if risk.hold is HoldKind.PAYMENT:
        return _("waits for payment")
    if risk.waits_for_customer:
        return _("waits for the customer's answer")
    days = ngettext("%(days)d day", "%(days)d days", risk.late_days) % {"days": risk.late_days}
    match risk.kind:
        case RiskKind.PASSED:
            return _("was promised %(days)s ago") % {"days": days}
        case RiskKind.UNTOLD:
            return _("no date can be told")
        case RiskKind.LIKELY:
            return _("will likely miss by %(days)s") % {"days": days}
        case RiskKind.POSSIBLE:
            return _("may miss by %(days)s") % {"days": days}


def _forecast_words(risk: PromiseAtRisk, *, told: Callable[[date], str]) -> str:
    if risk.is_untold:
        return (
            "" if risk.kind is RiskKind.UNTOLD and not risk.waits_for_customer else _("no date can be told")
        )
    if risk.likely_on is None or risk.latest_on is None:
        return _("no forecast yet")
    likely, latest = told(risk.likely_on), told(risk.latest_on)
    if likely == latest:
        return _("likely on %(likely)s") % {"likely": likely}
    return _("likely on %(likely)s, 8 in 10 by %(latest)s") % {"likely": likely, "latest": latest}
