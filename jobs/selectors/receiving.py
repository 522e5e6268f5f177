"""What helps to receive a box with proof: the next photo, what should be inside, the claim clocks."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from jobs.domain.attribution import EvidenceItem, EvidenceScore, score_evidence
from jobs.domain.claim_periods import periods_of
from jobs.domain.claims import ClaimClock, claim_clocks
from jobs.domain.facts import Arrived, BoxRecorded, Sent, load_facts
from jobs.domain.replay import LogEntry, standing_events
from jobs.domain.shop import ShopKind
from jobs.domain.stages import EventKind
from jobs.models import Job, Photo
from jobs.selectors import shop
from jobs.selectors.parcels import strip_list
from packing import selectors as catalogue
from packing.catalogue.schema import StripAction, UnitModel
from packing.identify.match import Identification, identify
from packing.parcel.unit import Leg

THE_UNIT = "the unit"
STAFF_ROLES = ("carton", "packing", "item", "finding", "done", "back")
PROOF_ROLES = frozenset({"carton", "packing", "item"})


@dataclass(frozen=True, slots=True)
class ArrivalShot:
    """One photo of the arrival, in the order in which it can still be taken."""

    slug: str
    role: str
    title: str
    instruction: str
    count_least: int = 1


ARRIVAL_SHOTS = (
    ArrivalShot(
        EvidenceItem.OUTER_SIX_SIDES.value,
        "carton",
        "The closed carton, all six sides",
        "Two photos from opposite corners show all six sides. Do not cut the tape before.",
        count_least=2,
    ),
    ArrivalShot(
        EvidenceItem.LABEL.value,
        "carton",
        "The label",
        "Close enough to read the parcel number.",
    ),
    ArrivalShot(
        EvidenceItem.IN_BOX.value,
        "packing",
        "Opened, nothing moved",
        "Straight from above, with the unit in its packing as you found it.",
    ),
    ArrivalShot(
        EvidenceItem.CUSHIONING.value,
        "packing",
        "The packing alone",
        "Lift the unit out and photograph the cushions where they lie. Keep them.",
    ),
)
CLOSE_SHOTS = (
    ArrivalShot(
        EvidenceItem.ITEM_ZONE.value, "item", "The unit, and each damaged place", "One photo for each place."
    ),
    ArrivalShot(
        EvidenceItem.RULER.value, "item", "A damaged place with a ruler", "Lay a ruler beside the damage."
    ),
)


@dataclass(frozen=True, slots=True)
class ShotState:
    """A wanted photo and the photos taken of it so far; `is_next` is the one whose turn it is."""

    shot: ArrivalShot
    photos: tuple[Photo, ...]
    is_done: bool
    is_next: bool


@dataclass(frozen=True, slots=True)
class ExpectedPart:
    """One thing that should be in the box, or stay at home, by the list the customer was given."""

    slug: str
    words: str
    action: StripAction


@dataclass(frozen=True, slots=True)
class ArrivalSeen:
    """The box as it was recorded, from an announced or an unannounced arrival."""

    carton_state: str
    packing_found: str
    smells_of_fuel: bool
    parcel_number: str
    name_inside: bool
    sender_on_box: str
    note: str
    on: date
    by_name: str


def shot_states(
    photos: Sequence[Photo], *, shots: Sequence[ArrivalShot] = ARRIVAL_SHOTS
) -> tuple[ShotState, ...]:
    """Return the wanted photos in their order with what was taken; the first unfinished one is next."""
    states: list[ShotState] = []
    turn_is_given = False
    for shot in shots:
        taken = tuple(photo for photo in photos if photo.shot == shot.slug)
        done = len(taken) >= shot.count_least
        states.append(ShotState(shot, taken, is_done=done, is_next=not done and not turn_is_given))
        turn_is_given = turn_is_given or not done
    return tuple(states)


def shop_photos(job: Job) -> tuple[Photo, ...]:
    """Return the photos the shop took of this job, in the order they came."""
    return tuple(Photo.objects.filter(job=job, role__in=STAFF_ROLES, withdrawn_at__isnull=True))


def photos_before(job: Job) -> tuple[Photo, ...]:
    """Return the customer's photos from before posting."""
    return tuple(Photo.objects.filter(job=job, role="before", withdrawn_at__isnull=True))


def photo_of(reference: UUID) -> Photo | None:
    """Return one photo that stands, of a job or of a booking that became one."""
    return Photo.objects.filter(reference=reference, job__isnull=False, withdrawn_at__isnull=True).first()


def photo_ever_of(job: Job, *, reference: UUID) -> Photo | None:
    """Return one photo of this job, also one that was withdrawn."""
    return Photo.objects.filter(job=job, reference=reference).first()


def marks_on(photo: Photo) -> int:
    """Return how many marks that stand lie on the photo."""
    return photo.marks.filter(withdrawn_at__isnull=True).count()


def evidence(photos: Sequence[Photo], *, before: Sequence[Photo]) -> EvidenceScore:
    """Return how much of what a claim is asked for is held, and the next thing to photograph."""
    held = {EvidenceItem(state.shot.slug) for state in shot_states(photos) if state.is_done}
    held |= {
        EvidenceItem(state.shot.slug) for state in shot_states(photos, shots=CLOSE_SHOTS) if state.is_done
    }
    if before:
        held.add(EvidenceItem.PHOTO_BEFORE)
    if photos:
        # Every photo is kept with the moment it came in.
        held.add(EvidenceItem.TIME_STAMP)
    return score_evidence(held)


def expected_parts(job: Job) -> tuple[ExpectedPart, ...]:
    """Return what should be in the box by the frozen list: the unit, what was left on, what is sent along."""
    listed = strip_list(job)
    unit = ExpectedPart("unit", THE_UNIT, StripAction.SEND_ALONG)
    if listed is None:
        return (unit,)
    wanted = (StripAction.SEND_ALONG, StripAction.LEAVE_ON)
    return (
        unit,
        *(ExpectedPart(item.slug, item.part, item.action) for item in listed.items if item.action in wanted),
    )


def stays_home(job: Job) -> tuple[ExpectedPart, ...]:
    """Return what the customer was told to take off and keep."""
    listed = strip_list(job)
    if listed is None:
        return ()
    return tuple(ExpectedPart(item.slug, item.part, item.action) for item in listed.kept_at_home())


def arrival_seen(entries: Sequence[LogEntry]) -> ArrivalSeen | None:
    """Return how the box came, or None before it did."""
    kinds = {EventKind.ARRIVED, EventKind.BOX_RECORDED}
    entry = next((each for each in reversed(standing_events(entries)) if each.kind in kinds), None)
    if entry is None:
        return None
    facts: Arrived | BoxRecorded = load_facts(entry.kind, stored=entry.facts)
    return ArrivalSeen(
        carton_state=facts.carton_state,
        packing_found=facts.packing_found,
        smells_of_fuel=facts.smells_of_fuel,
        parcel_number=facts.parcel_number,
        name_inside=facts.name_inside if isinstance(facts, Arrived) else False,
        sender_on_box=facts.sender_on_box if isinstance(facts, BoxRecorded) else "",
        note=facts.note,
        on=entry.happened_at.astimezone(shop.zone()).date(),
        by_name=entry.actor_name,
    )


def compare_number(number_read: str, *, unit_model: str) -> tuple[str, Identification, tuple[UnitModel, ...]]:
    """Return (doubt, identification, models named); the doubt is empty when the number fits the model."""
    models = catalogue.catalogue().unit_models
    found = identify(number_read, models=tuple(models.values()))
    named = tuple(models[candidate.model] for candidate in found.candidates)
    if not unit_model or not number_read.strip():
        return "", found, named
    if not found.candidates:
        return found.reason, found, named
    ours = next((each for each in found.candidates if each.model == unit_model), None)
    nearest = found.candidates[0]
    chosen = models.get(unit_model)
    name = chosen.name if chosen else unit_model
    if ours is None:
        return f"The number fits {nearest.name}, not {name}. {nearest.reason}", found, named
    if nearest.distance_tenths < ours.distance_tenths:
        return f"The number is nearer to {nearest.name} than to {name}. {nearest.reason}", found, named
    return "", found, named


def clocks(job: Job, *, entries: Sequence[LogEntry]) -> tuple[ClaimClock, ...]:
    """Return the claim clocks of the carrier named and of law, the earliest first; none before delivery."""
    standing = standing_events(entries)
    arrived_on = job.arrived_at.astimezone(shop.zone()).date() if job.arrived_at else None
    if arrived_on is None:
        return ()
    posted = next((entry for entry in standing if entry.kind is EventKind.POSTED), None)
    sent: Sent | None = load_facts(posted.kind, stored=posted.facts) if posted else None
    posted_on = sent.on if sent and sent.on <= arrived_on else None
    closed = [day.on for day in shop.documents(ShopKind.CLOSED_DAY).values()]
    return claim_clocks(
        leg=Leg.TO_SHOP,
        posted_on=posted_on,
        delivered_on=arrived_on,
        closed_days=closed,
        periods=periods_of(sent.carrier if sent else ""),
    )
