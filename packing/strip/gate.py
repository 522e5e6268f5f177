"""May this unit be posted: drained, aired for its family's hours, and without smell on the day itself?

Drained is not empty. US law calls engine components free of fuel only when drained, cleaned of residue and
purged of vapour (49 CFR 173.220); US postal rules call what smells of fuel not purged and not mailable
(Postal Bulletin 22180). Hours of airing are the shop's own figure, common practice, no published source.
Diesel passes the same gate: its flash point is commonly under the 60 degrees C of a flammable liquid. The
same gate guards the way back, where test fluid takes the place of fuel; no allowance for fuel left inside is
made.
"""

import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from enum import StrEnum

from packing.catalogue.schema import Family
from packing.errors import OutOfRange, PackingError
from packing.parcel.unit import Leg
from packing.strip.safety import needs_capping

AIR_HOURS_MOST = 336.0


class GateState(StrEnum):
    """How far the unit has come on its way to being fit to post."""

    NOT_DRAINED = "not_drained"
    AIRING = "airing"
    SMELL_TEST_DUE = "smell_test_due"
    SMELLS = "smells"
    OPEN = "open"


@dataclass(frozen=True, slots=True)
class GateAnswer:
    """Where the unit stands and one sentence that says what to do.

    `opens_at` is when airing ends, or the first moment at which a unit that smelled may be smelled again.
    """

    state: GateState
    sentence: str
    opens_at: datetime | None = None

    @property
    def may_post(self) -> bool:
        """Whether the gate is open."""
        return self.state is GateState.OPEN

    @property
    def may_smell(self) -> bool:
        """Whether a smell test made now can open the gate."""
        due_again = self.state is GateState.SMELLS and self.opens_at is None
        return due_again or self.state is GateState.SMELL_TEST_DUE


class NaiveMoment(PackingError):
    """A time without its time zone cannot be compared with a posting day."""


_FLUID = {Leg.TO_SHOP: "fuel", Leg.TO_CUSTOMER: "test fluid"}


def needs_gate(family: Family, *, leg: Leg) -> bool:
    """Return whether `family` passes the gate: for fuel on the way in, and for bench fluid back."""
    return family.holds_fuel or needs_capping(family) or (leg is Leg.TO_CUSTOMER and family.wet_tested)


def gate(
    *,
    drained_at: datetime | None,
    smell_checked_at: datetime | None,
    smells: bool | None,
    air_hours: float,
    now: datetime,
    leg: Leg = Leg.TO_SHOP,
    smelled_at: datetime | None = None,
) -> GateAnswer:
    """Return whether the unit may be posted at `now`, whose time zone is the sender's.

    A smell of fuel closes the gate whatever else is ticked. The smell test counts only when made after the
    airing and on the local date of `now`. After a test that found a smell, the newest of
    them at `smelled_at`, no test counts before the next local day, or before the unit was drained and aired
    anew. Airing is counted in elapsed hours, also across a change of clocks.
    Range: `air_hours` 0 to 336. Raises: OutOfRange, NaiveMoment.
    """
    if not (math.isfinite(air_hours) and 0 <= air_hours <= AIR_HOURS_MOST):
        raise OutOfRange("air_hours", value=air_hours, least=0, most=AIR_HOURS_MOST)
    for moment in (drained_at, smell_checked_at, smelled_at, now):
        if moment is not None and moment.utcoffset() is None:
            raise NaiveMoment("Give every time with its time zone.")
    fluid = _FLUID[leg]
    failed_at = smelled_at if smelled_at is not None else (smell_checked_at if smells else None)
    drained_anew = air_hours > 0 and _lies_between(drained_at, after=failed_at, until=now)
    if smells or (failed_at is not None and not drained_anew):
        aired_at = _aired_at(drained_at, air_hours=air_hours, now=now)
        closed = _after_smell(failed_at, still=bool(smells), aired_at=aired_at, now=now, fluid=fluid)
        if closed is not None:
            return closed
    # Instants are compared in UTC: Python compares two times of one zone by the clock on the wall, which runs
    # through one hour twice in autumn.
    now_utc = now.astimezone(UTC)
    if drained_at is None or drained_at.astimezone(UTC) > now_utc:
        return GateAnswer(
            GateState.NOT_DRAINED,
            f"Drain the {fluid} out, set the unit in moving air, and enter when you did.",
        )
    aired_utc = drained_at.astimezone(UTC) + timedelta(hours=air_hours)
    opens_at = aired_utc.astimezone(now.tzinfo)
    if now_utc < aired_utc:
        return GateAnswer(
            GateState.AIRING,
            f"It is airing until {_moment(opens_at)}, {air_hours:g} hours after it was drained. Leave it "
            "outside, turn it several times, and smell it on the day you post it.",
            opens_at,
        )
    if smells is None or not _tested_today(smell_checked_at, aired_utc=aired_utc, now=now):
        return GateAnswer(
            GateState.SMELL_TEST_DUE,
            "It has aired long enough. Smell it today, at its ports, and enter whether it smells of "
            f"{fluid}.",
            opens_at,
        )
    return GateAnswer(
        GateState.OPEN,
        f"Drained, aired, and without smell of {fluid} today: it may be packed and posted today. "
        "The carrier's rules and local law decide.",
        opens_at,
    )


def smell_again_on(smelled_at: datetime, *, zone: tzinfo | None) -> date:
    """Return the first day in `zone` on which a unit that smelled may be tested again: the one after.

    A nose gets used to the smell within minutes, and the air of one night carries off what clings to the
    walls: common practice, no published source.
    """
    return smelled_at.astimezone(zone).date() + timedelta(days=1)


def describe_smell(smelled_at: datetime, *, today: date, zone: tzinfo) -> str:
    """Return what to do with a unit of the bench that smelled, on `today` in the shop's `zone`."""
    again_on = smell_again_on(smelled_at, zone=zone)
    found = f"It smelled at {_moment(smelled_at.astimezone(zone))}: it can be neither packed nor sent."
    if today < again_on:
        return (
            f"{found} Drain it again, let it stand in moving air, turn it several times, and smell it again "
            f"on {_day(again_on)} at the earliest."
        )
    return f"{found} Smell it again today, at its ports, and record whether it still smells."


def _after_smell(
    failed_at: datetime | None, *, still: bool, aired_at: datetime | None, now: datetime, fluid: str
) -> GateAnswer | None:
    """Return the closed gate after a failed test; None once another test may count and it does not smell."""
    treat = "Put it back outside in moving air, turn it several times, and smell it again"
    if failed_at is None:
        sentence = f"It smells of {fluid}: it cannot be posted. {treat} tomorrow."
        return GateAnswer(GateState.SMELLS, sentence)
    next_day = datetime.combine(smell_again_on(failed_at, zone=now.tzinfo), time(), now.tzinfo)
    again_at = max(next_day, aired_at or next_day, key=lambda moment: moment.astimezone(UTC))
    found = f"It smelled of {fluid} at {_moment(failed_at.astimezone(now.tzinfo))}: it cannot be posted."
    if now.astimezone(UTC) < again_at.astimezone(UTC):
        day = _day(again_at.date()) if again_at == next_day else _moment(again_at)
        since = "on" if again_at == next_day else "from"
        return GateAnswer(GateState.SMELLS, f"{found} {treat} {since} {day} at the earliest.", again_at)
    if still:
        words = f"Smell it again today, at its ports, and enter whether it smells of {fluid}."
        return GateAnswer(GateState.SMELLS, f"{found} {words}")
    return None


def _aired_at(drained_at: datetime | None, *, air_hours: float, now: datetime) -> datetime | None:
    if drained_at is None:
        return None
    return (drained_at.astimezone(UTC) + timedelta(hours=air_hours)).astimezone(now.tzinfo)


def _lies_between(at: datetime | None, *, after: datetime | None, until: datetime) -> bool:
    if at is None or after is None:
        return False
    return after.astimezone(UTC) < at.astimezone(UTC) <= until.astimezone(UTC)


def _tested_today(smell_checked_at: datetime | None, *, aired_utc: datetime, now: datetime) -> bool:
    if smell_checked_at is None:
        return False
    if not aired_utc <= smell_checked_at.astimezone(UTC) <= now.astimezone(UTC):
        return False
    return smell_checked_at.astimezone(now.tzinfo).date() == now.date()


def _moment(at: datetime) -> str:
    return f"{at:%H:%M} on {_day(at.date())}"


def _day(on: date) -> str:
    return f"{on:%A} {on.day} {on:%B %Y}"
