"""During which times was a job held, and for what?"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from jobs.domain.facts import Held, load_facts
from jobs.domain.stages import EventKind, HoldKind

E = EventKind
TOLD_OF_HOLDS = frozenset({E.HELD, E.RELEASED, E.RETURNED_UNREPAIRED})
# The clock of a promise stands still while the shop waits for its customer.
STOPPED_CLOCKS = frozenset({HoldKind.ANSWER, HoldKind.PAYMENT})


def stops_work(hold: HoldKind | None) -> bool:
    """Whether the benches leave a unit with this hold alone; for a payment only the sending back waits."""
    return hold is not None and hold is not HoldKind.PAYMENT


@dataclass(frozen=True, slots=True)
class HoldSpan:
    """One time a job was held; `ended_at` is None while it is."""

    kind: HoldKind
    began_at: datetime
    ended_at: datetime | None


def fold_holds(told: Iterable[tuple[EventKind, dict[str, Any], datetime]]) -> tuple[HoldSpan, ...]:
    """Return the holds of one job, the oldest first, from (kind, facts, moment) of the events that stand.

    A job waits for one thing at a time: a hold that follows another ends it or, where it is for something
    else, interrupts it, and the former goes on at the release. A unit that goes back waits for nothing.
    """
    spans: list[HoldSpan] = []
    standing: list[HoldKind] = []
    began_at: datetime | None = None
    for kind, facts, at in told:
        if kind not in TOLD_OF_HOLDS:
            continue
        if standing and began_at is not None:
            spans.append(HoldSpan(standing[-1], began_at, at))
        if kind is E.HELD:
            said: Held = load_facts(kind, stored=facts)
            if said.hold not in standing[-1:]:
                standing.append(said.hold)
        else:
            standing = standing[:-1] if kind is E.RELEASED else []
        began_at = at
    if standing and began_at is not None:
        spans.append(HoldSpan(standing[-1], began_at, None))
    return tuple(spans)
