"""Will the carton that the customer has carry the unit of this job?"""

from dataclasses import dataclass
from datetime import date

from jobs.domain.own_carton import OwnCarton, own_carton_of
from jobs.models import Job
from jobs.selectors.parcel_plans import stock_on
from packing import selectors as catalogue
from packing.catalogue.schema import Carton, EntryKind, Material, UnitModel
from packing.errors import UnknownEntry
from packing.parcel.margins import material_refusal
from packing.parcel.mended import mended_plan
from packing.parcel.misfit import describe_misfit
from packing.parcel.outcome import ParcelPlan
from packing.parcel.plan import judge_carton
from packing.parcel.unit import Leg, pack_unit
from packing.plain import from_plain
from packing.quantities import UnitChoice


@dataclass(frozen=True, slots=True)
class ChosenCarton:
    """The carton the customer chose, and the materials they had at hand."""

    carton: OwnCarton
    materials: tuple[str, ...]


def materials_to_tick() -> tuple[Material, ...]:
    """Return the published materials, those that a kitchen or a supermarket has first."""
    published = catalogue.catalogue().materials.values()
    return tuple(sorted(published, key=lambda material: (not material.easy_to_get, material.name)))


def knows_unit(job: Job) -> bool:
    """Return whether the unit is known well enough to compute a parcel for it."""
    return bool(job.unit_model) and job.unit_model_revision is not None


def judge_for(job: Job, *, carton: Carton, materials: tuple[str, ...], today: date) -> ParcelPlan | None:
    """Return the verdict on a carton for the way to the shop, by the revision the customer was told of.

    None when the unit is not known, or none of the materials is published.
    Raises: OutOfRange for a carton no parcel can have.
    """
    published = catalogue.catalogue()
    at_hand = [published.materials[slug] for slug in materials if slug in published.materials]
    model = _model_of(job)
    if model is None or not at_hand:
        return None
    stock = stock_on(today, published=published)
    return judge_carton(
        pack_unit(model, leg=Leg.TO_SHOP),
        carton=carton,
        materials=at_hand,
        carrier=stock.carrier(Leg.TO_SHOP),
        drop_test=stock.drop_test,
    )


def mended_for(job: Job, *, plan: ParcelPlan, materials: tuple[str, ...], today: date) -> ParcelPlan | None:
    """Return the plan once the changes told for a refused carton are made; None where none of it passes."""
    published, model = catalogue.catalogue(), _model_of(job)
    if model is None:
        return None
    stock = stock_on(today, published=published)
    return mended_plan(
        plan,
        unit=pack_unit(model, leg=Leg.TO_SHOP),
        at_hand=[published.materials[slug] for slug in materials if slug in published.materials],
        carrier=stock.carrier(Leg.TO_SHOP),
        drop_test=stock.drop_test,
    )


def describe_misfit_of(job: Job, *, carton: Carton, choice: UnitChoice) -> str:
    """Return that the unit itself does not go into the carton, or nothing."""
    model = _model_of(job)
    if model is None:
        return ""
    return describe_misfit(pack_unit(model, leg=Leg.TO_SHOP), carton=carton, choice=choice)


def describe_refused_materials(job: Job, *, materials: tuple[str, ...]) -> tuple[str, ...]:
    """Return, for each material that may not cushion this unit on its own, a sentence that says why."""
    published, model = catalogue.catalogue(), _model_of(job)
    if model is None:
        return ()
    unit = pack_unit(model, leg=Leg.TO_SHOP)
    at_hand = [published.materials[slug] for slug in materials if slug in published.materials]
    said = (material_refusal(unit, material=material) for material in at_hand)
    return tuple(sentence.strip() for sentence in said if sentence)


def chosen_carton(job: Job) -> ChosenCarton | None:
    """Return the customer's own carton that the plan of this job was made for."""
    if not job.customer_carton:
        return None
    own = own_carton_of(from_plain(Carton, job.customer_carton["carton"]))
    return ChosenCarton(own, tuple(job.customer_carton["materials"])) if own else None


def _model_of(job: Job) -> UnitModel | None:
    if not job.unit_model or job.unit_model_revision is None:
        return None
    try:
        model = catalogue.entry_at(EntryKind.UNIT_MODEL, job.unit_model, revision=job.unit_model_revision)
    except UnknownEntry:
        return None
    return model if isinstance(model, UnitModel) else None
