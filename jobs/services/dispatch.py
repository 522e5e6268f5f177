"""The way back: bench fluid check, packing, sending, returning unrepaired, closing."""

from datetime import date, datetime

from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.errors import MissingFact
from jobs.domain.facts import NoFacts, ReturnedUnrepaired, SmellChecked
from jobs.domain.stages import EventKind, HoldKind
from jobs.models import Job
from jobs.selectors.parcels import must_wait_after_smell, smell_sentence
from jobs.selectors.shop import zone
from jobs.services._steps import OpenLog, lock_job, sent_facts
from packing import selectors as catalogue
from packing.parcel.unit import Leg
from packing.strip.gate import needs_gate


@transaction.atomic(durable=True)
def check_bench_fluid(
    number: str, *, smells: bool, actor: Actor, now: datetime, expected_count: int | None
) -> Job:
    """Record that bench fluid was drained and whether the unit still smells: the shop is the sender.

    Raises: MissingFact when it smelled and “no smell” is told before the next day.
    """
    log = lock_job(number, expected_count=expected_count)
    smelled_at = log.state.bench_smelled_at
    if smelled_at is not None and not smells and must_wait_after_smell(smelled_at, now=now):
        raise MissingFact(smell_sentence(smelled_at, today=_shop_day(now)))
    log.record(EventKind.BENCH_FLUID_CHECKED, facts=SmellChecked(smells=smells), actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def pack_job(number: str, *, note: str, actor: Actor, now: datetime, expected_count: int | None) -> Job:
    """Record that the unit is packed by the plan for the way back.

    Raises: MissingFact until a wet-tested unit was drained and does not smell.
    """
    log = lock_job(number, expected_count=expected_count)
    _check_dry(log, now=now)
    log.record(EventKind.PACKED, facts=NoFacts(note=note), actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def send_back(
    number: str,
    *,
    on: date,
    carrier: str,
    tracking_number: str,
    actor: Actor,
    now: datetime,
    expected_count: int | None,
) -> Job:
    """Record that the parcel back was handed to the carrier."""
    log = lock_job(number, expected_count=expected_count)
    facts = sent_facts(on=on, carrier=carrier, tracking_number=tracking_number)
    log.record(EventKind.SENT_BACK, facts=facts, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def return_unrepaired(
    number: str,
    *,
    reason: str,
    on: date,
    carrier: str,
    tracking_number: str,
    actor: Actor,
    now: datetime,
    expected_count: int | None,
) -> Job:
    """Send the unit back without the repair, with the reason that its customer reads.

    Raises: MissingFact without a reason, or until the unit was drained and does not smell.
    """
    if not reason.strip():
        raise MissingFact("Say why it goes back unrepaired: the customer reads it.")
    log = lock_job(number, expected_count=expected_count)
    _check_dry(log, now=now)
    if log.state.hold is not None and log.state.hold is not HoldKind.PAYMENT:
        log.record(EventKind.RELEASED, facts=NoFacts(note="returned unrepaired"), actor=actor, now=now)
    sent = sent_facts(on=on, carrier=carrier, tracking_number=tracking_number)
    facts = ReturnedUnrepaired(
        sent.on, sent.carrier, sent.tracking_number, sent.tracking_note, reason=reason.strip()
    )
    log.record(EventKind.RETURNED_UNREPAIRED, facts=facts, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def close_job(number: str, *, note: str, actor: Actor, now: datetime) -> Job:
    """Close a job that was sent back: the customer has it, or enough days went by."""
    log = lock_job(number, expected_count=None)
    log.record(EventKind.CLOSED, facts=NoFacts(note=note), actor=actor, now=now)
    return log.job


def _check_dry(log: OpenLog, *, now: datetime) -> None:
    family = catalogue.catalogue().families.get(log.job.family)
    if family is not None and not needs_gate(family, leg=Leg.TO_CUSTOMER):
        return
    if log.state.bench_fluid_smells is None:
        raise MissingFact(
            "Drain the bench fluid, let the unit air, smell at the open ports, and record it first."
        )
    if log.state.bench_fluid_smells and log.state.bench_smelled_at is not None:
        raise MissingFact(smell_sentence(log.state.bench_smelled_at, today=_shop_day(now)))


def _shop_day(now: datetime) -> date:
    return now.astimezone(zone()).date()
