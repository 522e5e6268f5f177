"""Extra work: ask, go ahead within the agreed limit, record the customer's answer once."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.db.models import Sum

from jobs.domain.actors import Actor
from jobs.domain.errors import IllegalTransition, JobsError, MissingFact
from jobs.domain.facts import ExtraWorkRef
from jobs.domain.stages import EventKind, HoldKind
from jobs.models import ExtraWork, Job
from jobs.services._holding import end_hold, has_undecided_work, hold_for_decision
from jobs.services._steps import OpenLog, lock_job
from packing.plain import to_plain

KINDS = {"approved": EventKind.EXTRA_WORK_APPROVED, "declined": EventKind.EXTRA_WORK_DECLINED}


class AlreadyDecided(JobsError):
    """The extra work has been answered; an answer is never changed silently."""


@dataclass(frozen=True, slots=True)
class ExtraLine:
    """One line of extra work."""

    text: str
    price_pence: int


@transaction.atomic(durable=True)
def ask_extra_work(
    number: str,
    *,
    lines: tuple[ExtraLine, ...],
    added_work_days: int,
    latest_on_if_approved: date | None,
    actor: Actor,
    now: datetime,
    expected_count: int | None,
) -> ExtraWork:
    """Return the request; within the limit agreed at booking it is approved at once, else the job waits."""
    if not lines or any(not line.text.strip() or line.price_pence < 0 for line in lines):
        raise MissingFact("Give at least one line with what is to be done and its price.")
    log = lock_job(number, expected_count=expected_count)
    job = log.job
    price_pence = sum(line.price_pence for line in lines)
    within = price_pence + _spent_pence(job) <= job.spend_limit_pence
    extra = ExtraWork.objects.create(
        job=job,
        number=job.extra_work.count() + 1,
        lines=to_plain(lines),
        price_pence=price_pence,
        added_work_days=added_work_days,
        latest_on_if_approved=latest_on_if_approved,
        within_limit=within,
        asked_at=now,
        asked_by=actor.name,
    )
    log.record(EventKind.EXTRA_WORK_ASKED, facts=_ref(extra), actor=actor, now=now)
    if within:
        _decide(log, extra=extra, decision="approved", note="Within the limit agreed.", actor=actor, now=now)
    else:
        hold_for_decision(log, actor=actor, now=now)
    return extra


@transaction.atomic(durable=True)
def decide_extra_work(
    number: str, *, extra_work: int, decision: str, note: str, actor: Actor, now: datetime
) -> ExtraWork:
    """Record yes or no, with who and when; the same answer given twice is one answer.

    Raises: AlreadyDecided when it was answered the other way before.
    """
    if decision not in KINDS:
        raise IllegalTransition("Answer yes or no.")
    log = lock_job(number, expected_count=None)
    extra = ExtraWork.objects.select_for_update().filter(job=log.job, number=extra_work).first()
    if extra is None:
        raise MissingFact("There is no such request on this job.")
    if extra.decision == decision:
        return extra
    if extra.decision:
        raise AlreadyDecided(
            f"This was answered “{extra.decision}” already. Ring the shop if you want to change it."
        )
    _decide(log, extra=extra, decision=decision, note=note, actor=actor, now=now)
    if log.state.hold is HoldKind.ANSWER and not _waits_for_more(log):
        end_hold(log, note="The customer answered.", actor=actor, now=now)
    return extra


def _waits_for_more(log: OpenLog) -> bool:
    """Return whether the hold waits for another answer: a question of its own, or other extra work."""
    held = log.state.held_by
    is_for_question = held is not None and held.reason == log.state.question_open != ""
    return is_for_question or has_undecided_work(log)


def _decide(log: OpenLog, *, extra: ExtraWork, decision: str, note: str, actor: Actor, now: datetime) -> None:
    extra.decision = decision
    extra.decided_at = now
    extra.decided_by = actor.name
    extra.note = note[:300]
    extra.save(update_fields=["decision", "decided_at", "decided_by", "note"])
    log.record(KINDS[decision], facts=_ref(extra), actor=actor, now=now)


def _spent_pence(job: Job) -> int:
    spent = job.extra_work.filter(decision="approved", within_limit=True).aggregate(sum=Sum("price_pence"))
    return int(spent["sum"] or 0)


def _ref(extra: ExtraWork) -> ExtraWorkRef:
    return ExtraWorkRef(
        extra_work=extra.number,
        price_pence=extra.price_pence,
        added_work_days=extra.added_work_days,
        decided_by=extra.decided_by,
        note=extra.note,
    )
