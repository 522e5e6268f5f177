"""A box beside the booking it may belong to: what each says of itself, and what speaks against the match."""

from dataclasses import dataclass
from datetime import datetime

from jobs.domain.facts import Matched, Sent, load_facts
from jobs.domain.lifecycle import BEFORE_ARRIVAL
from jobs.domain.replay import LogEntry, standing_events
from jobs.domain.stages import EventKind
from jobs.models import Job, Photo, StepTick
from jobs.selectors import shop
from jobs.selectors.logs import log_of
from jobs.selectors.receiving import STAFF_ROLES
from jobs.selectors.scan_reasons import models_of_number
from jobs.selectors.unit_names import name_unit
from packing import selectors as catalogue
from packing.identify.normalise import normalise

LATER_WORDS = {
    EventKind.DRAINED: "the draining",
    EventKind.SMELL_CHECKED: "a smell test",
    EventKind.POSTED: "the posting",
}
PACKED_WORDS = "packing steps"
PACK_STEPS = "pack-"


@dataclass(frozen=True, slots=True)
class LaterStep:
    """What was still recorded of the booked unit at a time when the box was here already."""

    what: str
    recorded_at: datetime


@dataclass(frozen=True, slots=True)
class BoxMatch:
    """The booking of a box, a sentence for each thing on which the two disagree, and what was done too late.

    Whatever stands in `later`, the oldest first, was recorded after the box came: it is hardly this unit.
    """

    booking: Job
    booking_unit: str
    booking_family: str
    box_family: str
    doubts: tuple[str, ...]
    came_at: datetime
    later: tuple[LaterStep, ...]


def compare_box(box: Job, *, booking_number: str) -> BoxMatch | None:
    """Return the box beside the booking of that number; None unless its parcel is still awaited."""
    awaited = [stage.value for stage in BEFORE_ARRIVAL]
    found = Job.objects.select_related("customer").filter(number=booking_number, stage__in=awaited)
    booking = found.exclude(pk=box.pk).first()
    if booking is None:
        return None
    published, came_at = catalogue.catalogue(), _came_at(box)
    box_family, booking_family = (
        published.families[job.family].name if job.family in published.families else job.family
        for job in (box, booking)
    )
    doubts = []
    if box.family != booking.family:
        doubts.append(f"The box holds “{box_family}”, and “{booking_family}” was booked.")
    if number_doubt := _number_doubt(box.number_found, booking=booking):
        doubts.append(number_doubt)
    return BoxMatch(
        booking=booking,
        booking_unit=name_unit(booking, published=published),
        booking_family=booking_family,
        box_family=box_family,
        doubts=tuple(doubts),
        came_at=came_at,
        later=_later_steps(booking, came_at=came_at),
    )


def _came_at(box: Job) -> datetime:
    """Return when the box was recorded; its own job begins with that."""
    recorded = (each for each in log_of(box) if each.kind is EventKind.BOX_RECORDED)
    return next((each.happened_at for each in recorded), box.booked_at)


def _later_steps(booking: Job, *, came_at: datetime) -> tuple[LaterStep, ...]:
    """Return what was recorded of the booked unit after `came_at`, the newest entry of each kind.

    A posting that is noted later for a day before is no contradiction: people note it when they are asked.
    """
    newest: dict[str, datetime] = {}
    for entry in standing_events(log_of(booking)):
        if entry.kind in LATER_WORDS and entry.happened_at > came_at and not _was_gone(entry, by=came_at):
            newest[LATER_WORDS[entry.kind]] = entry.happened_at
    ticks = StepTick.objects.filter(job=booking, step__startswith=PACK_STEPS, ticked_at__gt=came_at)
    packed_at = ticks.order_by("-ticked_at").values_list("ticked_at", flat=True).first()
    if packed_at is not None:
        newest[PACKED_WORDS] = packed_at
    found = (LaterStep(what, recorded_at) for what, recorded_at in newest.items())
    return tuple(sorted(found, key=lambda step: step.recorded_at))


def _was_gone(entry: LogEntry, *, by: datetime) -> bool:
    """Return whether a posting says that the parcel was handed over on a day before `by`."""
    if entry.kind is not EventKind.POSTED:
        return False
    sent: Sent = load_facts(entry.kind, stored=entry.facts)
    return sent.on < by.astimezone(shop.zone()).date()


def _number_doubt(number_found: str, *, booking: Job) -> str:
    """Return on what the two numbers disagree, or nothing; two numbers of one model agree."""
    here, there = normalise(number_found).compact, normalise(booking.number_as_read).compact
    if not here or here == there or booking.unit_model in models_of_number(number_found):
        return ""
    if there:
        return f"The number on this unit is “{number_found}”; the customer read “{booking.number_as_read}”."
    if booking.unit_model:
        return f"The number on this unit, “{number_found}”, is none of the model that was booked."
    return ""


def is_photographed_since(job: Job, *, matched: LogEntry) -> bool:
    """Return whether the shop took photos of this job after its box had been matched."""
    taken = Photo.objects.filter(job=job, role__in=STAFF_ROLES, withdrawn_at__isnull=True)
    return taken.filter(uploaded_at__gt=matched.happened_at).exists()


def box_of_match(matched: LogEntry) -> str:
    """Return the number under which the box was recorded."""
    facts: Matched = load_facts(matched.kind, stored=matched.facts)
    return facts.box_job_number
