"""The answers a customer gives before a job exists, and what is still missing from them."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from packing.quantities import UnitChoice

DRAFT_DAYS = 60  # how long a mailed link opens an unsent booking, which is deleted afterwards


class BookingStep(StrEnum):
    """The pages of a booking, in order."""

    FAMILY = "family"
    NUMBER = "number"
    MODEL = "model"
    FITTED_TO = "fitted_to"
    SYMPTOMS = "symptoms"
    PHOTOS = "photos"
    CONTACT = "contact"
    WISHES = "wishes"
    LIMIT = "limit"
    CHECK = "check"


class UnitFlag(StrEnum):
    """States of a unit that change how the shop handles it."""

    SEIZED = "seized"
    BROKEN = "broken"
    MISSING = "missing"
    OPENED = "opened"


FLAG_LABELS: dict[UnitFlag, str] = {
    UnitFlag.SEIZED: "Something that should turn or slide is seized",
    UnitFlag.BROKEN: "Something is broken or cracked",
    UnitFlag.MISSING: "Parts are missing",
    UnitFlag.OPENED: "Somebody has opened it before",
}


@dataclass(frozen=True, slots=True)
class BookingAnswers:
    """Everything asked, with empty values for what is not answered yet.

    `answered` names the steps the customer has been through, so that an optional question left empty
    counts as answered. `known_contact` is what was filled in for a customer the shop knows, by field, so
    that a booking changes only what was changed in it.
    """

    family: str = ""
    number_as_read: str = ""
    number_where: str = ""
    number_kind: str = ""
    cannot_read: bool = False
    unit_model: str = ""
    identified_by: str = ""
    traits: dict[str, str] | None = None
    fitted_to: str = ""
    symptoms: tuple[str, ...] = ()
    flags: tuple[str, ...] = ()
    own_words: str = ""
    name: str = ""
    email: str = ""
    phone: str = ""
    address_lines: str = ""
    postal_code: str = ""
    country: str = ""
    unit_choice: UnitChoice = UnitChoice.METRIC
    wished_on: date | None = None
    spend_limit_pence: int = 0
    answered: tuple[str, ...] = ()
    known_contact: dict[str, str] | None = None


CONTACT_FIELDS = ("name", "phone", "address_lines", "postal_code", "country", "unit_choice")


def contact_of(answers: BookingAnswers) -> dict[str, str]:
    """Return the contact fields but for the email, their lines ending as the shop keeps them."""
    return {name: "\n".join(str(getattr(answers, name)).splitlines()) for name in CONTACT_FIELDS}


def changed_contact(answers: BookingAnswers) -> dict[str, str]:
    """Return the contact fields, but for the email, that differ from what was filled in beforehand."""
    known = answers.known_contact or {}
    return {name: value for name, value in contact_of(answers).items() if value != known.get(name)}


def missing_steps(answers: BookingAnswers) -> tuple[BookingStep, ...]:
    """Return the steps that still have to be answered before the booking can be sent."""
    missing = []
    if not answers.family:
        missing.append(BookingStep.FAMILY)
    if not answers.number_as_read and not answers.cannot_read:
        missing.append(BookingStep.NUMBER)
    missing.extend(
        step
        for step in (
            BookingStep.MODEL,
            BookingStep.FITTED_TO,
            BookingStep.SYMPTOMS,
            BookingStep.PHOTOS,
            BookingStep.WISHES,
            BookingStep.LIMIT,
        )
        if step.value not in answers.answered
    )
    if not (answers.name and answers.email and answers.address_lines):
        missing.append(BookingStep.CONTACT)
    order = list(BookingStep)
    return tuple(sorted(missing, key=order.index))


def next_step(answers: BookingAnswers) -> BookingStep:
    """Return the page that follows: the first unanswered one, or the check page."""
    missing = missing_steps(answers)
    return missing[0] if missing else BookingStep.CHECK
