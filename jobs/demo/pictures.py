"""Photos for the demo: drawn, then taken in through the same door as a customer's."""

from datetime import datetime
from io import BytesIO

from jobs.domain.actors import Actor
from jobs.models import Booking, Job
from jobs.photos.demo import DemoSubject, draw_demo_photo
from jobs.photos.intake import convert
from jobs.services.photos import add_photo, keep_converted

CAPTIONS = {
    DemoSubject.WHOLE_UNIT: "The whole unit",
    DemoSubject.NUMBER: "The number",
    DemoSubject.OPEN_CARTON: "The carton as opened",
    DemoSubject.BENT_LEVER: "Bent lever",
    DemoSubject.CRACKED_FLANGE: "Crack in the flange",
}


def add_demo_photos(
    *,
    booking: Booking | None,
    job: Job | None,
    family: str,
    number: str,
    subjects: tuple[DemoSubject, ...],
    role: str,
    actor: Actor,
    now: datetime,
) -> None:
    """Draw the subjects and keep them as converted photos."""
    for at, subject in enumerate(subjects):
        seed = (booking.pk if booking else job.pk if job else 0) * 10 + at
        raw = draw_demo_photo(subject, family=family, number=number or "?", seed=seed)
        photo = add_photo(
            BytesIO(raw),
            booking=booking,
            job=job,
            role=role,
            shot="number" if subject is DemoSubject.NUMBER else "",
            caption=CAPTIONS[subject],
            actor=actor,
            now=now,
        )
        keep_converted(photo, converted=convert(raw))
