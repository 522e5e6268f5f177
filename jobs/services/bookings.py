"""Writing a booking page by page, and sending it in: the one place where jobs begin."""

from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.domain.actors import Actor
from jobs.domain.booking import (
    BookingAnswers,
    BookingStep,
    changed_contact,
    contact_of,
    missing_steps,
)
from jobs.domain.errors import IntakeClosed, MissingFact, SubmissionConflict
from jobs.domain.facts import BookingSent
from jobs.domain.log import JobLog
from jobs.domain.stages import EventKind, Role
from jobs.models import Booking, Customer, Job, Photo
from jobs.selectors.shop import identity
from jobs.services._steps import OpenLog, fresh_job_number, note_details_changed, queue_message
from packing import selectors as catalogue
from packing.catalogue.schema import EntryKind
from packing.plain import from_plain, to_plain
from packing.quantities import UnitChoice


@transaction.atomic(durable=True)
def start_booking(*, now: datetime, customer: Customer | None = None) -> Booking:
    """Return a new booking: empty, or with the contact of a customer who has let themselves in.

    Raises: IntakeClosed while the shop takes no bookings.
    """
    _require_intake()
    known = _known_contact(customer) if customer is not None else BookingAnswers()
    return Booking.objects.create(customer=customer, answers=to_plain(known), started_at=now, saved_at=now)


def _require_intake() -> None:
    house = identity()
    if not house.intake_open:
        raise IntakeClosed(house.intake_note)


def _known_contact(customer: Customer) -> BookingAnswers:
    """Return answers in which nothing that the customer told us before is asked again."""
    answers = BookingAnswers(
        name=customer.name,
        email=customer.email,
        phone=customer.phone,
        address_lines=customer.address_lines,
        postal_code=customer.postal_code,
        country=customer.country,
        unit_choice=UnitChoice(customer.unit_choice),
    )
    return replace(answers, known_contact=contact_of(answers))


def answers_of(booking: Booking) -> BookingAnswers:
    """Return what the customer has answered so far."""
    return from_plain(BookingAnswers, booking.answers)


@transaction.atomic(durable=True)
def save_answers(
    booking: Booking,
    *,
    step: BookingStep,
    changes: dict[str, Any],
    now: datetime,
    reopen: tuple[BookingStep, ...] = (),
) -> BookingAnswers:
    """Return all answers after writing those of one page; `reopen` names pages to be answered again.

    Raises: SubmissionConflict when the booking has been sent in already.
    """
    locked = Booking.objects.select_for_update().get(pk=booking.pk)
    if locked.job_id is not None:
        raise SubmissionConflict(
            "This booking has been sent in already. Open your job page to add something to it."
        )
    before = answers_of(locked)
    again = {page.value for page in reopen}
    answered = tuple(page for page in dict.fromkeys((*before.answered, step.value)) if page not in again)
    answers = replace(before, **changes, answered=answered)
    locked.answers = to_plain(answers)
    locked.saved_at = now
    locked.save(update_fields=["answers", "saved_at"])
    booking.answers = locked.answers
    return answers


@transaction.atomic(durable=True)
def mail_draft_link(booking: Booking, *, email: str, now: datetime) -> None:
    """Queue a mail with a private link to go on with this booking; one a minute at the most."""
    queue_message(
        "draft_link",
        key=f"draft.{booking.pk}.{now:%Y%m%d%H%M}",
        recipient=email,
        payload={"booking": booking.pk},
        job=None,
        now=now,
    )


@transaction.atomic(durable=True)
def send_booking(reference: UUID, *, now: datetime, let_in_as: int | None = None) -> Job:
    """Return the job this booking became; sending the same booking again returns the same job.

    `let_in_as` is the customer whose pages are open to the browser that sends it, None for a browser that
    only holds the booking, for instance by its mailed link.
    Raises: MissingFact naming the first question that is not answered yet; IntakeClosed; SubmissionConflict
    when the customer's links were closed meanwhile.
    """
    # The customer before the booking, as when their links are closed, or each could wait for the other.
    begun_by = Customer.objects.filter(bookings__reference=reference)
    begun_by.select_for_update(of=("self",), no_key=True).first()
    booking = Booking.objects.select_for_update(of=("self",)).filter(reference=reference).first()
    if booking is None:
        raise SubmissionConflict(
            "This booking can be opened by a new link only: look for our newest mail, and send it from there."
        )
    if booking.job_id is not None:
        return Job.objects.get(pk=booking.job_id)
    _require_intake()
    answers = answers_of(booking)
    missing = missing_steps(answers)
    if missing:
        raise MissingFact(f"One question is still open: {missing[0].value.replace('_', ' ')}.")
    customer = _customer(booking, answers=answers, let_in_as=let_in_as, now=now)
    job = _new_job(answers, customer=customer, submission_key=booking.submission_key, now=now)
    OpenLog(job, log=JobLog()).record(
        EventKind.BOOKING_SENT,
        facts=BookingSent(unit_model=answers.unit_model, number_as_read=answers.number_as_read),
        actor=Actor(role=Role.CUSTOMER, name=customer.name, customer_id=customer.pk),
        now=now,
    )
    Photo.objects.filter(booking=booking).update(job=job)
    booking.job = job
    booking.customer = customer
    booking.save(update_fields=["job", "customer"])
    return job


def _customer(booking: Booking, *, answers: BookingAnswers, let_in_as: int | None, now: datetime) -> Customer:
    """Return whose job it becomes: the known customer this booking was begun by, or a new one.

    Whoever holds a draft's link may change every answer in it, but gets no job of the known customer and
    moves no return address: another email, or a change by a browser that is not let in, makes a new
    customer. The email of a known customer is never written here.
    """
    known = booking.customer
    changed = changed_contact(answers)
    is_theirs = known is not None and answers.email.strip().lower() == known.email.strip().lower()
    if known is None or not is_theirs or (changed and let_in_as != known.pk):
        return Customer.objects.create(email=answers.email, created_at=now, **contact_of(answers))
    return _change_known(known, changed=changed, now=now)


def _change_known(customer: Customer, *, changed: dict[str, str], now: datetime) -> Customer:
    """Write what was changed in this booking, and note it on the jobs whose unit goes back there."""
    locked = Customer.objects.select_for_update(no_key=True).get(pk=customer.pk)
    changed = {name: value for name, value in changed.items() if value != getattr(locked, name)}
    if not changed:
        return locked
    for name, value in changed.items():
        setattr(locked, name, value)
    locked.version += 1
    locked.save(update_fields=[*changed, "version"])
    if set(changed) - {"unit_choice"}:
        actor = Actor(role=Role.CUSTOMER, name=locked.name, customer_id=locked.pk)
        words = "Contact details were changed with a new booking."
        note_details_changed(locked, besides=None, words=words, actor=actor, now=now)
    return locked


def _new_job(answers: BookingAnswers, *, customer: Customer, submission_key: UUID, now: datetime) -> Job:
    revision = (
        catalogue.current_revision(EntryKind.UNIT_MODEL, answers.unit_model) if answers.unit_model else None
    )
    return Job.objects.create(
        number=fresh_job_number(),
        submission_key=submission_key,
        customer=customer,
        family=answers.family,
        unit_model=answers.unit_model,
        unit_model_revision=revision,
        number_as_read=answers.number_as_read[:120],
        number_where=answers.number_where[:120],
        identified_by=answers.identified_by[:240],
        fitted_to=answers.fitted_to[:200],
        symptoms=list(answers.symptoms),
        flags=list(answers.flags),
        own_words=answers.own_words,
        wished_on=answers.wished_on,
        spend_limit_pence=answers.spend_limit_pence,
        stage="booked",
        stage_since=now,
        event_count=1,
        booked_at=now,
    )
