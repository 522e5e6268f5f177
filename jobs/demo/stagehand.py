"""Leading a job of the demo shop to a stage by the same services the pages use, at back-dated times."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random
from typing import Any

from jobs.demo import scenario
from jobs.demo.hours import OpenDays
from jobs.demo.pictures import add_demo_photos
from jobs.demo.readings import good_readings
from jobs.domain.actors import Actor
from jobs.domain.booking import BookingStep
from jobs.domain.facts import Arrived, BenchWork, ReadingsRecorded
from jobs.domain.stages import HoldKind, Role
from jobs.leadtime.clock import WorkingHours, open_day_from
from jobs.models import Job
from jobs.photos.demo import DemoSubject
from jobs.selectors.parcels import family_of, needs_draining
from jobs.services import answers, arrivals, bench, bookings, parcels
from packing import selectors as catalogue

DAY, UNEVEN = timedelta(days=1), 1.017
NO_SETTINGS = "noted on paper at the bench, to be typed in"
STEPS = ("strip", "clean", "machine", "assemble", "test")


@dataclass(frozen=True, slots=True)
class Stagehand:
    """Leads jobs through the services at back-dated times; days are open days, so nobody works at night."""

    staff: Sequence[Actor]
    now: datetime
    hours: WorkingHours

    def at(self, days_ago: float) -> datetime:
        """Return the moment about so many open days ago, no two days at the same minute."""
        return OpenDays(self.hours, self.now).moment(days_ago * UNEVEN)

    def book(self, unit_model: str, *, name: str, days_ago: float, **given: Any) -> Job:
        """Return a job that was booked so many days ago, with photos of the unit."""
        at = self.at(days_ago)
        model = catalogue.catalogue().unit_models.get(unit_model)
        booking = bookings.start_booking(now=at)
        for step in BookingStep:
            bookings.save_answers(booking, step=step, changes={}, now=at)
        answered = {
            "family": model.family if model else "carburettor",
            "number_as_read": model.numbers[-1].text if model else "",
            "cannot_read": model is None,
            "unit_model": unit_model,
            "fitted_to": model.fitted_to if model else "An old launch",
            "name": name,
            "email": f"{name.lower().replace(' ', '.')}@example.com",
            **scenario.invent_address(Random(name)),  # noqa: S311 - a story, not a secret
            "spend_limit_pence": 2500,
            **given,
        }
        bookings.save_answers(booking, step=BookingStep.CHECK, changes=answered, now=at)
        add_demo_photos(
            booking=booking,
            job=None,
            family=answered["family"],
            number=answered["number_as_read"],
            subjects=(DemoSubject.WHOLE_UNIT, DemoSubject.NUMBER),
            role="before",
            actor=Actor(role=Role.CUSTOMER, name=name),
            now=at,
        )
        return bookings.send_booking(booking.reference, now=at)

    def clear(self, job: Job, *, days_ago: float) -> Job:
        """Say yes."""
        return answers.clear_job(
            job.number, unit_model=job.unit_model, note="", **self.shop(days_ago=days_ago)
        )

    def drain(self, job: Job, *, days_ago: float) -> Job:
        """Let the customer drain the unit."""
        at = self.at(days_ago)
        return parcels.record_drained(job.number, drained_at=at, actor=self.customer(job), now=at)

    def post(self, job: Job, *, days_ago: float) -> Job:
        """Let the customer post it; what holds fuel is drained four days before, and smelt on the day."""
        at = self.at(days_ago)
        who: dict[str, Any] = {"actor": self.customer(job), "now": at}
        if needs_draining(family_of(job)):
            self.drain(job, days_ago=days_ago + 4)
            parcels.record_smell(job.number, smells=False, **who)
        return parcels.record_posted(
            job.number, on=at.date(), carrier="", tracking_number=f"QF{job.number}9", **who
        )

    def receive(self, job: Job, *, days_ago: float, **seen: Any) -> Job:
        """Take the box in."""
        facts = Arrived(**{"carton_state": "sound", "packing_found": "suspended", **seen})
        return arrivals.record_arrival(job.number, arrived=facts, **self.shop(days_ago=days_ago))

    def inspect(self, job: Job, *, days_ago: float, **found: Any) -> Job:
        """Inspect what was in it."""
        job.refresh_from_db()
        inspection = arrivals.Inspection(
            **{
                "grade": "complete",
                "number_read": job.number_as_read,
                "unit_model": job.unit_model,
                "contents_found": ("unit",),
                "contents_missing": (),
                "marks": (),
                **found,
            }
        )
        return arrivals.record_inspection(job.number, inspection=inspection, **self.shop(days_ago=days_ago))

    def in_shop(self, unit_model: str, *, name: str, days_ago: float, **given: Any) -> Job:
        """Return a job whose unit was booked, posted, received and inspected; inspected so long ago."""
        job = self.book(unit_model, name=name, days_ago=days_ago + 12, **given)
        self.clear(job, days_ago=days_ago + 10)
        self.post(job, days_ago=days_ago + 3)
        self.receive(job, days_ago=days_ago + 0.1)
        return self.inspect(job, days_ago=days_ago)

    def work(self, job: Job, *, through: str, days_ago: float, each_days: float = 0.5) -> Job:
        """Work the unit through the steps up to `through`; the last is finished so long ago."""
        wanted = STEPS[: STEPS.index(through) + 1]
        for at, step in enumerate(wanted):
            ago = days_ago + (len(wanted) - 1 - at) * each_days
            work = BenchWork(step=step)
            bench.start_work(job.number, work=work, **self.shop(days_ago=ago + 0.1))
            if step == "test":
                self.read(job, days_ago=ago + 0.01, judged=good_readings)
            bench.finish_work(job.number, work=work, **self.shop(days_ago=ago))
        return job

    def read(self, job: Job, *, days_ago: float, judged: Callable[..., ReadingsRecorded]) -> None:
        """Enter the readings of the bench test."""
        model = catalogue.catalogue().unit_models.get(job.unit_model)
        if model is not None and model.test_lines:
            facts = judged(model.test_lines, dice=Random(job.number))  # noqa: S311 - invented readings
            bench.record_readings(job.number, readings=facts.readings, **self.shop(days_ago=days_ago))

    def hold(self, job: Job, *, kind: HoldKind, reason: str, days_ago: float, expected_days: int) -> Job:
        """Put the job on hold."""
        expected = open_day_from(self.hours, day=(self.now + DAY * expected_days).date())
        return bench.hold_job(
            job.number, hold=kind, reason=reason, expected_on=expected, **self.shop(days_ago=days_ago)
        )

    def shop(self, *, days_ago: float, person: int = 1) -> dict[str, Any]:
        """Return who of the shop does it, when, and that no page was open before."""
        return {
            "actor": self.staff[person % len(self.staff)],
            "now": self.at(days_ago),
            "expected_count": None,
        }

    def customer(self, job: Job) -> Actor:
        """Return the customer of the job."""
        name = job.customer.name if job.customer else ""
        return Actor(role=Role.CUSTOMER, name=name, customer_id=job.customer_id)
