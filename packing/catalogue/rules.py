"""Whether a catalogue entry may be published, and what its owner ought to look at again.

`documents.py` has checked that every key is there and of the right type; the rules here check what one key
alone cannot show. A problem stops publication; a warning is shown and leaves the decision to the owner.
"""

from collections.abc import Mapping

from packing.catalogue.curves import curve_warnings
from packing.catalogue.documents import slug_problem
from packing.catalogue.family_rules import family_problems
from packing.catalogue.field_rules import blank
from packing.catalogue.parcel_rules import (
    carrier_problems,
    carton_problems,
    carton_warnings,
    material_problems,
)
from packing.catalogue.schema import Carrier, Carton, Entry, Family, Material, Origin, UnitModel
from packing.catalogue.unit_rules import unit_model_problems, unit_model_warnings
from packing.plain import Problem


def check_entry(
    entry: Entry, *, families: Mapping[str, Family], unit_models: Mapping[str, UnitModel]
) -> tuple[Problem, ...]:
    """Return every (key, sentence) that stops `entry` from being published among the given entries.

    A changed family is checked against its models too, so that it cannot pull a question or a step from them.
    """
    problems = (*slug_problem(entry.slug), *blank({"source.text": entry.source.text}))
    match entry:
        case Family():
            return (*problems, *family_problems(entry), *_models_left_behind(entry, unit_models=unit_models))
        case UnitModel():
            return (*problems, *unit_model_problems(entry, families=families))
        case Material():
            return (*problems, *material_problems(entry))
        case Carton():
            return (*problems, *carton_problems(entry))
        case Carrier():
            return (*problems, *carrier_problems(entry))


def warnings_for(
    entry: Entry, *, families: Mapping[str, Family], unit_models: Mapping[str, UnitModel]
) -> tuple[Problem, ...]:
    """Return every (key, sentence) about `entry` that its owner ought to look at again before publishing."""
    warnings: tuple[Problem, ...] = ()
    if entry.source.origin is Origin.PUBLISHED and entry.source.read_on is None:
        warnings = (("source.read_on", "a published figure needs the date on which it was read."),)
    match entry:
        case UnitModel():
            return (*warnings, *unit_model_warnings(entry, families=families, unit_models=unit_models))
        case Material():
            return (*warnings, *curve_warnings(entry))
        case Carton():
            return (*warnings, *carton_warnings(entry))
    return warnings


def _models_left_behind(family: Family, *, unit_models: Mapping[str, UnitModel]) -> tuple[Problem, ...]:
    """Return the problems a changed family would cause in the models that belong to it."""
    return tuple(
        (f"unit_model “{model.slug}” {key}", sentence)
        for model in unit_models.values()
        if model.family == family.slug
        for key, sentence in unit_model_problems(model, families={family.slug: family})
    )
