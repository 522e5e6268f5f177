"""Which event may happen to a job, at which stage, by whom, and where it leads.

`TRANSITIONS` is the whole lifecycle on one page. Buttons are drawn from `allowed_events`, services ask
`next_stage`, and both read this one table, so a page cannot offer what a service refuses.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from jobs.domain.errors import IllegalTransition
from jobs.domain.stages import (
    EVENT_LABELS,
    HOLD_LABELS,
    IN_SHOP,
    ON_BENCH,
    OPEN_STAGES,
    STAGE_LABELS,
    EventKind,
    HoldKind,
    Role,
    Stage,
)

E, S = EventKind, Stage

CUSTOMER = frozenset({Role.CUSTOMER})
SHOP = frozenset({Role.WORKSHOP, Role.OWNER})
SYSTEM = frozenset({Role.SYSTEM})
ANYBODY = frozenset(Role)


@dataclass(frozen=True, slots=True)
class Transition:
    """One row of the lifecycle; `target` None means that the stage stays as it is."""

    sources: frozenset[Stage | None]
    target: Stage | None
    roles: frozenset[Role]
    stops_for_hold: bool = False


def _row(
    sources: frozenset[Stage] | frozenset[None], target: Stage | None, roles: frozenset[Role]
) -> Transition:
    return Transition(sources=frozenset(sources), target=target, roles=roles)


def _work(sources: set[Stage], target: Stage | None) -> Transition:
    """Return a row of bench work, which a hold stops."""
    return Transition(sources=frozenset(sources), target=target, roles=SHOP, stops_for_hold=True)


BEFORE_ARRIVAL = frozenset({S.BOOKED, S.CLEARED, S.POSTED})
NEW: frozenset[None] = frozenset({None})
# Once a unit is packed no queue is left in which it could be passed or held back.
QUEUED = (BEFORE_ARRIVAL | IN_SHOP) - {S.PACKED}
BENCH_DONE = {S.STRIPPED, S.CLEANED, S.MACHINED, S.ASSEMBLED}

TRANSITIONS: Mapping[EventKind, Transition] = MappingProxyType(
    {
        # booking and answer
        E.BOOKING_SENT: _row(NEW, S.BOOKED, CUSTOMER | SHOP),
        E.BOX_RECORDED: _row(NEW, S.ARRIVED, SHOP),
        E.CLEARED: _row(frozenset({S.BOOKED}), S.CLEARED, SHOP),
        E.DECLINED: _row(frozenset({S.BOOKED}), S.DECLINED, SHOP),
        E.CANCELLED: _row(frozenset({S.BOOKED, S.CLEARED}), S.CANCELLED, CUSTOMER | SHOP),
        E.QUESTION_ASKED: _row(OPEN_STAGES, None, SHOP),
        E.QUESTION_ANSWERED: _row(OPEN_STAGES, None, CUSTOMER | SHOP),
        # the way in
        E.DRAINED: _row(frozenset({S.CLEARED}), None, CUSTOMER | SHOP),
        E.SMELL_CHECKED: _row(frozenset({S.CLEARED}), None, CUSTOMER | SHOP),
        E.POSTED: _row(frozenset({S.CLEARED}), S.POSTED, CUSTOMER | SHOP),
        E.TRACKING_ADDED: _row(frozenset({S.POSTED}), None, CUSTOMER | SHOP),
        E.ARRIVED: _row(BEFORE_ARRIVAL, S.ARRIVED, SHOP),
        E.MATCHED: _row(frozenset({S.ARRIVED}), None, SHOP),
        E.MERGED: _row(frozenset({S.ARRIVED}), S.CLOSED, SHOP),
        E.INSPECTED: _row(frozenset({S.ARRIVED}), S.INSPECTED, SHOP),
        # the bench
        E.WORK_STARTED: _work(set(ON_BENCH), None),
        E.WORK_PAUSED: _row(ON_BENCH, None, SHOP),
        E.STRIPPED: _work({S.INSPECTED}, S.STRIPPED),
        E.CLEANED: _work({S.STRIPPED}, S.CLEANED),
        E.MACHINED: _work({S.STRIPPED, S.CLEANED}, S.MACHINED),
        E.ASSEMBLED: _work({S.STRIPPED, S.CLEANED, S.MACHINED}, S.ASSEMBLED),
        E.TESTED: _work(BENCH_DONE, S.TESTED),
        E.TEST_FAILED: _work(BENCH_DONE | {S.TESTED}, S.STRIPPED),
        E.SIGNED_OFF: _work({S.TESTED}, S.SIGNED_OFF),
        E.FINDING_RECORDED: _row(IN_SHOP, None, SHOP),
        E.EXTRA_WORK_ASKED: _row(ON_BENCH, None, SHOP),
        E.EXTRA_WORK_APPROVED: _row(ON_BENCH, None, CUSTOMER | SHOP),
        E.EXTRA_WORK_DECLINED: _row(ON_BENCH, None, CUSTOMER | SHOP),
        E.PART_USED: _row(ON_BENCH, None, SHOP),
        E.SETTINGS_RECORDED: _row(ON_BENCH | {S.SIGNED_OFF, S.PACKED}, None, SHOP),
        E.READINGS_RECORDED: _row(ON_BENCH, None, SHOP),
        E.HELD: _row(IN_SHOP, None, SHOP | SYSTEM),
        E.RELEASED: _row(IN_SHOP, None, ANYBODY),
        E.TURN_CHANGED: _row(QUEUED, None, SHOP),
        # the way back
        E.BENCH_FLUID_CHECKED: _row(IN_SHOP, None, SHOP),
        E.PACKED: _work({S.SIGNED_OFF}, S.PACKED),
        E.SENT_BACK: _work({S.PACKED}, S.SENT_BACK),
        E.RETURNED_UNREPAIRED: _row(frozenset({S.ARRIVED, *ON_BENCH}), S.RETURNED_UNREPAIRED, SHOP),
        E.CLOSED: _row(frozenset({S.SENT_BACK}), S.CLOSED, ANYBODY),
        # at any time
        E.PROMISE_MADE: _row(OPEN_STAGES, None, SHOP | SYSTEM),
        E.PROMISE_CHANGED: _row(OPEN_STAGES, None, SHOP | SYSTEM),
        E.DETAILS_CHANGED: _row(OPEN_STAGES, None, CUSTOMER | SHOP),
        E.LINKS_RENEWED: _row(frozenset(Stage), None, SHOP),
        # Never taken back: its file is gone.
        E.PHOTO_WITHDRAWN: _row(frozenset(Stage), None, SHOP),
        E.NOTE_ADDED: _row(frozenset(Stage), None, ANYBODY),
        # A closed job has one step to take back: a box carried on under a booking opens again.
        E.CORRECTED: _row(IN_SHOP | frozenset({S.POSTED, S.SENT_BACK, S.CLOSED}), None, SHOP),
    }
)

UNDOABLE = frozenset(
    {
        E.POSTED,
        E.ARRIVED,
        E.INSPECTED,
        E.WORK_STARTED,
        E.WORK_PAUSED,
        E.STRIPPED,
        E.CLEANED,
        E.MACHINED,
        E.ASSEMBLED,
        E.TESTED,
        E.TEST_FAILED,
        E.SIGNED_OFF,
        E.PACKED,
        E.SENT_BACK,
        E.HELD,
        E.RELEASED,
        E.TURN_CHANGED,
        E.PART_USED,
        E.FINDING_RECORDED,
    }
)

# A match is three events in two logs, taken back together.
UNDOABLE_TOGETHER = frozenset({E.MATCHED, E.MERGED})


def next_stage(stage: Stage | None, *, kind: EventKind, role: Role, hold: HoldKind | None) -> Stage:
    """Return the stage after `kind`, or the present one where the event does not move the job.

    `stage` None means a job that does not exist yet.
    Raises: IllegalTransition with a sentence for the person who tried.
    """
    transition = TRANSITIONS[kind]
    doing = EVENT_LABELS[kind]
    if stage not in transition.sources:
        where = "does not exist yet" if stage is None else f"is at “{STAGE_LABELS[stage]}”"
        raise IllegalTransition(f"“{doing}” cannot be recorded now: the job {where}.")
    if role not in transition.roles:
        raise IllegalTransition(f"“{doing}” is not for the {role.value} to record.")
    if transition.stops_for_hold and _stops(hold, kind=kind):
        label = HOLD_LABELS[hold].lower() if hold else ""
        raise IllegalTransition(f"The job is on hold ({label}). End the hold first, then go on.")
    reached = transition.target or stage
    if reached is None:
        raise IllegalTransition(f"“{doing}” cannot start a job.")
    return reached


def _stops(hold: HoldKind | None, *, kind: EventKind) -> bool:
    """Return whether `hold` stops `kind`: waiting for payment stops only the sending back."""
    if hold is None:
        return False
    return hold is not HoldKind.PAYMENT or kind is EventKind.SENT_BACK


def allowed_events(stage: Stage | None, *, role: Role, hold: HoldKind | None) -> tuple[EventKind, ...]:
    """Return the events that `role` may record now, in the table's order."""
    return tuple(
        kind
        for kind, row in TRANSITIONS.items()
        if stage in row.sources and role in row.roles and not (row.stops_for_hold and _stops(hold, kind=kind))
    )
