"""During which times was a job held, and for what?"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from jobs.domain.facts import Held, load_facts
from jobs.domain.stages import EventKind, HoldKind

E = EventKind
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

    A hold that follows another without a release between them ends it: a job waits for one thing at a time.
    """
    spans: list[HoldSpan] = []
    held: tuple[HoldKind, datetime] | None = None
    for kind, facts, at in told:
        if kind not in {E.HELD, E.RELEASED}:
            continue
        if held is not None:
            spans.append(HoldSpan(held[0], held[1], at))
        held = None
        if kind is E.HELD:
            said: Held = load_facts(kind, stored=facts)
            held = (said.hold, at)
    if held is not None:
        spans.append(HoldSpan(held[0], held[1], None))
    return tuple(spans)
