"""The customer's side of the parcel: ticks, draining, the smell test, posting, the tracking number."""

from datetime import date, datetime

from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.errors import IllegalTransition, JobsError, MissingFact, StaleEdit
from jobs.domain.facts import Drained, SmellChecked, Words
from jobs.domain.stages import EventKind, Stage
from jobs.models import Customer, Job, StepTick
from jobs.selectors import shop
from jobs.selectors.own_carton import judge_for
from jobs.selectors.parcels import family_of, gate_for, gate_on, needs_draining
from jobs.services._steps import lock_job, note_details_changed, sent_facts
from packing.catalogue.schema import Carton
from packing.parcel.outcome import Verdict
from packing.plain import to_plain
from packing.quantities import UnitChoice, show_size
from packing.strip.gate import GateState


class GateClosed(JobsError):
    """The drain-and-air gate does not let this unit be posted yet."""


class PostedTooEarly(JobsError):
    """The unit cannot have been handed over on that day."""


class NothingToDrain(JobsError):
    """This family never holds fuel: it is neither drained nor smelt before it is posted."""


class CartonRefused(JobsError):
    """The customer's own carton would not carry this unit safely."""


@transaction.atomic(durable=True)
def set_ticks(number: str, *, steps: tuple[str, ...], shown: tuple[str, ...], now: datetime) -> None:
    """Make exactly `steps` ticked among those `shown` on the page; ticks of other pages stay."""
    job = lock_job(number, expected_count=None).job
    StepTick.objects.filter(job=job, step__in=set(shown) - set(steps)).delete()
    before = set(StepTick.objects.filter(job=job).values_list("step", flat=True))
    new = [step for step in dict.fromkeys(steps) if step in set(shown) - before]
    StepTick.objects.bulk_create([StepTick(job=job, step=step, ticked_at=now) for step in new])


@transaction.atomic(durable=True)
def record_drained(number: str, *, drained_at: datetime, actor: Actor, now: datetime) -> Job:
    """Record when the unit was drained and set out in the air; an earlier smell test no longer counts.

    Raises: NothingToDrain for a family that never held fuel; MissingFact for a time in the future.
    """
    if drained_at > now:
        raise MissingFact("The time of draining lies in the future: give the time at which you drained it.")
    log = lock_job(number, expected_count=None)
    _require_draining(log.job)
    log.record(EventKind.DRAINED, facts=Drained(drained_at=drained_at), actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def record_smell(number: str, *, smells: bool, actor: Actor, now: datetime) -> Job:
    """Record the answer of the smell test.

    Raises: NothingToDrain for a family that never held fuel; MissingFact before the draining; GateClosed
    when a test found a smell and this one, which finds none, comes before another may count.
    """
    log = lock_job(number, expected_count=None)
    _require_draining(log.job)
    if log.state.drained_at is None:
        raise MissingFact("Record first when you drained the unit, then make the smell test.")
    answer = gate_for(log.job, state=log.state, now=now)
    if not smells and answer.state is GateState.SMELLS and not answer.may_smell:
        raise GateClosed(answer.sentence)
    log.record(EventKind.SMELL_CHECKED, facts=SmellChecked(smells=smells), actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def record_posted(
    number: str, *, on: date, carrier: str, tracking_number: str, actor: Actor, now: datetime
) -> Job:
    """Record that the parcel is on its way; any tracking number is accepted, a doubtful one with a note.

    The day of posting may be told later: the gate is asked how it stood on that day.
    Raises: PostedTooEarly before the shop's yes, or before a day on which the gate was open; GateClosed while
    the drain-and-air gate is closed.
    """
    log = lock_job(number, expected_count=None)
    cleared_at = log.state.entered_at.get(Stage.CLEARED.value)
    zone = shop.zone()
    cleared_on = cleared_at.astimezone(zone).date() if cleared_at else on
    if on < cleared_on:
        raise PostedTooEarly(
            f"We said yes on {_day(cleared_on)}, and nothing is posted before that: enter the day on which "
            "you handed it over."
        )
    answer = gate_on(log.job, state=log.state, on=on, now=now)
    if not answer.may_post and on < now.astimezone(zone).date():
        raise PostedTooEarly(
            f"By what you entered, the unit was not yet drained, aired and free of smell on {_day(on)}: "
            "enter the day on which you made the smell test and handed it over."
        )
    if not answer.may_post:
        raise GateClosed(answer.sentence)
    facts = sent_facts(on=on, carrier=carrier, tracking_number=tracking_number)
    log.record(EventKind.POSTED, facts=facts, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def choose_carton(
    number: str, *, carton: Carton, materials: tuple[str, ...], actor: Actor, now: datetime
) -> Job:
    """Pack in the customer's own carton from now on: the plan is computed again and frozen on the job.

    The ticks of the packing steps fall, since they belong to the plan before.
    Raises: IllegalTransition unless the job is cleared; MissingFact without a known unit or any of the
    materials; CartonRefused, with the limiting check, when the verdict is no; OutOfRange for a carton no
    parcel can have.
    """
    log = lock_job(number, expected_count=None)
    job = log.job
    if log.state.stage is not Stage.CLEARED:
        raise IllegalTransition("A carton can be chosen between our yes and the day you post it.")
    today = now.astimezone(shop.zone()).date()
    plan = judge_for(job, carton=carton, materials=materials, today=today)
    if plan is None:
        raise MissingFact("Tick what you have to pack with; and the unit has to be known to us.")
    if plan.verdict is Verdict.NO:
        raise CartonRefused(f"This carton will not do: {plan.limiting.sentence}")
    job.plan = to_plain(plan)
    job.customer_carton = {"carton": to_plain(carton), "materials": list(materials)}
    job.save(update_fields=["plan", "customer_carton"])
    StepTick.objects.filter(job=job, step__startswith="pack-").delete()
    size = show_size(carton.length_mm, carton.width_mm, carton.height_mm, choice=UnitChoice.METRIC)
    used = "used" if carton.used else "new"
    words = f"The customer packs in their own {used} {carton.wall.value}-wall carton, {size} inside."
    log.record(EventKind.NOTE_ADDED, facts=Words(text=f"{words} {plan.headline}"), actor=actor, now=now)
    return job


@transaction.atomic(durable=True)
def add_tracking(number: str, *, carrier: str, tracking_number: str, actor: Actor, now: datetime) -> Job:
    """Add or replace the tracking number of a parcel on its way in."""
    log = lock_job(number, expected_count=None)
    today = now.astimezone(shop.zone()).date()
    facts = sent_facts(on=today, carrier=carrier, tracking_number=tracking_number)
    log.record(EventKind.TRACKING_ADDED, facts=facts, actor=actor, now=now)
    return log.job


@transaction.atomic(durable=True)
def change_details(
    number: str,
    *,
    name: str,
    phone: str,
    address_lines: str,
    postal_code: str,
    country: str,
    expected_version: int,
    actor: Actor,
    now: datetime,
) -> Job:
    """Change where the customer's units go back to; each open job's log says so, not what it was.

    Raises: StaleEdit when the details were changed since the page with that version was opened: an old page
    would send the unit to an old address.
    """
    customer = (
        Customer.objects.select_for_update(of=("self",), no_key=True).filter(jobs__number=number).first()
    )
    log = lock_job(number, expected_count=None)
    if customer is None:
        raise MissingFact("This job has no customer yet; match it with a booking first.")
    # Not the lock of this job: a customer with two jobs has one address.
    changed = Customer.objects.filter(pk=customer.pk, version=expected_version).update(
        name=name,
        phone=phone,
        address_lines=address_lines,
        postal_code=postal_code,
        country=country,
        version=expected_version + 1,
    )
    if changed != 1:
        raise StaleEdit(
            "These details were changed since the page was opened. Look at them, then save again."
        )
    words = "Contact details were changed."
    log.record(EventKind.DETAILS_CHANGED, facts=Words(text=words), actor=actor, now=now)
    note_details_changed(customer, besides=log.job, words=words, actor=actor, now=now)
    return log.job


def _require_draining(job: Job) -> None:
    """Refuse to record the draining of what never held fuel: its slip would declare what nobody did."""
    if not needs_draining(family_of(job)):
        raise NothingToDrain(
            "A unit of this kind never held fuel, so there is nothing to drain and nothing to smell: pack "
            "it, print the slip and post it."
        )


def _day(on: date) -> str:
    return f"{on:%A} {on.day} {on:%B %Y}"
