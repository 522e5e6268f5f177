"""Where does a known customer's unit go back to? A booking shows what sending it will do."""

from dataclasses import replace

from jobs.domain.booking import CONTACT_FIELDS, BookingAnswers, changed_contact
from jobs.models import Booking, Customer
from jobs.services import bookings
from packing.quantities import UnitChoice


def answers_as_sent(booking: Booking, *, let_in_as: int | None) -> BookingAnswers:
    """Return the answers with the contact on file today, but for what was changed in this booking.

    Only for a browser that is let in as that customer (`let_in_as`): any other one sees what it was written
    with, and no newer address.
    """
    answers, known = bookings.answers_of(booking), _whose(booking)
    if known is None or let_in_as != known.pk:
        return answers
    changed = changed_contact(answers)
    on_file = {name: getattr(known, name) for name in CONTACT_FIELDS if name not in changed}
    if "unit_choice" in on_file:
        on_file["unit_choice"] = UnitChoice(known.unit_choice)
    return replace(answers, **on_file)


def outdated_fields(booking: Booking, *, let_in_as: int | None) -> frozenset[str]:
    """Return the contact fields that are newer on file than this browser may see; the newer ones count."""
    answers, known = bookings.answers_of(booking), _whose(booking)
    if known is None or let_in_as == known.pk or changed_contact(answers):
        return frozenset()
    return frozenset(name for name in CONTACT_FIELDS if getattr(known, name) != getattr(answers, name))


def _whose(booking: Booking) -> Customer | None:
    """Return the known customer whose job it becomes; with another email it becomes that of a new one."""
    known, email = booking.customer, bookings.answers_of(booking).email
    same = known is not None and email.strip().lower() == known.email.strip().lower()
    return known if same else None
