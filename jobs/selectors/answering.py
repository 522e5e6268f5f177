"""What the shop needs in front of it to answer a booking: what was said, what it may be, and the parcel."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from jobs.domain.booking import FLAG_LABELS, BookingAnswers, UnitFlag
from jobs.models import Booking, Job
from jobs.selectors.parcel_plans import plan_for, stock_on
from packing import selectors as catalogue
from packing.catalogue.schema import Family, UnitModel
from packing.errors import PackingError
from packing.identify.match import Identification, identify
from packing.parcel.outcome import ParcelPlan
from packing.parcel.unit import Leg
from packing.plain import from_plain


@dataclass(frozen=True, slots=True)
class ModelChoice:
    """One unit model it may be, and why; `chosen_by_customer` marks the customer's own answer."""

    slug: str
    name: str
    description: str
    reason: str
    against: tuple[str, ...]
    chosen_by_customer: bool


@dataclass(frozen=True, slots=True)
class BookingSeen:
    """Everything the answer to one booking rests on."""

    family: Family | None
    symptoms: tuple[str, ...]
    flags: tuple[str, ...]
    traits: tuple[tuple[str, str], ...]
    identification: Identification | None
    choices: tuple[ModelChoice, ...]

    @property
    def first_choice(self) -> str:
        """The model to preselect: the customer's, else the one proposed, else none."""
        customers = next((choice.slug for choice in self.choices if choice.chosen_by_customer), "")
        proposed = self.identification.proposed if self.identification else None
        return customers or (proposed.model if proposed else "")


@dataclass(frozen=True, slots=True)
class PlanPreview:
    """The parcel the customer would be told to pack, or the reason why none can be planned."""

    unit_model: str
    model: UnitModel | None
    plan: ParcelPlan | None
    refusal: str = ""


def see_booking(job: Job) -> BookingSeen:
    """Return what the customer said and what the catalogue makes of it."""
    published = catalogue.catalogue()
    family = published.families.get(job.family)
    booking = Booking.objects.filter(job=job).first()
    answers = from_plain(BookingAnswers, booking.answers) if booking else BookingAnswers()
    traits = dict(answers.traits or {})
    found = None
    if job.number_as_read:
        found = identify(
            job.number_as_read,
            models=tuple(published.unit_models.values()),
            traits=traits,
            questions=family.questions if family else (),
        )
    return BookingSeen(
        family=family,
        symptoms=_labels(job, family=family),
        flags=tuple(FLAG_LABELS[UnitFlag(flag)] for flag in job.flags if flag in set(UnitFlag)),
        traits=_traits(family, answers=traits),
        identification=found,
        choices=_choices(job, found=found, models=published.unit_models),
    )


def other_models(job: Job, *, shown: tuple[ModelChoice, ...]) -> tuple[tuple[str, str], ...]:
    """Return the models not among the candidates as (slug, name), those of the job's family first."""
    known = {choice.slug for choice in shown}
    models = [model for model in catalogue.catalogue().unit_models.values() if model.slug not in known]
    models.sort(key=lambda model: (model.family != job.family, model.name))
    return tuple((model.slug, model.name) for model in models)


def preview_plan(unit_model: str, *, today: date) -> PlanPreview:
    """Return the parcel plan the customer would get for this model to the shop."""
    published = catalogue.catalogue()
    model = published.unit_models.get(unit_model)
    if model is None:
        return PlanPreview(
            "", None, None, "No model is chosen: the family's general packing rules are given."
        )
    try:
        plan = plan_for(model, leg=Leg.TO_SHOP, stock=stock_on(today, published=published))
    except PackingError as refusal:
        return PlanPreview(unit_model, model, None, str(refusal))
    return PlanPreview(unit_model, model, plan)


def _choices(
    job: Job, *, found: Identification | None, models: Mapping[str, UnitModel]
) -> tuple[ModelChoice, ...]:
    listed = [
        ModelChoice(
            slug=candidate.model,
            name=candidate.name,
            description=models[candidate.model].description,
            reason=candidate.reason,
            against=candidate.against,
            chosen_by_customer=candidate.model == job.unit_model,
        )
        for candidate in (found.candidates if found else ())
    ]
    own = models.get(job.unit_model)
    if own is not None and own.slug not in {choice.slug for choice in listed}:
        listed.insert(
            0,
            ModelChoice(own.slug, own.name, own.description, job.identified_by, (), chosen_by_customer=True),
        )
    return tuple(listed)


def _labels(job: Job, *, family: Family | None) -> tuple[str, ...]:
    names = {symptom.slug: symptom.label for symptom in (family.symptoms if family else ())}
    return tuple(names.get(slug, slug.replace("_", " ")) for slug in job.symptoms)


def _traits(family: Family | None, *, answers: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    asked = {question.slug: question.text for question in (family.questions if family else ())}
    return tuple((asked.get(slug, slug), answer) for slug, answer in answers.items() if answer)
