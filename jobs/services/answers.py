"""The shop's answer to a booking, and questions either way."""

from datetime import date, datetime
from typing import Any

from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.errors import IllegalTransition, MissingFact
from jobs.domain.facts import Held, NoFacts, Words, load_facts
from jobs.domain.log import ONE_PRESS
from jobs.domain.staff_words import EXTRA_WORK_REASON
from jobs.domain.stages import EventKind, HoldKind
from jobs.models import Job
from jobs.services._holding import end_hold
from jobs.services._steps import OpenLog, lock_job
from jobs.services._telling import freeze_instructions


@transaction.atomic(durable=True)
def clear_job(
    number: str, *, unit_model: str, note: str, actor: Actor, now: datetime, expected_count: int | None
) -> Job:
    """Say yes: settle which unit it is, freeze what the customer is told, and mail that it may be sent.

    `unit_model` empty means that the unit is not in the catalogue: the family's list and general packing
    rules are given.
    """
    log = lock_job(number, expected_count=expected_count)
    freeze_instructions(log.job, unit_model=unit_model, now=now)
    log.record(EventKind.CLEARED, facts=NoFacts(note=note), actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def decline_job(number: str, *, reason: str, actor: Actor, now: datetime, expected_count: int | None) -> Job:
    """Say no, with the reason the customer will read."""
    return _words(
        EventKind.DECLINED, number, text=reason, actor=actor, now=now, expected_count=expected_count
    )


@transaction.atomic(durable=True)
def cancel_job(number: str, *, reason: str, actor: Actor, now: datetime, expected_count: int | None) -> Job:
    """Cancel a booking before the unit was posted."""
    return _words(
        EventKind.CANCELLED, number, text=reason, actor=actor, now=now, expected_count=expected_count
    )


@transaction.atomic(durable=True)
def ask_question(number: str, *, text: str, actor: Actor, now: datetime, expected_count: int | None) -> Job:
    """Ask the customer something; the job waits where it is."""
    return _words(
        EventKind.QUESTION_ASKED, number, text=text, actor=actor, now=now, expected_count=expected_count
    )


@transaction.atomic(durable=True)
def hold_for_answer(
    number: str,
    *,
    question: str,
    expected_on: date | None,
    actor: Actor,
    now: datetime,
    expected_count: int | None,
) -> Job:
    """Ask the customer something and stop the job until it is answered: nobody waits for what was not asked.

    Raises: MissingFact without a question; IllegalTransition on a job that is held, or without a customer.
    """
    asked = _said(question)
    log = lock_job(number, expected_count=expected_count)
    if log.state.hold is not None:
        raise IllegalTransition("The job is on hold already. End that hold first.")
    if log.job.customer_id is None:
        raise IllegalTransition("Nobody's name is known yet, so nobody can be asked. Find its booking first.")
    log.record(EventKind.QUESTION_ASKED, facts=asked, actor=actor, now=now)
    held = Held(hold=HoldKind.ANSWER, reason=asked.text, expected_on=expected_on)
    log.record(EventKind.HELD, facts=held, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def answer_question(number: str, *, text: str, actor: Actor, now: datetime) -> Job:
    """Record the customer's answer and end a hold that waited for it."""
    log = lock_job(number, expected_count=None)
    log.record(EventKind.QUESTION_ANSWERED, facts=_said(text), actor=actor, now=now)
    _end_answer_hold(log, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def add_note(number: str, *, text: str, actor: Actor, now: datetime) -> Job:
    """Add a note to the log; the same words sent twice by one press are kept once, said again later twice."""
    log = lock_job(number, expected_count=None)
    said, last = _said(text), log.log.entries[-1]
    is_own = (last.kind, last.actor_name) == (EventKind.NOTE_ADDED, actor.name)
    is_same = is_own and load_facts(last.kind, stored=last.facts) == said
    if not (is_same and now - last.happened_at < ONE_PRESS):
        log.record(EventKind.NOTE_ADDED, facts=said, actor=actor, now=now)
    return log.job


def _words(kind: EventKind, number: str, *, text: str, expected_count: int | None, **who: Any) -> Job:
    log = lock_job(number, expected_count=expected_count)
    log.record(kind, facts=_said(text), **who)
    return log.job


def _said(text: str) -> Words:
    if not text.strip():
        raise MissingFact("Write it in a sentence: the other side reads it.")
    return Words(text=text.strip())


def _end_answer_hold(log: OpenLog, *, actor: Actor, now: datetime) -> None:
    """End the hold that the answer ends: an answer to a question is no yes or no to extra work."""
    held = log.state.held_by
    if held is not None and held.kind is HoldKind.ANSWER and held.reason != EXTRA_WORK_REASON:
        end_hold(log, note="The customer answered.", actor=actor, now=now)
