"""What the customer is told about a unit, frozen on the job so that it never changes behind their back."""

from datetime import date, datetime
from typing import Any

from jobs.models import Job
from jobs.selectors import shop
from jobs.selectors.parcel_plans import plan_for, stock_on
from packing import selectors as catalogue
from packing.catalogue.schema import EntryKind, UnitModel
from packing.errors import UnknownEntry
from packing.parcel.unit import Leg
from packing.plain import to_plain
from packing.strip.assemble import StripFlag, assemble_strip_list, family_strip_list


def freeze_instructions(job: Job, *, unit_model: str, now: datetime) -> None:
    """Copy the strip list and both parcel plans of the model's present revision onto the job row.

    Raises: UnknownEntry when the catalogue has no such model or family.
    """
    published = catalogue.catalogue()
    family = published.families.get(job.family)
    if family is None:
        raise UnknownEntry(f"The catalogue has no family “{job.family}”.")
    if not unit_model:
        job.unit_model, job.unit_model_revision = "", None
        listed = family_strip_list(family, symptoms=job.symptoms, flags=_strip_flags(job))
        job.strip_list, job.plan, job.plan_back = to_plain(listed), None, None
    else:
        model = published.unit_models.get(unit_model)
        if model is None:
            raise UnknownEntry(f"The catalogue has no unit model “{unit_model}”.")
        job.family = model.family
        job.unit_model = unit_model
        job.unit_model_revision = catalogue.current_revision(EntryKind.UNIT_MODEL, unit_model)
        strip_list = assemble_strip_list(
            model, family=published.families[model.family], symptoms=job.symptoms, flags=_strip_flags(job)
        )
        job.strip_list = to_plain(strip_list)
        job.plan, job.plan_back = both_plans(model, today=now.astimezone(shop.zone()).date())
    job.save(update_fields=["family", "unit_model", "unit_model_revision", "strip_list", "plan", "plan_back"])


def _strip_flags(job: Job) -> tuple[str, ...]:
    """Return what the customer declared, in the words the strip list knows."""
    known = {flag.value for flag in StripFlag}
    unread = () if job.number_as_read else (StripFlag.NUMBER_UNREADABLE.value,)
    return (*(flag for flag in job.flags if flag in known), *unread)


def both_plans(model: UnitModel, *, today: date) -> tuple[Any, Any]:
    """Return the parcel plans for the way in and the way back, as they are kept on a job."""
    stock = stock_on(today)
    there, back = (plan_for(model, leg=leg, stock=stock) for leg in (Leg.TO_SHOP, Leg.TO_CUSTOMER))
    return to_plain(there), to_plain(back)
