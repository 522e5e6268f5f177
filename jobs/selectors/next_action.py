"""Which one thing is done next with a job, at the counter or at the bench, and why?"""

from dataclasses import dataclass

from jobs.domain.readings import ReadingGap
from jobs.domain.replay import EVENT_OF_STEP, JobState
from jobs.domain.stages import ON_BENCH, EventKind, HoldKind, Stage
from jobs.models import Job
from jobs.selectors import shop
from jobs.selectors.queue import step_offers

E = EventKind


@dataclass(frozen=True, slots=True)
class StepOffer:
    """A bench step that may be taken up now: its event when finished, where, and by whom."""

    step: str
    kind: EventKind
    centre_slug: str
    centre_name: str
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NextAction:
    """The one thing to do next: the event it records, the step it is about, and why it is this."""

    kind: EventKind | None
    step: str = ""
    why: str = ""
    extra_work: int = 0


def step_offers_of(job: Job, *, state: JobState) -> tuple[StepOffer, ...]:
    """Return the bench steps that may be taken up now, with their work centre and its people."""
    centres = {centre.slug: centre for centre in shop.work_centres()}
    people = {person.slug: person.name for person in shop.people()}
    found = []
    for step, slug in step_offers(job, done_steps=state.done_steps, routes=shop.routes()):
        centre = centres.get(slug)
        names = tuple(people[each] for each in centre.people if each in people) if centre else ()
        kind = EVENT_OF_STEP[step.value]
        found.append(StepOffer(step.value, kind, slug, centre.name if centre else slug, names))
    return tuple(found)


def find_next(
    job: Job,
    *,
    state: JobState,
    offers: tuple[StepOffer, ...],
    wet: bool,
    gap: ReadingGap,
    extra_work_open: int,
    smell_words: str,
) -> NextAction:
    """Return the one large action of the page.

    `wet` units are drained and smelled before they are packed; `extra_work_open` is the number of the
    request that waits for the customer's yes or no, 0 for none; `smell_words` say what to do with a unit that
    smelled at the last check.
    """
    stage = Stage(job.stage)
    waits = _next_on_hold(state, stage=stage, extra_work_open=extra_work_open)
    if waits is not None:
        return waits
    if stage is Stage.ARRIVED and job.customer_id is None:
        return NextAction(E.MATCHED, why="Nobody announced this box. Find the booking that it belongs to.")
    if stage is Stage.BOOKED and state.question_open:
        return NextAction(
            E.CLEARED,
            why=f"It waits for the customer's answer to “{state.question_open}”. Answer the booking once "
            "that is here, or now if it no longer hangs on it.",
        )
    if stage in _FIXED:
        return _FIXED[stage]
    if stage is Stage.SIGNED_OFF and wet and state.bench_fluid_smells is not False:
        why = smell_words or "It ran on the test stand: drained is not empty."
        return NextAction(E.BENCH_FLUID_CHECKED, why=why)
    if not offers:
        return NextAction(
            None, why="No route takes this family. The owner sets it under “Shop and catalogue”, “Routes”."
        )
    return _next_at_bench(state, offers=offers, gap=gap)


def _next_on_hold(state: JobState, *, stage: Stage, extra_work_open: int) -> NextAction | None:
    """Return what ends the hold; None where there is none, or none that stops the work."""
    asked = extra_work_open and stage in ON_BENCH
    if asked and state.hold not in {HoldKind.PARTS, HoldKind.OUTSIDE}:
        return NextAction(
            E.EXTRA_WORK_APPROVED,
            why="Nothing goes on until the customer has said yes or no to the extra work.",
            extra_work=extra_work_open,
        )
    if state.hold is HoldKind.ANSWER and state.question_open:
        why = "Nothing goes on until the customer has answered. Record here what they say on the phone."
        return NextAction(E.QUESTION_ANSWERED, why=why)
    if state.hold is not None and not (state.hold is HoldKind.PAYMENT and stage is not Stage.PACKED):
        return NextAction(E.RELEASED, why="Nothing goes on until this hold has ended.")
    return None


def _next_at_bench(state: JobState, *, offers: tuple[StepOffer, ...], gap: ReadingGap) -> NextAction:
    first = next((offer for offer in offers if offer.step == state.working_step), offers[0])
    if first.kind is E.SIGNED_OFF and gap.sentence:
        return _next_at_test(gap)
    if first.kind in {E.SIGNED_OFF, E.PACKED}:
        return NextAction(first.kind, step=first.step)
    if not state.working_step:
        return NextAction(E.WORK_STARTED, step=first.step)
    if first.kind is E.TESTED and (gap.sentence or state.readings):
        return _next_at_test(gap)
    return NextAction(first.kind, step=first.step)


def _next_at_test(gap: ReadingGap) -> NextAction:
    if gap.not_read:
        return NextAction(E.READINGS_RECORDED, step="test", why="Read every line against the model's limits.")
    if gap.outside:
        outside = ", ".join(gap.outside)
        return NextAction(E.TEST_FAILED, step="test", why=f"Outside the limits: {outside}.")
    return NextAction(E.TESTED, step="test", why="Every reading lies within the limits.")


_FIXED: dict[Stage, NextAction] = {
    Stage.BOOKED: NextAction(E.CLEARED, why="The customer waits for the shop's yes before sending it."),
    Stage.CLEARED: NextAction(E.ARRIVED, why="The shop said yes. If the box is here, receive it."),
    Stage.POSTED: NextAction(E.ARRIVED, why="It is on its way. If the box is here, receive it."),
    Stage.ARRIVED: NextAction(E.INSPECTED, why="The box was opened. Now look at the unit itself."),
    Stage.PACKED: NextAction(E.SENT_BACK, why="It is packed. Hand it to the carrier and record the number."),
    Stage.SENT_BACK: NextAction(E.CLOSED, why="It is on its way back. Close it when the customer has it."),
    Stage.CLOSED: NextAction(None, why="The job is closed."),
    Stage.DECLINED: NextAction(
        None,
        why="The shop declined it. If the unit is here all the same, record its box as one nobody announced.",
    ),
    Stage.CANCELLED: NextAction(
        None,
        why="It was cancelled. If the unit is here all the same, record its box as one nobody announced.",
    ),
    Stage.RETURNED_UNREPAIRED: NextAction(None, why="It went back unrepaired."),
}
