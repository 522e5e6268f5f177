"""Writing the told history: customers, jobs, events, marks and extra work, in a few bulk statements."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from random import Random
from typing import Any
from uuid import UUID

import numpy as np
from django.db import transaction

from jobs.demo import scenario
from jobs.demo.history import WorkedUnit, work_history
from jobs.demo.hours import OpenDays
from jobs.demo.telling import Tale, tell
from jobs.domain import job_number
from jobs.domain.actors import Actor
from jobs.leadtime.state import ShopState
from jobs.models import Customer, ExtraWork, Job, JobEvent, Mark
from jobs.selectors import shop
from jobs.services._steps import event_row, set_cache
from jobs.services._telling import both_plans
from packing import selectors as catalogue
from packing.catalogue.schema import UnitModel
from packing.plain import to_plain
from packing.strip.assemble import assemble_strip_list

SEED = 20_26
BATCH = 500


@dataclass(frozen=True, slots=True)
class Seeded:
    """How much was written."""

    jobs: int
    ended: int
    events: int


@transaction.atomic(durable=True)
def seed_history(*, staff: Sequence[Actor], now: datetime) -> Seeded:
    """Return the counts after writing about 18 months of jobs; those in the shop today stay open."""
    published = catalogue.catalogue()
    state = ShopState(
        working_hours=shop.working_hours(),
        centres=shop.work_centres(),
        people=shop.people(),
        routes=shop.routes(),
    )
    units = work_history(state, models=tuple(published.unit_models.values()), now=now, seed=SEED)
    dice = Random(SEED)  # noqa: S311 - a story, not a secret
    promises = _promise_days(units)
    tales = []
    for unit in units:
        tale = Tale(
            unit=unit,
            family=published.families[unit.model.family],
            dice=dice,
            now=now,
            hours=OpenDays(state.working_hours, now),
            customer_name=f"{dice.choice(scenario.FIRST_NAMES)} {dice.choice(scenario.LAST_NAMES)}",
        )
        tell(tale, staff=staff, promise_days=promises[unit.model.family])
        if tale.recorded:
            tales.append(tale)
    return _write(tales, dice=dice)


def _promise_days(units: Iterable[WorkedUnit]) -> dict[str, tuple[int, int, int]]:
    """Return the days to the 10, 50 and 80 in 100 points of each family, as a shop would have learnt them."""
    days: dict[str, list[float]] = {}
    for unit in units:
        lead = (unit.visits[-1].ended_at - unit.arrived_at).total_seconds() / 86400
        days.setdefault(unit.model.family, []).append(lead)
    return {
        family: (int(low), int(likely) + 1, int(high) + 1)
        for family, leads in days.items()
        for low, likely, high in [np.quantile(leads, (0.1, 0.5, 0.8))]
    }


def _write(tales: Sequence[Tale], *, dice: Random) -> Seeded:
    customers = Customer.objects.bulk_create([_customer(tale, dice=dice) for tale in tales], batch_size=BATCH)
    numbers = dice.sample(range(100_000, 1_000_000), len(tales))
    jobs = [
        _job(tale, customer=customer, sequence=number, dice=dice)
        for tale, customer, number in zip(tales, customers, numbers, strict=True)
    ]
    Job.objects.bulk_create(jobs, batch_size=BATCH)
    events = [
        event_row(job, entry=entry, actor=actor, recorded_at=entry.happened_at)
        for job, tale in zip(jobs, tales, strict=True)
        for entry, actor in zip(tale.recorded, tale.actors, strict=True)
    ]
    JobEvent.objects.bulk_create(events, batch_size=BATCH)
    Mark.objects.bulk_create(
        [Mark(job=job, **mark) for job, tale in zip(jobs, tales, strict=True) for mark in tale.marks],
        batch_size=BATCH,
    )
    ExtraWork.objects.bulk_create(
        [ExtraWork(job=job, **row) for job, tale in zip(jobs, tales, strict=True) for row in tale.extra_work],
        batch_size=BATCH,
    )
    return Seeded(jobs=len(jobs), ended=sum(job.ended_at is not None for job in jobs), events=len(events))


def _customer(tale: Tale, *, dice: Random) -> Customer:
    name = tale.customer_name
    return Customer(
        name=name,
        email=f"{name.lower().replace(' ', '.')}{dice.randrange(10, 99)}@example.com",
        **scenario.invent_address(dice),
        unit_choice=dice.choice(("metric", "metric", "imperial")),
        created_at=tale.recorded[0].happened_at,
    )


def _job(tale: Tale, *, customer: Customer, sequence: int, dice: Random) -> Job:
    model = tale.unit.model
    symptom = dice.choice(tale.family.symptoms).slug
    job = Job(
        number=job_number.make(sequence),
        submission_key=UUID(int=dice.getrandbits(128)),
        customer=customer,
        family=model.family,
        unit_model=model.slug,
        unit_model_revision=1,
        number_as_read=model.numbers[-1].text,
        number_where=model.numbers[-1].where,
        identified_by="read as stamped",
        fitted_to=dice.choice(scenario.FITTED_TO[model.family]),
        symptoms=[symptom],
        own_words=dice.choice(scenario.OWN_WORDS),
        spend_limit_pence=dice.choice((0, 2500, 5000)),
        transit_damage=any(mark["origin"].startswith("in_transit") for mark in tale.marks),
        booked_at=tale.recorded[0].happened_at,
    )
    if "cleared" in tale.log.state.entered_at:
        job.plan, job.plan_back = _plans(model, tale.now.date())
        job.strip_list = to_plain(assemble_strip_list(model, family=tale.family, symptoms=(symptom,)))
    set_cache(job, state=tale.log.state)
    return job


@lru_cache(maxsize=64)
def _plans(model: UnitModel, today: date) -> tuple[Any, Any]:
    return both_plans(model, today=today)
