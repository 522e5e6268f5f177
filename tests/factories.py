"""Jobs, customers and shops for tests, made by the real services, so that no impossible state exists."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

from jobs.demo.five_people import five_people_shop
from jobs.domain.actors import Actor
from jobs.domain.booking import BookingStep
from jobs.domain.facts import Arrived, BenchWork, BoxRecorded
from jobs.domain.shop import ShopIdentity, ShopKind
from jobs.domain.stages import Role
from jobs.leadtime.routes import BenchStep, next_steps
from jobs.models import Job
from jobs.selectors import shop as shop_selector
from jobs.selectors.parcels import family_of, needs_draining
from jobs.services import answers, arrivals, bench, bookings, dispatch, link_renewal, parcels
from jobs.services import shop as shop_service
from packing import selectors as catalogue
from packing.plain import to_plain
from packing.services import FirstEntries, publish_first_revisions
from tests.first_shop import write_first_shop

NOW = datetime(2026, 3, 10, 10, 0, tzinfo=UTC)
WORKSHOP = Actor(role=Role.WORKSHOP, name="Tobin Ashgrove")
SECOND = Actor(role=Role.WORKSHOP, name="Wren Castlemoor")
NO_SETTINGS = "the factory sets none"
OWNER = Actor(role=Role.OWNER, name="Maren Quillfeather")
MODEL = "tolvane-kv4081"

STAGES_IN_ORDER = (
    "booked",
    "cleared",
    "posted",
    "arrived",
    "inspected",
    "stripped",
    "cleaned",
    "machined",
    "assembled",
    "tested",
    "signed_off",
    "packed",
    "sent_back",
    "closed",
)


def open_shop(*, now: datetime = NOW) -> None:
    """Publish the demo catalogue, the shop's identity, hours, benches, people and routes."""
    if shop_selector.documents(ShopKind.SHOP):
        return
    write_first_shop(lambda: publish_first_shop(now=now), now=now)


def publish_first_shop(*, now: datetime) -> None:
    """Publish the demo shop by the services, entry by entry."""
    publish_first_revisions(FirstEntries.DEMO, now=now)
    seeds = five_people_shop()
    identity = ShopIdentity(
        slug="shop",
        name="Quillfeather Fuel & Spark",
        strapline="Fuel and ignition units rebuilt by post",
        address_lines=("4 Ropewalk", "Saltmere"),
        phone="01632 960 123",
        email="counter@quillfeather.example",
        hours_sentence="Monday to Thursday 8:00 to 17:00, Friday 8:00 to 13:00",
    )
    publish(ShopKind.SHOP, identity, now=now)
    publish(ShopKind.HOURS, seeds.working_hours, now=now)
    for kind, entries in (
        (ShopKind.PERSON, seeds.people),
        (ShopKind.WORK_CENTRE, seeds.centres),
        (ShopKind.ROUTE, seeds.routes),
    ):
        for entry in entries:
            publish(kind, entry, now=now)


def publish(kind: ShopKind, entry: object, *, now: datetime = NOW) -> None:
    """Publish one document of the shop."""
    seen = shop_selector.newest_revisions().get((kind.value, getattr(entry, "slug", kind.value)), 0)
    shop_service.publish_document(to_plain(entry), kind=kind, based_on=seen, note="", actor=OWNER, now=now)


def make_booking(*, now: datetime = NOW, **changes):
    """Return a booking with every question answered, not sent in yet."""
    open_shop(now=now)
    booking = bookings.start_booking(now=now)
    given = {
        "family": "carburettor",
        "number_as_read": "KV4081B",
        "unit_model": MODEL,
        "fitted_to": "A launch of 1961",
        "symptoms": (),
        "own_words": "It will not idle.",
        "name": "Ada Thornby",
        "email": "ada@example.com",
        "phone": "01632 960 555",
        "address_lines": "2 Quay Cottages\nSaltmere",
        "postal_code": "SA1 2BC",
        "spend_limit_pence": 5000,
        **changes,
    }
    # As if every page had been sent on as it was; a write for each would be most of a booking's time.
    been_through = replace(bookings.answers_of(booking), answered=tuple(step.value for step in BookingStep))
    booking.answers = to_plain(been_through)
    booking.save(update_fields=["answers"])
    bookings.save_answers(booking, step=BookingStep.CHECK, changes=given, now=now)
    return booking


def make_job(*, stage: str = "booked", now: datetime = NOW, **changes) -> Job:
    """Return a job walked to `stage` an hour a step; `now` is when it was booked."""
    booking = make_booking(now=now, **changes)
    job = bookings.send_booking(booking.reference, now=now)
    return walk_to(job, stage=stage, now=now)


def walk_to(job: Job, *, stage: str, now: datetime = NOW) -> Job:
    """Return the job after the services have taken it to `stage` by its family's route."""
    at = now
    while job.stage != stage:
        at += timedelta(hours=1)
        at = advance(job, towards=stage, at=at)
        job.refresh_from_db(fields=["stage", "family", "unit_model"])
    job.refresh_from_db()
    return job


def advance(job: Job, *, towards: str, at: datetime) -> datetime:
    """Return when the next step of the way was done; of several possible ones, that which leads there."""
    number = job.number
    who = {"actor": WORKSHOP, "now": at, "expected_count": None}
    match job.stage:
        case "booked" if towards == "declined":
            answers.decline_job(number, reason="We do not rebuild this one.", **who)
        case "booked":
            answers.clear_job(number, unit_model=job.unit_model, note="", **who)
        case "cleared":
            at = _pass_gate(job, at=at)
            parcels.record_posted(
                number, on=at.date(), carrier="", tracking_number="", actor=WORKSHOP, now=at
            )
        case "posted":
            arrivals.record_arrival(
                number, arrived=Arrived(carton_state="sound", packing_found="suspended"), **who
            )
        case "arrived":
            arrivals.record_inspection(number, inspection=sound_inspection(job), **who)
        case "tested":
            bench.sign_off(
                number, note="", without_settings=NO_SETTINGS, actor=SECOND, now=at, expected_count=None
            )
        case "signed_off":
            dispatch.check_bench_fluid(number, smells=False, **who)
            dispatch.pack_job(number, note="", **who)
        case "packed":
            dispatch.send_back(number, on=at.date(), carrier="", tracking_number="", **who)
        case "sent_back":
            dispatch.close_job(number, note="", actor=WORKSHOP, now=at)
        case _:
            _finish_next_step(job, towards=towards, at=at)
    return at


def _pass_gate(job: Job, *, at: datetime) -> datetime:
    """Return when the unit may be posted: what holds fuel is drained, aired for four days and smelt."""
    if not needs_draining(family_of(job)):
        return at
    parcels.record_drained(job.number, drained_at=at, actor=WORKSHOP, now=at)
    aired_at = at + timedelta(hours=96)
    parcels.record_smell(job.number, smells=False, actor=WORKSHOP, now=aired_at)
    return aired_at


def _finish_next_step(job: Job, *, towards: str, at: datetime) -> None:
    from jobs.selectors.shop_state import states_of

    done = tuple(BenchStep(step) for step in states_of([job])[job.pk].done_steps)
    possible = next_steps(shop_selector.route_for(job.family), done=done)
    wanted = {"machined": BenchStep.MACHINE, "cleaned": BenchStep.CLEAN}.get(towards)
    step = wanted if wanted in possible else possible[0]
    work = BenchWork(step=step.value)
    bench.start_work(job.number, work=work, actor=WORKSHOP, now=at, expected_count=None)
    if step is BenchStep.TEST:
        read_well(job, now=at)
    bench.finish_work(job.number, work=work, actor=WORKSHOP, now=at, expected_count=None)


def read_well(job: Job, *, now: datetime, **changes: float) -> None:
    """Enter readings in the middle of their limits, but for the `changes`; models without lines have none."""
    model = catalogue.catalogue().unit_models.get(job.unit_model)
    if model is None or not model.test_lines:
        return
    readings = {
        line.slug: ((line.least or 0.0) + (line.most or line.least or 1.0)) / 2 for line in model.test_lines
    }
    bench.record_readings(
        job.number, readings={**readings, **changes}, actor=WORKSHOP, now=now, expected_count=None
    )


def sound_inspection(job: Job) -> arrivals.Inspection:
    """Return an inspection that finds the booked unit, complete and sound."""
    return arrivals.Inspection(
        grade="complete",
        number_read=job.number_as_read,
        unit_model=job.unit_model,
        contents_found=("unit",),
        contents_missing=(),
        marks=(),
    )


def renew_links(job: Job, *, email: str | None = None, now: datetime = NOW) -> Job:
    """Return the job after every link of its customer was closed; `email` None keeps the address on file."""
    job.refresh_from_db()
    return link_renewal.renew_links(
        job.number,
        email=job.customer.email if email is None else email,
        reason="The phone was lost.",
        actor=WORKSHOP,
        now=now,
        expected_count=None,
    )


def make_box(*, now: datetime = NOW, parcel_number: str = "") -> Job:
    """Return the job of a box that nobody announced."""
    open_shop(now=now)
    return arrivals.record_box(
        box=BoxRecorded(
            sender_on_box="no name",
            parcel_number=parcel_number,
            carton_state="sound",
            packing_found="loose_fill",
        ),
        family="carburettor",
        number_found="KV4081B",
        submission_key=uuid4(),
        actor=WORKSHOP,
        now=now,
    )


def today(now: datetime = NOW) -> date:
    """Return the date of the tests' usual moment."""
    return now.date()
