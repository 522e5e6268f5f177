"""Invented unit models for the identification tests: makes and numbers exist nowhere else."""

from packing.catalogue.schema import (
    Envelope,
    NumberKind,
    Origin,
    Source,
    StampedNumber,
    Trait,
    TraitQuestion,
    UnitModel,
)

GEARBOX = TraitQuestion(
    slug="gearbox", text="Which gearbox?", hint="Count the pedals.", answers=("hand", "automatic")
)
UNIONS = TraitQuestion(slug="unions", text="How many unions?", hint="Count them.", answers=("1", "2", "3"))
WORKED_LIST = ("KV4081B", "KV4087B", "KV4031B", "KV4801B", "KV4081E", "KW4081B")


def unit_model(slug, *numbers, **traits):
    """Return a unit model that carries `numbers`: text alone is a list number, or (kind, text)."""
    pairs = [number if isinstance(number, tuple) else (NumberKind.LIST, number) for number in numbers]
    return UnitModel(
        slug=slug,
        name=f"Tolvane {slug}",
        make="Tolvane",
        family="carburettor",
        description="",
        fitted_to="",
        numbers=tuple(StampedNumber(kind=kind, text=text, where="flange") for kind, text in pairs),
        envelope=Envelope(length_mm=180, width_mm=140, height_mm=150),
        mass_kg=2.4,
        fragility_g=60,
        support_faces=(),
        projections=(),
        strip_steps=(),
        source=Source(text="invented for tests", origin=Origin.ESTIMATE),
        traits=tuple(Trait(question=question, answer=answer) for question, answer in traits.items()),
    )


def worked_models():
    """Return one model for each number of the worked list."""
    return [unit_model(number.lower(), number) for number in WORKED_LIST]
