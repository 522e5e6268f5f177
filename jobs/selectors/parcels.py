"""What the customer may do with the parcel now: the gate, the ticks, the frozen list and plan."""

from datetime import date, datetime, time, timedelta

from jobs.domain.replay import JobState
from jobs.models import Job, StepTick
from jobs.selectors import shop
from packing import selectors as catalogue
from packing.catalogue.schema import Family
from packing.parcel.outcome import ParcelPlan
from packing.parcel.unit import Leg
from packing.plain import from_plain
from packing.strip.gate import GateAnswer, GateState, describe_smell, gate, needs_gate, smell_again_on
from packing.strip.strip_list import StripList

AIR_HOURS_UNKNOWN_FAMILY = 48.0


def family_of(job: Job) -> Family | None:
    """Return the job's family as published now."""
    return catalogue.catalogue().families.get(job.family)


def needs_draining(family: Family | None) -> bool:
    """Return whether a unit of `family` is drained and aired before posting; of no known family it is."""
    return family is None or needs_gate(family, leg=Leg.TO_SHOP)


def gate_for(job: Job, *, state: JobState, now: datetime) -> GateAnswer:
    """Return the drain-and-air gate's answer for the way in."""
    family = family_of(job)
    if not needs_draining(family):
        return GateAnswer(GateState.OPEN, "This unit never held fuel, so nothing has to be drained.")
    return gate(
        drained_at=state.drained_at,
        smell_checked_at=state.smell_checked_at,
        smells=state.smells,
        air_hours=family.air_hours if family else AIR_HOURS_UNKNOWN_FAMILY,
        now=now.astimezone(shop.zone()),
        smelled_at=state.smelled_at,
    )


def gate_on(job: Job, *, state: JobState, on: date, now: datetime) -> GateAnswer:
    """Return how the gate stood at the end of the day `on` in the shop's time; of today, as it stands now."""
    day_after = datetime.combine(on + timedelta(days=1), time(), shop.zone())
    return gate_for(job, state=state, now=min(now, day_after - timedelta(seconds=1)))


def day_it_could_go(job: Job, *, state: JobState, today: date) -> date | None:
    """Return the earlier day of the last smell test, if the unit was fit to be posted on it."""
    tested_at = state.smell_checked_at
    tested_on = tested_at.astimezone(shop.zone()).date() if tested_at else today
    if tested_at is None or tested_on >= today:
        return None
    return tested_on if gate_for(job, state=state, now=tested_at).may_post else None


def must_wait_after_smell(smelled_at: datetime | None, *, now: datetime) -> bool:
    """Return whether it is too early, in the shop's time, for a unit that smelled to be tested again."""
    if smelled_at is None:
        return False
    return now.astimezone(shop.zone()).date() < smell_again_on(smelled_at, zone=shop.zone())


def smell_sentence(smelled_at: datetime, *, today: date) -> str:
    """Return what the workshop does with a unit that smelled of bench fluid, in the shop's time."""
    return describe_smell(smelled_at, today=today, zone=shop.zone())


def strip_list(job: Job) -> StripList | None:
    """Return the strip list that was frozen for this job."""
    return from_plain(StripList, job.strip_list) if job.strip_list else None


def plan_in(job: Job) -> ParcelPlan | None:
    """Return the parcel plan that was frozen for the way to the shop."""
    return from_plain(ParcelPlan, job.plan) if job.plan else None


def plan_back(job: Job) -> ParcelPlan | None:
    """Return the parcel plan that was frozen for the way back."""
    return from_plain(ParcelPlan, job.plan_back) if job.plan_back else None


def ticked_steps(job: Job) -> frozenset[str]:
    """Return the slugs of the steps the customer has ticked."""
    return frozenset(StepTick.objects.filter(job=job).values_list("step", flat=True))


def carrier_back_name() -> str:
    """Return the name of the carrier the shop sends back with, or nothing while none is set."""
    carrier = catalogue.catalogue().carriers.get(shop.identity().carrier_back)
    return carrier.name if carrier else ""
