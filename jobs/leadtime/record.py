"""What past quotes add up to, as the owner is shown it, and which levels are quoted because of it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from jobs.leadtime.calibrate import MOST_QUOTES, PastQuote, as_told, select_ripe
from jobs.leadtime.clock import WorkingHours
from jobs.leadtime.ranges import QuotedLevels
from jobs.leadtime.reliability import FamilyRecord, ReliabilityPoint, plot_reliability, record_families
from jobs.leadtime.state import Priority


@dataclass(frozen=True, slots=True)
class FamilyLevels:
    """The levels at which a family is quoted, or the whole shop if it has no name.

    `quotes` ripe past quotes of its own moved them, the last 150 at most.
    """

    family: str
    levels: QuotedLevels
    quotes: int


@dataclass(frozen=True, slots=True)
class QuoteRecord:
    """How past quotes came true: `points`, `families` and `promises` judge the dates that were told.

    Of `quotes`, one for each unit, `replayed` were worked out afterwards and `unripe` cannot be judged yet.
    `uncorrected` judges the dates that would have been told had no level been moved; `in_turn` and
    `put_first` judge those of the jobs that waited in their turn and of those that did not.
    """

    quotes: int
    replayed: int
    unripe: int
    points: tuple[ReliabilityPoint, ...]
    families: tuple[FamilyRecord, ...]
    levels: tuple[FamilyLevels, ...]
    uncorrected: FamilyRecord | None = None
    promises: FamilyRecord | None = None
    in_turn: FamilyRecord | None = None
    put_first: FamilyRecord | None = None


def judge_quotes(
    quotes: Sequence[PastQuote],
    *,
    replayed: int,
    promises: Sequence[PastQuote],
    shop_levels: QuotedLevels,
    family_levels: Mapping[str, QuotedLevels],
    hours: WorkingHours,
    now: datetime,
) -> QuoteRecord:
    """Return the record of quotes made on arrival and of promises.

    Raises: NoOpeningHours.
    """
    told = [as_told(quote) for quote in quotes]
    families = record_families(told, hours=hours, now=now)

    def judge_together(some: Iterable[PastQuote]) -> FamilyRecord | None:
        return next(iter(record_families([_of_no_family(q) for q in some], hours=hours, now=now)), None)

    ripe = select_ripe(quotes, hours=hours, now=now, most=max(len(quotes), 1))
    levels = [FamilyLevels("", shop_levels, min(len(ripe), MOST_QUOTES))]
    for family in sorted(family_levels):
        own = sum(quote.family == family for quote in ripe)
        levels.append(FamilyLevels(family, family_levels[family], min(own, MOST_QUOTES)))
    return QuoteRecord(
        quotes=len(quotes),
        replayed=replayed,
        unripe=len(quotes) - (families[0].quotes if families else 0),
        points=plot_reliability(told, hours=hours, now=now),
        families=families,
        levels=tuple(levels),
        uncorrected=judge_together(quotes),
        promises=judge_together(as_told(quote) for quote in promises),
        in_turn=judge_together(quote for quote in told if quote.priority is Priority.ORDINARY),
        put_first=judge_together(quote for quote in told if quote.priority is Priority.URGENT),
    )


def _of_no_family(quote: PastQuote) -> PastQuote:
    return PastQuote(
        quote.job_number,
        quote.computed_at,
        quote.quantile_hours,
        quote.finished_at,
        stopped_hours=quote.stopped_hours,
    )
