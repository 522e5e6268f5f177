"""Letting a job go before the others in the shop's queues, and back among them."""

from datetime import datetime

from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.errors import IllegalTransition, MissingFact
from jobs.domain.facts import TurnChanged
from jobs.domain.stages import EventKind, Turn
from jobs.models import Job
from jobs.services._steps import lock_job

MISSING = {
    Turn.FIRST: "Say why it goes before the others: whoever waits longer for it will ask.",
    Turn.IN_TURN: "Say why it waits in its turn again: it stays in the log.",
}
ALREADY = {
    Turn.FIRST: "The job is put first already.",
    Turn.IN_TURN: "The job waits in its turn already: there is nothing to put back.",
}


@transaction.atomic(durable=True)
def change_turn(
    number: str, *, turn: Turn, reason: str, actor: Actor, now: datetime, expected_count: int | None
) -> Job:
    """Put the job first at every bench, or back in its turn; the next forecast counts with it.

    Raises: MissingFact without a reason; IllegalTransition where it has that place already, or is packed.
    """
    if not reason.strip():
        raise MissingFact(MISSING[turn])
    log = lock_job(number, expected_count=expected_count)
    if log.state.turn is turn:
        raise IllegalTransition(ALREADY[turn])
    facts = TurnChanged(turn, reason.strip())
    log.record(EventKind.TURN_CHANGED, facts=facts, actor=actor, now=now)
    return log.job
