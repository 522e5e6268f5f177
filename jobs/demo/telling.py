"""Telling one unit's passage as the events of its job, from the booking to the closing.

Events after today are not told; the first refusal of time ends the story, so a job in the shop stops where
the simulation left it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from random import Random
from typing import Any

from jobs.demo import scenario
from jobs.demo.history import BenchVisit, WorkedUnit
from jobs.demo.hours import OpenDays
from jobs.demo.readings import bad_readings, good_readings
from jobs.demo.settings_sheet import draw_sheet
from jobs.domain import facts as f
from jobs.domain.actors import Actor, system_actor
from jobs.domain.attribution import Cause
from jobs.domain.condition import CartonState, PackingFound
from jobs.domain.log import JobLog
from jobs.domain.replay import EVENT_OF_STEP, LogEntry
from jobs.domain.signing import is_tester
from jobs.domain.staff_words import EXTRA_WORK_REASON
from jobs.domain.stages import EventKind, HoldKind, Role
from jobs.leadtime.clock import open_day_from
from packing.catalogue.schema import Family
from packing.parcel.unit import Leg
from packing.strip.gate import needs_gate

E = EventKind
DAY = timedelta(days=1)
HOUR = timedelta(hours=1)
SECOND = timedelta(seconds=1)
WAKING_HOURS = (7, 21)
DAMAGED_SHARES = {
    "suspended": 0.02, "thin_somewhere": 0.06, "loose_or_moved": 0.2, "touching": 0.25, "none": 0.4,
}  # fmt: skip
PACKED_SHARES = (58, 28, 9, 4, 1)
"""Invented: how units come packed, and how many of each are damaged on the way."""


class StoryEnds(Exception):
    """The next thing lies after today."""


@dataclass(slots=True)
class Tale:
    """One job as it is being told: its log, who did what, and the rows beside the log."""

    unit: WorkedUnit
    family: Family
    dice: Random
    now: datetime
    hours: OpenDays
    customer_name: str
    log: JobLog = field(default_factory=JobLog)
    actors: list[Actor] = field(default_factory=list)
    recorded: list[LogEntry] = field(default_factory=list)
    extra_work: list[dict[str, Any]] = field(default_factory=list)
    marks: list[dict[str, Any]] = field(default_factory=list)
    transit_damage: bool = False

    def add(self, kind: EventKind, facts: object, *, actor: Actor, at: datetime) -> None:
        """Record one event through the lifecycle, at an hour at which somebody is up or at the bench.

        Raises: StoryEnds when it lies after today.
        """
        if at > self.now:
            raise StoryEnds
        if actor.role is Role.CUSTOMER:
            at = _by_day(at)
        last = self.log.entries[-1].happened_at if self.log.entries else at
        if actor.role in {Role.WORKSHOP, Role.OWNER}:
            at = min(self.hours.last_open(at + SECOND), self.now)  # opening itself may be a hair early
            at = at if at >= last else self.hours.next_open(last)
            if at > self.now:
                raise StoryEnds
        self.recorded.append(self.log.record(kind, facts=facts, actor=actor, happened_at=max(at, last)))
        self.actors.append(actor)


def tell(tale: Tale, *, staff: Sequence[Actor], promise_days: tuple[int, int, int]) -> None:
    """Tell the whole story of one unit, as far as it has happened."""
    try:
        _tell_way_in(tale, staff=staff)
        _tell_inspection(tale, staff=staff, promise_days=promise_days)
        _tell_bench(tale, staff=staff)
        _tell_way_back(tale, staff=staff)
    except StoryEnds:
        return


def _customer(tale: Tale) -> Actor:
    return Actor(role=Role.CUSTOMER, name=tale.customer_name)


def _by_day(moment: datetime) -> datetime:
    """Return this moment, or the evening before it: nobody drains a carburettor at night."""
    if moment.hour < WAKING_HOURS[0]:
        moment -= DAY
    elif moment.hour < WAKING_HOURS[1]:
        return moment
    return moment.replace(hour=WAKING_HOURS[1] - 1)


def _tell_way_in(tale: Tale, *, staff: Sequence[Actor]) -> None:
    dice, arrived = tale.dice, tale.unit.arrived_at
    posted = (arrived - DAY * dice.uniform(1.2, 4.0)).replace(hour=dice.randrange(10, 17))
    smelled = posted - HOUR * dice.uniform(0.3, 2.0)
    drained = _by_day(smelled - timedelta(hours=tale.family.air_hours) - HOUR * dice.uniform(1, 40))
    cleared = tale.hours.last_open(drained - DAY * dice.uniform(0.4, 9.0))
    booked = _by_day(cleared - HOUR * dice.uniform(2, 40))
    customer, clerk = _customer(tale), dice.choice(staff)
    number = tale.unit.model.numbers[-1].text
    tale.add(
        E.BOOKING_SENT,
        f.BookingSent(unit_model=tale.unit.model.slug, number_as_read=number),
        actor=customer,
        at=booked,
    )
    asked = tale.hours.last_open(booked + (cleared - booked) * 0.3)
    if dice.random() < 0.15 and asked > booked:
        tale.add(
            E.QUESTION_ASKED,
            f.Words("Does the shaft turn by hand, all the way round?"),
            actor=clerk,
            at=asked,
        )
        tale.add(
            E.QUESTION_ANSWERED,
            f.Words("Yes, with a stiff place once a turn."),
            actor=customer,
            at=asked + (cleared - asked) * 0.7,
        )
    tale.add(E.CLEARED, f.NoFacts(), actor=clerk, at=cleared)
    if needs_gate(tale.family, leg=Leg.TO_SHOP):
        tale.add(E.DRAINED, f.Drained(drained_at=drained), actor=customer, at=drained)
        tale.add(E.SMELL_CHECKED, f.SmellChecked(smells=False), actor=customer, at=smelled)
    tale.add(
        E.POSTED, f.Sent(on=posted.date(), tracking_number=_parcel_number(dice)), actor=customer, at=posted
    )
    packing = dice.choices(tuple(DAMAGED_SHARES), PACKED_SHARES)[0]
    tale.transit_damage = dice.random() < DAMAGED_SHARES[packing]
    crushed = dice.random() < (0.5 if tale.transit_damage else 0.03)
    carton = dice.choice(("corner_crushed", "panel_crushed")) if crushed else "sound"
    facts = f.Arrived(
        carton_state=carton,
        packing_found=packing,
        smells_of_fuel=dice.random() < 0.03,
        parcel_number=tale.log.state.tracking_in,
        bagged=dice.random() < 0.8,
        name_inside=dice.random() < 0.94,
    )
    tale.add(E.ARRIVED, facts, actor=clerk, at=arrived)


def _tell_inspection(tale: Tale, *, staff: Sequence[Actor], promise_days: tuple[int, int, int]) -> None:
    dice = tale.dice
    at = tale.unit.arrived_at + HOUR * dice.uniform(0.3, 1.6)
    clerk = dice.choice(staff)
    marks: list[dict[str, Any]] = []
    if tale.transit_damage:
        zone = dice.choice(tale.family.zones)
        marks.append(
            {
                "zone": zone,
                "damage_kind": dice.choice(("bent", "cracked", "chipped")),
                "severity": dice.choice((2, 3, 3)),
                "origin": _origin(tale),
                "recorded_at": at,
                "recorded_by": clerk.name,
            }
        )
    elif dice.random() < 0.35:
        marks.append(
            {
                "zone": dice.choice(tale.family.zones),
                "damage_kind": dice.choice(
                    ("corroded", "scored", "dented", "chipped")
                ),  # slight at every place
                "severity": dice.choice((1, 1, 2)),
                "origin": "before_posting",
                "recorded_at": at,
                "recorded_by": clerk.name,
            }
        )
    facts = f.Inspected(
        grade="complete_with_damage" if marks else "complete",
        number_read=tale.unit.model.numbers[-1].text,
        unit_model=tale.unit.model.slug,
        contents_found=("unit",),
        worst_severity=max((mark["severity"] for mark in marks), default=0),
    )
    tale.add(E.INSPECTED, facts, actor=clerk, at=at)
    tale.marks.extend(marks)
    early, likely, late = (
        open_day_from(tale.hours.hours, day=at.date() + DAY * days) for days in promise_days
    )
    promise = f.Promise(early, likely, late, reasons=("The queue at the benches.",))
    tale.add(E.PROMISE_MADE, promise, actor=system_actor("forecast"), at=at + HOUR * 0.2)


def _origin(tale: Tale) -> str:
    """Return where the damage came from, as the people at the counter would judge it."""
    if tale.dice.random() < 0.35:
        return Cause.CANNOT_TELL.value  # no photo of this place from before
    arrived = f.load_facts(E.ARRIVED, stored=tale.log.entries[-1].facts)
    if PackingFound(arrived.packing_found).inadequate and not CartonState(arrived.carton_state).damaged:
        return Cause.IN_TRANSIT_POORLY_PACKED.value
    return Cause.IN_TRANSIT.value


def _tell_bench(tale: Tale, *, staff: Sequence[Actor]) -> None:
    visits = [each for each in tale.unit.visits if each.visit.step.value != "pack"]
    for at, each in enumerate(visits):
        person = staff[(at + len(tale.customer_name)) % len(staff)]
        again = any(later.visit.step.value == "assemble" for later in visits[at + 1 :])
        _tell_visit(tale, each, person=person, fails=each.visit.step.value == "test" and again, staff=staff)


def _tell_visit(tale: Tale, each: BenchVisit, *, person: Actor, fails: bool, staff: Sequence[Actor]) -> None:
    step = each.visit.step.value
    work = f.BenchWork(step=step, person=person.name)
    if step == "sign_off":
        tested_by = tale.log.state.tested_by
        signer = next(somebody for somebody in staff if not is_tester(somebody, state=tale.log.state))
        signed = f.SignedOff(tested_by=tested_by, signed_by=signer.name)
        tale.add(E.SIGNED_OFF, signed, actor=signer, at=each.ended_at)
        return
    tale.add(E.WORK_STARTED, work, actor=person, at=each.started_at)
    if step == "test":
        _tell_readings(tale, each, person=person, fails=fails)
    if step == "strip" and tale.dice.random() < 0.5:
        text, zone, severity = tale.dice.choice(scenario.FINDINGS[scenario.trade_of(tale.family.slug)])
        facts = f.Finding(text=text, zone=zone, severity=severity)
        tale.add(E.FINDING_RECORDED, facts, actor=person, at=each.ended_at)
    if step == "assemble":
        part = f.PartUsed(part=tale.dice.choice(scenario.PARTS[scenario.trade_of(tale.family.slug)]))
        tale.add(E.PART_USED, part, actor=person, at=each.ended_at)
    if fails:
        tale.add(
            E.TEST_FAILED,
            f.BenchWork(step="test", note="Outside the limits."),
            actor=person,
            at=each.ended_at,
        )
        return
    tale.add(EVENT_OF_STEP[step], work, actor=person, at=each.ended_at)
    if each.wait_days > 0:
        _tell_wait(tale, each, person=person)


def _tell_readings(tale: Tale, each: BenchVisit, *, person: Actor, fails: bool) -> None:
    lines = tale.unit.model.test_lines
    if not lines:
        return
    facts = (bad_readings if fails else good_readings)(lines, dice=tale.dice)
    tale.add(E.READINGS_RECORDED, facts, actor=person, at=each.ended_at)
    found, left = draw_sheet(tale.unit.model.settings, readings=facts.readings, dice=tale.dice)
    if found and not fails:
        recorded = f.SettingsRecorded(as_found=found, as_left=left)
        tale.add(E.SETTINGS_RECORDED, recorded, actor=person, at=each.ended_at)


def _tell_wait(tale: Tale, each: BenchVisit, *, person: Actor) -> None:
    """Tell the wait after a step: an answer is asked for as extra work, anything else is a plain hold."""
    kind = each.visit.waits[0][0].kind
    over = each.ended_at + DAY * each.wait_days
    if kind is not HoldKind.ANSWER:
        reasons = {HoldKind.PARTS: "Parts are on order", HoldKind.OUTSIDE: "With the plater"}
        expected_on = open_day_from(tale.hours.hours, day=over.date())
        held = f.Held(hold=kind, reason=reasons.get(kind, "Waiting"), expected_on=expected_on)
        tale.add(E.HELD, held, actor=person, at=each.ended_at)
        tale.add(E.RELEASED, f.NoFacts(), actor=person, at=over)
        return
    text, price, days = tale.dice.choice(scenario.EXTRA_WORK[scenario.trade_of(tale.family.slug)])
    row: dict[str, Any] = {
        "number": len(tale.extra_work) + 1,
        "lines": [{"text": text, "price_pence": price}],
        "price_pence": price,
        "added_work_days": days,
        "asked_at": each.ended_at,
        "asked_by": person.name,
    }
    asked = f.ExtraWorkRef(extra_work=row["number"], price_pence=price, added_work_days=days)
    tale.add(E.EXTRA_WORK_ASKED, asked, actor=person, at=each.ended_at)
    tale.extra_work.append(row)
    held = f.Held(hold=HoldKind.ANSWER, reason=EXTRA_WORK_REASON)
    tale.add(E.HELD, held, actor=person, at=each.ended_at)
    approved = tale.dice.random() < 0.85
    customer = _customer(tale)
    decided = f.ExtraWorkRef(row["number"], price, days, decided_by=customer.name)
    kind_of_answer = E.EXTRA_WORK_APPROVED if approved else E.EXTRA_WORK_DECLINED
    tale.add(kind_of_answer, decided, actor=customer, at=over)
    row.update(decision="approved" if approved else "declined", decided_at=over, decided_by=customer.name)
    tale.add(E.RELEASED, f.NoFacts(note="The customer answered."), actor=customer, at=over)


def _tell_way_back(tale: Tale, *, staff: Sequence[Actor]) -> None:
    dice = tale.dice
    packed = tale.unit.visits[-1].ended_at
    clerk = dice.choice(staff)
    if needs_gate(tale.family, leg=Leg.TO_CUSTOMER):
        tale.add(E.BENCH_FLUID_CHECKED, f.SmellChecked(smells=False), actor=clerk, at=packed - HOUR * 0.4)
    tale.add(E.PACKED, f.NoFacts(), actor=clerk, at=packed)
    sent = packed + HOUR * dice.uniform(0.1, 0.5)
    number = _parcel_number(dice)
    tale.add(E.SENT_BACK, f.Sent(on=sent.date(), tracking_number=number), actor=clerk, at=sent)
    closed = sent + DAY * dice.uniform(2, 13)
    tale.add(E.CLOSED, f.NoFacts(note="It is back."), actor=_customer(tale), at=closed)


def _parcel_number(dice: Random) -> str:
    return f"QF{dice.randrange(10**10, 10**11)}"
