"""What a forecast says: date ranges with their reasons, per job and family, and the load per work centre."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from types import MappingProxyType

from jobs.leadtime.drift import Drift

LEVELS = tuple(round(0.05 * at, 2) for at in range(1, 20))


class ReasonKind(StrEnum):
    """What takes the time."""

    QUEUE = "queue"
    BATCH = "batch"
    WORK = "work"
    AWAY = "away"
    ANSWER = "answer"
    PARTS = "parts"
    OUTSIDE = "outside"
    PAYMENT = "payment"
    ARRIVAL = "arrival"
    EXTRA = "extra"


class BasedOn(StrEnum):
    """Whether a range rests on the shop's own history or on the starting estimates."""

    SEED = "seed"
    PARTLY_OWN = "partly_own"
    OWN_HISTORY = "own_history"


@dataclass(frozen=True, slots=True)
class Reason:
    """One part of a lead time: its mean length in working days, and a sentence for a person."""

    kind: ReasonKind
    working_days: float
    sentence: str
    work_centre: str = ""


@dataclass(frozen=True, slots=True)
class QuotedLevels:
    """Which points of the simulated distribution are quoted; recalibration moves them."""

    low: float = 0.10
    likely: float = 0.50
    high: float = 0.80
    latest: float = 0.90

    def __post_init__(self) -> None:
        if not 0.0 <= self.low <= self.likely <= self.high <= self.latest <= 1.0:
            raise ValueError("the levels have to rise from low to latest, between 0 and 1.")


DEFAULT_LEVELS = QuotedLevels()
NO_FAMILY_LEVELS: Mapping[str, QuotedLevels] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class DateRange:
    """Dates on which the unit is packed to go back: 1, 5, 8 and 9 in 10 are packed by then."""

    low: date
    likely: date
    high: date
    latest: date
    computed_at: datetime
    reasons: tuple[Reason, ...]
    based_on: BasedOn


@dataclass(frozen=True, slots=True)
class JobForecast:
    """The range of one live job; `quantile_hours` are working hours from `computed_at` at `LEVELS`."""

    job_number: str
    family: str
    range: DateRange
    quantile_hours: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class NewcomerForecast:
    """The range of a unit of this family that arrives now."""

    family: str
    range: DateRange
    quantile_hours: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class CentreLoad:
    """How much work waits for a centre, and how its weekly demand compares with its capacity.

    `load_share` is weekly demand over capacity; people shared with other centres are counted here in full,
    so it is the least the centre is loaded. `mean_queue_days` is in working days per visit.
    """

    work_centre: str
    name: str
    jobs_waiting: int
    backlog_hours: float
    weekly_demand_hours: float
    weekly_capacity_hours: float
    load_share: float
    mean_queue_days: float


@dataclass(frozen=True, slots=True)
class Limit:
    """What the jobs wait for: where they queue longest, and whether benches or people are short.

    With no `people` the benches of `work_centre` are full; else these people (by name) are needed at the
    centres `needed_at` together. `load_share` is the work asked of them in the coming four weeks, that which
    waits now included, over the hours they have.
    """

    work_centre: str
    people: tuple[str, ...] = ()
    needed_at: tuple[str, ...] = ()
    load_share: float = 0.0


@dataclass(frozen=True, slots=True)
class WeekOutlook:
    """How many working days a unit that arrives in the week of this Monday lies on the shelf on average."""

    monday: date
    shelf_days: float


@dataclass(frozen=True, slots=True)
class Refusal:
    """A job or family for which no date can be given, and why."""

    family: str
    sentence: str
    job_number: str = ""


@dataclass(frozen=True, slots=True)
class ShopForecast:
    """All ranges of one run, the load of the centres, the steps that changed, and the first quiet week."""

    computed_at: datetime
    replications: int
    jobs: tuple[JobForecast, ...]
    newcomers: tuple[NewcomerForecast, ...]
    centres: tuple[CentreLoad, ...]
    limit: Limit | None
    people_load_share: float
    weeks: tuple[WeekOutlook, ...]
    quiet_week: date | None
    refusals: tuple[Refusal, ...]
    drifts: tuple[Drift, ...] = ()
