"""Why does a job answer to what was typed at the counter? One sentence for each sign that fits."""

import re
from collections.abc import Mapping
from types import MappingProxyType

from jobs.domain.phone_number import without_extension
from jobs.models import Job
from packing import selectors as catalogue
from packing.catalogue.schema import UnitModel
from packing.identify.match import PROPOSE_MOST_TENTHS, identify
from packing.identify.normalise import normalise

_PHONE = re.compile(r"[0-9+()./ -]+")
NO_MODELS: Mapping[str, UnitModel] = MappingProxyType({})


def compact_of(typed: str) -> str:
    """Return what was typed as a parcel number is kept: capitals and digits alone."""
    return "".join(sign for sign in typed.upper() if sign.isascii() and sign.isalnum())


def phone_of(typed: str) -> str:
    """Return what was typed as far as it may be the end of a phone number, its extension off, or nothing."""
    number = without_extension(typed)
    return number if _PHONE.fullmatch(number) else ""


def models_of_number(typed: str) -> dict[str, UnitModel]:
    """Return the unit models that carry this number, whichever of their numbers it is."""
    if "@" in typed or not any(sign.isdigit() for sign in typed):
        return {}
    models = catalogue.catalogue().unit_models
    candidates = identify(typed, models=tuple(models.values())).candidates
    nearest = candidates[0].distance_tenths if candidates else PROPOSE_MOST_TENTHS + 1
    if nearest > PROPOSE_MOST_TENTHS:
        return {}
    return {each.model: models[each.model] for each in candidates if each.distance_tenths == nearest}


def reason_for(job: Job, *, typed: str, models: Mapping[str, UnitModel] = NO_MODELS) -> str:
    """Return why this job answers to what was typed; `models` are those that carry it as a number."""
    return (
        _parcel_reason(job, compact=compact_of(typed))
        or _number_reason(job, typed=typed)
        or _model_reason(job, typed=typed, models=models)
        or _person_reason(job, typed=typed)
    )


def _parcel_reason(job: Job, *, compact: str) -> str:
    for number, words in (
        (job.tracking_in, "The parcel to the shop has this number."),
        (job.tracking_out, "The parcel back has this number."),
    ):
        if number and compact and number.endswith(compact):
            return words if number == compact else f"{words[:-1]} at its end: {number}."
    seen = bool(compact) and job.parcel_seen == compact
    return "This number stood on the box when it came." if seen else ""


def _number_reason(job: Job, *, typed: str) -> str:
    number = normalise(typed).compact
    for text, words in ((job.number_found, "we read"), (job.number_as_read, "the customer read")):
        if number and number in normalise(text).compact:
            return f"The number on the unit: {words} “{text}”."
    return ""


def _model_reason(job: Job, *, typed: str, models: Mapping[str, UnitModel]) -> str:
    if job.unit_model in models:
        read = f"; the customer read “{job.number_as_read}”" if job.number_as_read else ""
        return f"“{typed}” is a number of {models[job.unit_model].name}, and this unit is one{read}."
    read_compact = normalise(job.number_as_read).compact
    for model in models.values() if read_compact else ():
        if read_compact in {normalise(each.text).compact for each in model.numbers}:
            return (
                f"“{typed}” and “{job.number_as_read}”, which the customer read, are numbers of {model.name}."
            )
    return ""


def _person_reason(job: Job, *, typed: str) -> str:
    customer = job.customer
    if customer is None:
        return "It fits."
    if "@" in typed:
        return f"The customer's mail address is {customer.email}."
    if phone_of(typed) or not any(sign.isalpha() for sign in typed):
        return f"The customer's phone number is {customer.phone}."
    return f"The customer is {customer.name}."
