"""How is it said and drawn how past quotes came true, and why dates are quoted as they are?"""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _t
from django.utils.translation import ngettext

from jobs.leadtime.calibrate import NOMINAL, PRIOR_QUOTES
from jobs.leadtime.drift import Direction, Drift
from jobs.leadtime.ranges import QuotedLevels
from jobs.leadtime.record import FamilyLevels, QuoteRecord
from jobs.leadtime.reliability import QUOTED, FamilyRecord, ReliabilityPoint, bound_share
from jobs.selectors.quotes import Moment
from jobs.selectors.unit_names import name_family
from packing.selectors import Catalogue
from portal.owner.diagonal import DiagonalChart, Kept, diagonal_chart

FEW_QUOTES = 30
NEARLY_PERCENT = 2
TOLD_LEVEL = 0.8
TOO_FEW = _t("Too few to tell whether dates come true.")
MOMENT_WORDS = {
    Moment.ARRIVAL: _t("on arrival"),
    Moment.REPLAYED: _t("on arrival, worked out afterwards"),
    Moment.PROMISE: _t("behind a promise"),
}


@dataclass(frozen=True, slots=True)
class RecordLine:
    """How the quotes of one family came true, in words; `rough` where they are few."""

    name: str
    rough: bool
    quotes: int
    still_open: int
    covered: tuple[str, str, str]
    pinball_days: str
    crps_days: str
    late: int
    late_by_customer: int
    stopped_days: str


@dataclass(frozen=True, slots=True)
class LevelLine:
    """At which points of the simulation a family is quoted, in 100, and why."""

    name: str
    points: tuple[int, int, int]
    why: str


@dataclass(frozen=True, slots=True)
class DriftLine:
    """One step that has changed."""

    sentence: str
    slower: bool
    found_on: str


def point_at(points: Sequence[ReliabilityPoint], *, level: float) -> ReliabilityPoint | None:
    """Return the point of one level."""
    return next((point for point in points if point.level == level), None)


def headline(record: QuoteRecord) -> str:
    """Return in a sentence or two how often the 8-in-10 date came true, and whether that is honest."""
    point = point_at(record.points, level=TOLD_LEVEL)
    if point is None:
        return _("No past quote can be judged yet.")
    told = {
        "quotes": point.quotes,
        "kept": round(point.share * point.quotes),
        "share": percent(point.share),
        "low": percent(point.low),
        "high": percent(point.high),
    }
    said = _("8 in 10 units should be back by the date we say for 8 in 10.")
    said += " " + ngettext(
        "Of %(quotes)d that can be judged, %(kept)d was: %(share)d in 100.",
        "Of %(quotes)d that can be judged, %(kept)d were: %(share)d in 100.",
        told["kept"],
    )
    if point.quotes < FEW_QUOTES:
        verdict = _("They are too few for a verdict: by chance it may be %(low)d to %(high)d.")
    elif point.high < TOLD_LEVEL:
        verdict = _(
            "Even allowing for chance (%(low)d to %(high)d) that is too few: our dates are too early."
        )
    elif point.low > TOLD_LEVEL:
        verdict = _("Even allowing for chance (%(low)d to %(high)d) that is more: our dates are too late.")
    else:
        verdict = _("Allowing for chance (%(low)d to %(high)d) the 80 that we say still fit.")
    return f"{said} {verdict}" % told


def percent(share: float) -> int:
    """Return a share in whole hundredths.

    >>> percent(0.8449)
    84
    """
    return round(100.0 * share)


def reliability_chart(record: QuoteRecord) -> DiagonalChart:
    """Return what was said against what came true, level by level."""
    return diagonal_chart(
        tuple(
            Kept(100.0 * point.level, 100.0 * point.share, 100.0 * point.low, 100.0 * point.high,
                 named=point.level in QUOTED)
            for point in record.points
        ),
        key="reliability",
        title=_("What was said, and how often it came true"),
        summary=headline(record),
        x_unit=_("in 100 were said to be back"),
        y_unit=_("in 100 were back"),
    )  # fmt: skip


def record_lines(record: QuoteRecord, *, published: Catalogue) -> tuple[RecordLine, ...]:
    """Return the rows of the table: whole shop, each family, both places in the queue, promises."""
    lines = [
        _record_line(
            row, name=name_family(row.family, published=published) if row.family else _("Whole shop")
        )
        for row in record.families
    ]
    if record.in_turn is not None and record.put_first is not None:
        lines.append(_record_line(record.in_turn, name=_("In their turn, whole shop")))
        lines.append(_record_line(record.put_first, name=_("Put first, whole shop")))
    if record.promises is not None:
        lines.append(_record_line(record.promises, name=_("Promises, whole shop")))
    return tuple(lines)


def turn_words(record: QuoteRecord) -> str:
    """Return what is to be known about the two places in the queue; nothing where they were not judged."""
    if record.in_turn is not None and record.put_first is not None:
        return _(
            "“Put first” are the units that are so now, or were when they left; some were put there only "
            "after their quote was made."
        )
    if record.in_turn is not None:
        return _("No unit that was put first has a quote to judge yet: all of these waited in their turn.")
    if record.put_first is not None:
        return _("Every unit with a quote to judge was put first: none of these waited in its turn.")
    return ""


def _record_line(row: FamilyRecord, *, name: str) -> RecordLine:
    shares = (row.covered_50_share, row.covered_80_share, row.covered_90_share)
    return RecordLine(
        name=name,
        rough=row.quotes < FEW_QUOTES,
        quotes=row.quotes,
        still_open=row.still_open,
        covered=(_covered(shares[0], row), _covered(shares[1], row), _covered(shares[2], row)),
        pinball_days=f"{row.pinball_days:.1f}",
        crps_days=f"{row.crps_days:.1f}",
        late=row.late,
        late_by_customer=row.late_by_customer,
        stopped_days=f"{row.stopped_days:.1f}",
    )


def _covered(share: float, row: FamilyRecord) -> str:
    low, high = bound_share(share, count=row.quotes)
    return _("%(share)d\u00a0(%(low)d\u2060–\u2060%(high)d)") % {
        "share": percent(share), "low": percent(low), "high": percent(high),
    }  # fmt: skip


def level_lines(record: QuoteRecord, *, published: Catalogue) -> tuple[LevelLine, ...]:
    """Return at which points of the simulation each family is quoted now, the whole shop first."""
    return tuple(
        LevelLine(
            name_family(row.family, published=published) if row.family else _("Whole shop"),
            (percent(row.levels.likely), percent(row.levels.high), percent(row.levels.latest)),
            _why(row),
        )
        for row in record.levels
    )


def _why(row: FamilyLevels) -> str:
    own_percent = round(100.0 * row.quotes / (row.quotes + PRIOR_QUOTES))
    if row.levels == NOMINAL:
        return _("As simulated: no past quote can be judged yet.")
    if not row.quotes:
        return _("No quote of its own can be judged yet: quoted as the whole shop is.")
    counted = ngettext("its last quote", "its last %(count)d quotes", row.quotes) % {"count": row.quotes}
    said = _("%(quotes)s: %(own)d %% of the weight; %(rest)s: the rest.") % {
        "quotes": counted[:1].upper() + counted[1:],
        "own": own_percent,
        "rest": _("the whole shop") if row.family else _("the simulation as it is"),
    }
    return f"{said} {_direction(row.levels) if row.quotes >= FEW_QUOTES else TOO_FEW}"


def _direction(levels: QuotedLevels) -> str:
    moved = percent(levels.high) - percent(NOMINAL.high)
    if moved > NEARLY_PERCENT:
        return _("Too many were late, so later dates are told.")
    if moved < -NEARLY_PERCENT:
        return _("More were back than was said, so earlier dates are told.")
    return _("They came true, so the 8-in-10 date is told nearly as simulated.")


def drift_lines(drifts: Sequence[Drift]) -> tuple[DriftLine, ...]:
    """Return the steps that take longer or less long than they did."""
    return tuple(
        DriftLine(drift.sentence, drift.direction is Direction.SLOWER, date_format(drift.found_on, "j F Y"))
        for drift in drifts
    )
