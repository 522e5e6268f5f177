"""When is a customer's unit back, as far as the log and the last forecast tell, and for whom does it wait?"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from jobs.domain.facts import Sent, load_facts
from jobs.domain.holds import STOPPED_CLOCKS, fold_holds
from jobs.domain.replay import LogEntry, standing_events
from jobs.domain.stages import EventKind, HoldKind, Stage
from jobs.leadtime.errors import LeadTimeError
from jobs.leadtime.newcomers import NewcomerDay
from jobs.leadtime.ranges import Reason
from jobs.models import FamilyForecast
from jobs.selectors import shop
from jobs.selectors.customer_jobs import JobSeen
from jobs.selectors.outlook import contributions_of, contributions_of_family, day_on_arrival
from jobs.selectors.refusals import last_refusal
from jobs.selectors.shop_state import expected_at
from jobs.selectors.stored import read_each

E = EventKind
TESTED = frozenset({Stage.TESTED, Stage.SIGNED_OFF})
NEVER_HERE = frozenset({Stage.DECLINED, Stage.CANCELLED})
MOST_SOONER = 3


class WhenState(StrEnum):
    """Which answer there is to "when is it back?".

    NONE: nothing comes back. NO_DATE: no range was worked out. FAMILY: the unit is not here, the range is
    that of its family, from the day it should be. ANNOUNCED: not here yet. HERE: here, nothing promised.
    PROMISED: a promise stands. STOPPED: the clock stands still for the customer. REFUSED: no range can be
    worked out at present. PACKED: packed, not handed over. GONE: it went back.
    """

    NONE = "none"
    NO_DATE = "no_date"
    FAMILY = "family"
    ANNOUNCED = "announced"
    HERE = "here"
    PROMISED = "promised"
    STOPPED = "stopped"
    REFUSED = "refused"
    PACKED = "packed"
    GONE = "gone"


@dataclass(frozen=True, slots=True)
class DayRange:
    """A range of days on which it goes back, and the day it was worked out or promised."""

    earliest_on: date
    latest_on: date
    said_on: date


@dataclass(frozen=True, slots=True)
class PromiseMove:
    """How a promise moved: from one range to another, by how many days at its later end, and why."""

    before: DayRange
    after: DayRange
    later_days: int
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wait:
    """Days that do not count, the shop waiting for the customer; `ended_on` is None while it does."""

    hold: HoldKind
    began_on: date
    ended_on: date | None
    days: int


@dataclass(frozen=True, slots=True)
class WhenKnown:
    """Everything known of when one unit is back; `moves` has the newest first.

    `expected_on` is the day by which a unit that is not here yet should be: every range told before it comes
    counts from that day. `takes` says where the time goes, `sooner` what would be gained if one thing that
    is still ahead were not there. A unit that `is_tested` has only sign-off and packing ahead.
    """

    state: WhenState
    promised: DayRange | None
    today: DayRange | None
    moves: tuple[PromiseMove, ...]
    waits: tuple[Wait, ...]
    takes: tuple[str, ...]
    sooner: tuple[str, ...]
    rests_on: str
    expected_on: date | None
    is_tested: bool
    is_signed_off: bool
    posted_on: date | None
    arrived_on: date | None
    packed_on: date | None
    gone_on: date | None
    hold_ends_on: date | None
    hold_is_overdue: bool

    @property
    def waited_days(self) -> int:
        """The days of all waits for the customer together."""
        return sum(wait.days for wait in self.waits)


def see_when(seen: JobSeen, *, now: datetime) -> WhenKnown:
    """Return what is known of when the unit is back, in at most four queries."""
    standing, zone = tuple(standing_events(seen.entries)), shop.zone()
    promises = tuple(DayRange(said.earliest_on, said.latest_on, said.said_on) for said in seen.promises)
    today, takes, rests_on = _range_today(seen, zone=zone, now=now)
    state = _state(seen, has_range=today is not None)
    if state is WhenState.REFUSED:
        takes = ()
    is_past = state in {WhenState.GONE, WhenState.PACKED, WhenState.NONE}
    held = seen.state.held_by
    hold_ends_on = held.expected_on if held is not None else None
    today_on = now.astimezone(zone).date()
    return WhenKnown(
        state=state,
        promised=promises[0] if promises else None,
        today=None if is_past or state is WhenState.REFUSED else today,
        moves=tuple(
            PromiseMove(before, after, (after.latest_on - before.latest_on).days, said.reasons)
            for before, after, said in zip(promises[1:], promises, seen.promises, strict=False)
        ),
        waits=waits(standing, today=today_on, zone=zone),
        takes=() if is_past else takes,
        sooner=_sooner(seen, state=state) if takes and not is_past else (),
        rests_on=rests_on,
        expected_on=_expected_on(seen, zone=zone, now=now) if seen.awaits_parcel else None,
        is_tested=seen.stage in TESTED,
        is_signed_off=seen.stage is Stage.SIGNED_OFF,
        posted_on=_entered_on(seen, stage=Stage.POSTED, zone=zone),
        arrived_on=_entered_on(seen, stage=Stage.ARRIVED, zone=zone),
        packed_on=_entered_on(seen, stage=Stage.PACKED, zone=zone),
        gone_on=_gone_on(standing),
        hold_ends_on=hold_ends_on,
        hold_is_overdue=hold_ends_on is not None and hold_ends_on < today_on,
    )


def waits(standing: Sequence[LogEntry], *, today: date, zone: ZoneInfo) -> tuple[Wait, ...]:
    """Return every wait for the customer's answer or payment, the oldest first, in calendar days."""
    found: list[Wait] = []
    for span in fold_holds((entry.kind, entry.facts, entry.happened_at) for entry in standing):
        if span.kind in STOPPED_CLOCKS:
            began_on = span.began_at.astimezone(zone).date()
            ended_on = span.ended_at.astimezone(zone).date() if span.ended_at else None
            found.append(Wait(span.kind, began_on, ended_on, ((ended_on or today) - began_on).days))
    return tuple(found)


def _state(seen: JobSeen, *, has_range: bool) -> WhenState:
    stopped = seen.hold is not None and seen.hold.kind in STOPPED_CLOCKS
    if seen.stage in NEVER_HERE:
        return WhenState.NONE
    if seen.has_left:
        return WhenState.GONE
    if seen.stage is Stage.PACKED and not stopped:
        return WhenState.PACKED
    if stopped:
        return WhenState.STOPPED
    return WhenState.REFUSED if last_refusal() else _by_range(seen, has_range=has_range)


def _by_range(seen: JobSeen, *, has_range: bool) -> WhenState:
    if seen.promises:
        return WhenState.PROMISED
    if not has_range:
        return WhenState.NO_DATE
    if seen.range_now is None:
        return WhenState.FAMILY
    return WhenState.ANNOUNCED if seen.awaits_parcel else WhenState.HERE


def _range_today(
    seen: JobSeen, *, zone: ZoneInfo, now: datetime
) -> tuple[DayRange | None, tuple[str, ...], str]:
    """Return the unit's own range with what takes the time, else its family's while it is not here.

    Both count from the day the unit should be here, also where the stored forecast reckoned with another.
    """
    own = seen.range_now
    if own is not None:
        computed_on = own.computed_at.astimezone(zone).date()
        if seen.stage is Stage.POSTED and own.computed_at < seen.job.stage_since:
            counted_on = _expected_unposted(seen, now=own.computed_at).astimezone(zone).date()
            moved = _expected_on(seen, zone=zone, now=now) - counted_on
            # Where the time goes is worked out anew with the day of posting.
            return _moved(own.earliest_on, own.latest_on, moved, computed_on), (), own.rests_on
        takes = tuple(sentence for sentence, _days in own.reasons)
        return DayRange(own.earliest_on, own.latest_on, computed_on), takes, own.rests_on
    if not seen.awaits_parcel:
        return None, (), ""
    row = FamilyForecast.objects.filter(family=seen.job.family).first()
    if row is None:
        return None, (), ""
    expected_on = _expected_on(seen, zone=zone, now=now)
    takes = tuple(reason.sentence for reason in read_each(Reason, row.reasons))
    day = day_on_arrival(seen.job.family, arrives_on=expected_on, now=now)
    told = family_range(row, on_arrival=day, arrives_on=expected_on, zone=zone, open_day=shop.open_days())
    return told, takes, row.based_on


def family_range(
    row: FamilyForecast,
    *,
    on_arrival: NewcomerDay | None,
    arrives_on: date,
    zone: ZoneInfo,
    open_day: Callable[[date], date],
) -> DayRange:
    """Return the range of a unit that arrives on a day: that of the day, else today's moved to it."""
    computed_on = row.computed_at.astimezone(zone).date()
    if on_arrival is not None:
        return DayRange(on_arrival.low, on_arrival.high, computed_on)
    by = arrives_on - computed_on
    return DayRange(open_day(row.earliest_on + by), open_day(row.latest_on + by), computed_on)


def _moved(earliest_on: date, latest_on: date, by: timedelta, computed_on: date) -> DayRange:
    return DayRange(shop.open_day(earliest_on + by), shop.open_day(latest_on + by), computed_on)


def _expected_on(seen: JobSeen, *, zone: ZoneInfo, now: datetime) -> date:
    return expected_at(seen.stage, since=seen.job.stage_since, now=now).astimezone(zone).date()


def _expected_unposted(seen: JobSeen, *, now: datetime) -> datetime:
    """Return when a unit that was posted was expected before it was."""
    cleared_at = seen.state.entered_at.get(Stage.CLEARED.value, seen.job.stage_since)
    return expected_at(Stage.CLEARED, since=cleared_at, now=now)


def _sooner(seen: JobSeen, *, state: WhenState) -> tuple[str, ...]:
    """Return what would be gained: by this unit, or by one of its family while it is not in the queue."""
    if state is WhenState.FAMILY:
        parts = contributions_of_family(seen.job.family)
    else:
        ahead = _centres_ahead(seen)
        found = contributions_of(seen.job.number)
        parts = tuple(part for part in found if not part.work_centre or part.work_centre in ahead)
    return tuple(part.sentence for part in parts[:MOST_SOONER])


def _centres_ahead(seen: JobSeen) -> frozenset[str]:
    """Return the work centres that the unit has still to pass."""
    try:
        route = shop.route_for(seen.job.family)
    except LeadTimeError:
        return frozenset()
    done = seen.state.done_steps
    last = max((at for at, planned in enumerate(route.steps) if planned.step in done), default=-1)
    return frozenset(planned.work_centre for planned in route.steps[last + 1 :])


def _entered_on(seen: JobSeen, *, stage: Stage, zone: ZoneInfo) -> date | None:
    entered_at = seen.state.entered_at.get(stage.value)
    return entered_at.astimezone(zone).date() if entered_at else None


def _gone_on(standing: Sequence[LogEntry]) -> date | None:
    sent = [entry for entry in standing if entry.kind in {E.SENT_BACK, E.RETURNED_UNREPAIRED}]
    if not sent:
        return None
    facts: Sent = load_facts(sent[-1].kind, stored=sent[-1].facts)
    return facts.on
