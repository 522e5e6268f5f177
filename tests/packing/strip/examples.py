"""Invented families and a unit model for the strip list tests."""

from packing.catalogue.schema import (
    Envelope,
    Face,
    Family,
    Origin,
    Projection,
    Source,
    StripAction,
    StripStep,
    Symptom,
    UnitModel,
)

SOURCE = Source(text="invented for tests", origin=Origin.ESTIMATE)


def family(**changes):
    """Return a carburettor family with the given changes."""
    facts = {
        "slug": "carburettor",
        "name": "Carburettor",
        "plural": "Carburettors",
        "air_hours": 24.0,
        "holds_fuel": True,
        "magnetised": False,
        "wet_tested": True,
        "mass_least_kg": 1.0,
        "mass_most_kg": 6.5,
        "symptoms": (Symptom(slug="leaks", label="Leaks fuel"), Symptom(slug="hunts", label="Hunts at idle")),
        "zones": ("flange and base", "body"),
        "source": SOURCE,
    }
    return Family(**(facts | changes))


def magneto_family(**changes):
    """Return a magneto family: no fuel, strong magnets."""
    facts = {
        "slug": "magneto",
        "name": "Magneto",
        "plural": "Magnetos",
        "air_hours": 0.0,
        "holds_fuel": False,
    }
    return family(**(facts | {"magnetised": True, "wet_tested": False} | changes))


def diesel_family(**changes):
    """Return an injection pump family that dirt ruins."""
    facts = {
        "slug": "injection_pump",
        "name": "Injection pump",
        "plural": "Injection pumps",
        "mass_most_kg": 35.0,
    }
    return family(**(facts | {"ports_capped": True} | changes))


def step(slug, action, instruction="Do it.", *, part="part", why="A reason.", caution="", projection=""):
    """Return one catalogue step."""
    return StripStep(slug, StripAction(action), part, instruction, why, caution, projection)


def unit_model(*steps, family="carburettor", projections=()):
    """Return a unit model with the given strip steps."""
    return UnitModel(
        slug="tolvane_downdraught",
        name="Tolvane downdraught",
        make="Tolvane",
        family=family,
        description="",
        fitted_to="",
        numbers=(),
        envelope=Envelope(length_mm=180, width_mm=140, height_mm=150),
        mass_kg=2.4,
        fragility_g=60,
        support_faces=(),
        projections=tuple(projections),
        strip_steps=tuple(steps),
        source=SOURCE,
    )


LEVER = Projection(
    slug="choke_lever",
    name="Choke lever",
    face=Face.LEFT,
    reach_mm=38,
    breadth_mm=12,
    depth_mm=6,
    taken_off=True,
)
