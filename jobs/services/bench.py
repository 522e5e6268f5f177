"""Work at the bench: start, pause, finish, hold, findings, parts, settings, readings, sign-off."""

from datetime import date, datetime

from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.errors import IllegalTransition, JobsError, MissingFact
from jobs.domain.facts import (
    BenchWork,
    Finding,
    Held,
    PartUsed,
    ReadingsRecorded,
    SettingsRecorded,
    SignedOff,
)
from jobs.domain.readings import find_reading_gap, lines_outside
from jobs.domain.replay import EVENT_OF_STEP
from jobs.domain.settings_noted import lacks_settings
from jobs.domain.signing import is_tester
from jobs.domain.stages import EventKind, HoldKind
from jobs.leadtime.routes import BenchStep, next_steps
from jobs.models import Job
from jobs.selectors import shop
from jobs.selectors.bench import model_of
from jobs.selectors.sign_off import needs_second_person
from jobs.services._holding import end_hold, has_undecided_work
from jobs.services._steps import OpenLog, lock_job

OWN_PAGES = frozenset({BenchStep.SIGN_OFF.value, BenchStep.PACK.value})


class NotTested(JobsError):
    """The unit may not count as tested: a line of its bench test was not read, or lies outside its limits."""


class SecondPersonNeeded(JobsError):
    """The person who tested this unit may not sign it off alone."""


@transaction.atomic(durable=True)
def start_work(
    number: str, *, work: BenchWork, actor: Actor, now: datetime, expected_count: int | None
) -> Job:
    """Start one bench step; a job is worked on at one step at a time."""
    log = lock_job(number, expected_count=expected_count)
    _check_route(log, step=work.step)
    if log.state.working_step:
        raise IllegalTransition(_under_way_words(log))
    log.record(EventKind.WORK_STARTED, facts=work, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def pause_work(number: str, *, note: str, actor: Actor, now: datetime, expected_count: int | None) -> Job:
    """Put the unit down; nobody works on it now."""
    log = lock_job(number, expected_count=expected_count)
    if not log.state.working_step:
        raise IllegalTransition("Nobody is at work on this unit, so there is nothing to pause.")
    facts = BenchWork(step=log.state.working_step, note=note)
    log.record(EventKind.WORK_PAUSED, facts=facts, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def finish_work(
    number: str, *, work: BenchWork, actor: Actor, now: datetime, expected_count: int | None
) -> Job:
    """Finish one bench step, in the order of the family's route.

    Raises: NotTested for a test whose readings are missing or outside the model's limits.
    """
    if work.step in OWN_PAGES:
        raise IllegalTransition("Signing off and packing are recorded on their own pages, not as bench work.")
    log = lock_job(number, expected_count=expected_count)
    _check_under_way(log, step=work.step)
    _check_route(log, step=work.step)
    if work.step == BenchStep.TEST:
        _check_readings(log)
    log.record(EVENT_OF_STEP[work.step], facts=work, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def fail_test(number: str, *, note: str, actor: Actor, now: datetime, expected_count: int | None) -> Job:
    """Record a failed bench test: the unit goes back to be assembled and tested again."""
    log = lock_job(number, expected_count=expected_count)
    _check_under_way(log, step=BenchStep.TEST.value)
    facts = BenchWork(step=BenchStep.TEST.value, note=note)
    log.record(EventKind.TEST_FAILED, facts=facts, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def record_finding(
    number: str, *, finding: Finding, actor: Actor, now: datetime, expected_count: int | None
) -> Job:
    """Return the job, whose event count is the number of this finding; the customer sees it."""
    if not finding.text.strip():
        raise MissingFact("Describe what was found, where, and how big.")
    log = lock_job(number, expected_count=expected_count)
    log.record(EventKind.FINDING_RECORDED, facts=finding, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def use_part(number: str, *, part: PartUsed, actor: Actor, now: datetime, expected_count: int | None) -> Job:
    """Add a part that went into the unit."""
    if not part.part.strip() or part.count < 1:
        raise MissingFact("Name the part and how many went in, one at the least.")
    log = lock_job(number, expected_count=expected_count)
    log.record(EventKind.PART_USED, facts=part, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def record_settings(
    number: str, *, settings: SettingsRecorded, actor: Actor, now: datetime, expected_count: int | None
) -> Job:
    """Record settings as found and as left; the last record counts, and an empty one is refused."""
    if not any(text.strip() for text in (*settings.as_found.values(), *settings.as_left.values())):
        raise MissingFact("Write at least one setting, as found or as left.")
    log = lock_job(number, expected_count=expected_count)
    log.record(EventKind.SETTINGS_RECORDED, facts=settings, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def record_readings(
    number: str, *, readings: dict[str, float], actor: Actor, now: datetime, expected_count: int | None
) -> ReadingsRecorded:
    """Return the readings judged against the model's limits; every line outside is named."""
    log = lock_job(number, expected_count=expected_count)
    model = model_of(log.job)
    outside = lines_outside(model.test_lines if model else (), readings=readings)
    facts = ReadingsRecorded(readings=readings, passed=not outside, outside=outside)
    log.record(EventKind.READINGS_RECORDED, facts=facts, actor=actor, now=now)
    return facts


@transaction.atomic(durable=True)
def hold_job(
    number: str,
    *,
    hold: HoldKind,
    reason: str,
    expected_on: date | None,
    actor: Actor,
    now: datetime,
    expected_count: int | None,
) -> Job:
    """Stop the job until something arrives: an answer, parts, an outside trade, payment."""
    if not reason.strip():
        raise MissingFact("Say what the job waits for: the customer and the owner read it.")
    log = lock_job(number, expected_count=expected_count)
    if log.state.hold is not None:
        raise IllegalTransition("The job is on hold already. End that hold first.")
    log.record(
        EventKind.HELD, facts=Held(hold=hold, reason=reason, expected_on=expected_on), actor=actor, now=now
    )
    return log.job


@transaction.atomic(durable=True)
def release_job(number: str, *, note: str, actor: Actor, now: datetime, expected_count: int | None) -> Job:
    """End the hold; extra work that is not decided yet is waited for next."""
    log = lock_job(number, expected_count=expected_count)
    if log.state.hold is None:
        raise IllegalTransition("The job is not on hold.")
    if log.state.hold is HoldKind.ANSWER and has_undecided_work(log):
        raise IllegalTransition(
            "The customer has not said yes or no to the extra work. Record their answer by phone instead."
        )
    end_hold(log, note=note, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def sign_off(
    number: str,
    *,
    note: str,
    without_settings: str,
    actor: Actor,
    now: datetime,
    expected_count: int | None,
) -> Job:
    """Sign the unit off; another person than the tester where the model or the damage asks for it.

    `without_settings` says why the unit goes back without its settings; it is needed, and kept in the log,
    where the model names settings and none of them was written down.

    Raises: SecondPersonNeeded; NotTested where the readings are missing or outside the limits; MissingFact;
    IllegalTransition while extra work is undecided: afterwards no answer to it could be recorded.
    """
    log = lock_job(number, expected_count=expected_count)
    if has_undecided_work(log):
        raise IllegalTransition(
            "The customer has not said yes or no to the extra work. Record their answer, then sign it off."
        )
    _check_readings(log)
    model = model_of(log.job)
    without = ""
    if lacks_settings(model.settings if model else (), entries=log.log.entries):
        reason = without_settings.strip().rstrip(".")
        if not reason:
            raise MissingFact("Say why it goes back without its settings, or write them down first.")
        without = f"Without its settings: {reason}."
    note = " ".join(part for part in (without, note.strip()) if part)
    needs_two = needs_second_person(log.job, worst_severity=log.state.worst_severity)
    if needs_two and is_tester(actor, state=log.state):
        raise SecondPersonNeeded(
            f"{actor.name} tested this unit, so somebody else has to sign it off: ask a second person."
        )
    facts = SignedOff(tested_by=log.state.tested_by, signed_by=actor.name, note=note)
    log.record(EventKind.SIGNED_OFF, facts=facts, actor=actor, now=now)
    return log.job


def _check_readings(log: OpenLog) -> None:
    """Refuse to call a unit tested whose lines were not all read in this round, each within its limits."""
    model = model_of(log.job)
    gap = find_reading_gap(model.test_lines if model else (), readings=log.state.readings)
    if gap.sentence:
        raise NotTested(gap.sentence)


def _check_under_way(log: OpenLog, *, step: str) -> None:
    """Refuse to end another step than the one that somebody works at."""
    if log.state.working_step not in {"", step}:
        raise IllegalTransition(_under_way_words(log))


def _under_way_words(log: OpenLog) -> str:
    step = log.state.working_step.replace("_", " ")
    return f"Work on “{step}” is under way. Finish it or put it down first."


def _check_route(log: OpenLog, *, step: str) -> None:
    """Refuse a step that the family's route does not have next."""
    route = shop.route_for(log.job.family)
    done = tuple(BenchStep(name) for name in log.state.done_steps)
    possible = next_steps(route, done=done)
    if step not in {each.value for each in possible}:
        names = " or ".join(each.value.replace("_", " ") for each in possible) or "nothing"
        raise IllegalTransition(
            f"“{step.replace('_', ' ')}” is not next on the route “{route.name}”: next is {names}."
        )
