"""What does a job wait for, and during which times was it held?"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from jobs.domain.facts import Held, load_facts
from jobs.domain.lifecycle import TRANSITIONS
from jobs.domain.stages import ENDED, IN_SHOP, EventKind, HoldKind

E = EventKind
# Only a unit in the shop is held, so only what ends a job there ends its holds.
TOLD_OF_HOLDS = frozenset(
    {E.HELD, E.RELEASED}
    | {kind for kind, row in TRANSITIONS.items() if row.target in ENDED and row.sources & IN_SHOP}
)
# The clock of a promise stands still while the shop waits for its customer.
STOPPED_CLOCKS = frozenset({HoldKind.ANSWER, HoldKind.PAYMENT})


@dataclass(frozen=True, slots=True)
class Hold:
    """What a job waits for, or will again once the hold that stands before it ends."""

    kind: HoldKind
    reason: str
    since: datetime
    expected_on: date | None


@dataclass(frozen=True, slots=True)
class HoldSpan:
    """One time a job was held; `ended_at` is None while it is."""

    kind: HoldKind
    began_at: datetime
    ended_at: datetime | None


def stops_work(hold: HoldKind) -> bool:
    """Return whether the benches leave a unit with this hold alone; a payment stops only the sending back."""
    return hold is not HoldKind.PAYMENT


def stopping(holds: tuple[Hold, ...]) -> Hold | None:
    """Return the hold that keeps the benches from the unit, the newest first; a due payment does not."""
    return next((hold for hold in reversed(holds) if stops_work(hold.kind)), None)


def holds_after(
    holds: tuple[Hold, ...], *, kind: EventKind, facts: dict[str, Any], at: datetime
) -> tuple[Hold, ...]:
    """Return the holds of a job after one more event that stands, the one that it waits for now last.

    A hold for something else stands before the one that is there, which stands again at the release; one
    for the same follows it. An ended job waits for nothing.
    """
    if kind not in TOLD_OF_HOLDS:
        return holds
    if kind is E.RELEASED:
        return holds[:-1]
    if kind is not E.HELD:
        return ()
    said: Held = load_facts(kind, stored=facts)
    aside = holds[:-1] if holds and holds[-1].kind is said.hold else holds
    return (*aside, Hold(said.hold, said.reason, at, said.expected_on))


def fold_holds(told: Iterable[tuple[EventKind, dict[str, Any], datetime]]) -> tuple[HoldSpan, ...]:
    """Return during which times one job waited, the oldest first, from (kind, facts, moment) of events.

    Only events that stand are told. A job waits for one thing at a time, the last of `holds_after`.
    """
    spans: list[HoldSpan] = []
    holds: tuple[Hold, ...] = ()
    for kind, facts, at in told:
        if kind not in TOLD_OF_HOLDS:
            continue
        if holds:
            spans[-1] = replace(spans[-1], ended_at=at)
        holds = holds_after(holds, kind=kind, facts=facts, at=at)
        if holds:
            spans.append(HoldSpan(holds[-1].kind, at, None))
    return tuple(spans)
