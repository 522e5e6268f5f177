"""Beginning and ending holds, so that nothing goes on while the customer owes a yes or no."""

from datetime import datetime

from jobs.domain.actors import Actor, system_actor
from jobs.domain.facts import Held, NoFacts
from jobs.domain.staff_words import EXTRA_WORK_REASON
from jobs.domain.stages import EventKind, HoldKind, Role
from jobs.services._steps import OpenLog

AT_THE_SHOP = frozenset({HoldKind.PARTS, HoldKind.OUTSIDE})
"""Holds that stop the bench as well as an open question does, and end without the customer."""


def end_hold(log: OpenLog, *, note: str, actor: Actor, now: datetime) -> None:
    """End the hold; while extra work is undecided the job goes over to waiting for the answer to that."""
    log.record(EventKind.RELEASED, facts=NoFacts(note=note), actor=actor, now=now)
    if has_undecided_work(log):
        hold_for_decision(log, actor=actor, now=now)


def hold_for_decision(log: OpenLog, *, actor: Actor, now: datetime) -> None:
    """Hold for the customer's yes or no, unless a hold of the shop's own stops the work as it is."""
    if log.state.hold in AT_THE_SHOP | {HoldKind.ANSWER}:
        return
    held = Held(hold=HoldKind.ANSWER, reason=EXTRA_WORK_REASON)
    # A customer ends a hold by answering, but holds nothing.
    by = system_actor("extra work") if actor.role is Role.CUSTOMER else actor
    log.record(EventKind.HELD, facts=held, actor=by, now=now)


def has_undecided_work(log: OpenLog) -> bool:
    """Return whether a request for extra work waits for the customer's yes or no."""
    return log.job.extra_work.filter(decision="").exists()
