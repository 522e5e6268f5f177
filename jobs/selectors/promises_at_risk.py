"""What threatens a promise: its day is over, no date can be told, or the forecast lies behind it?"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from jobs.domain.holds import STOPPED_CLOCKS
from jobs.domain.stages import HoldKind, Stage


class RiskKind(StrEnum):
    """How surely a promised day will be missed, the surest first."""

    PASSED = "passed"
    UNTOLD = "untold"
    LIKELY = "likely"
    POSSIBLE = "possible"


@dataclass(frozen=True, slots=True)
class PromiseAtRisk:
    """A promise that was missed, will likely be, or may be, or for whose job no date can be told any more.

    `late_days` counts from the promised day; 0 where no date can be told. The days that the shop waits for
    its customer do not count: `waits_for_customer` says that it does now. `first_promised_on` is the day
    promised first, None unless the promise was moved since. `likely_on` is the day by which half of such jobs
    are done, `latest_on` that of 8 in 10; None without one. `is_untold` says that the newest run refused the
    job a date; `reason` then says why.
    """

    number: str
    unit_words: str
    customer_name: str
    stage: Stage
    hold: HoldKind | None
    kind: RiskKind
    late_days: int
    promised_on: date
    likely_on: date | None
    latest_on: date | None
    reason: str
    first_promised_on: date | None = None
    is_first: bool = False
    is_untold: bool = False

    @property
    def waits_for_customer(self) -> bool:
        """Whether the clock of the promise stands still, for the customer's answer or payment."""
        return self.hold in STOPPED_CLOCKS


def threat_to(
    promised_on: date, *, likely_on: date | None, latest_on: date | None, is_untold: bool, today: date
) -> tuple[RiskKind, int] | None:
    """Return what threatens a promise and by how many days it is missed; None while it is safe.

    A job that was refused a date has none in store, and a queue of more than four years is the surest miss
    of those still to come, so it is looked at before the days.
    """
    if promised_on < today:
        return RiskKind.PASSED, (today - promised_on).days
    if is_untold:
        return RiskKind.UNTOLD, 0
    if likely_on is not None and likely_on > promised_on:
        return RiskKind.LIKELY, (likely_on - promised_on).days
    if latest_on is not None and latest_on > promised_on:
        return RiskKind.POSSIBLE, (latest_on - promised_on).days
    return None
