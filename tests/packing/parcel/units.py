"""Invented units, cartons and stock for the parcel tests."""

from packing.catalogue.schema import (
    Carton,
    Envelope,
    Face,
    Origin,
    Projection,
    Source,
    SupportFace,
    UnitModel,
    Wall,
)
from packing.parcel.tables import stock_carriers, stock_cartons, stock_materials
from packing.parcel.unit import Leg, PackUnit

MATERIALS = {material.slug: material for material in stock_materials()}
CARTONS = {carton.slug: carton for carton in stock_cartons()}
CARRIERS = {carrier.slug: carrier for carrier in stock_carriers()}
SOURCE = Source("test", Origin.MEASURED)

LINKAGE = Projection("linkage", "linkage", Face.BASE, 25, 30, 12, across_mm=80)
LEVER = Projection("lever", "throttle lever", Face.LEFT, 30, 12, 40, up_mm=-20)
UNION = Projection("union", "inlet union", Face.FRONT, 18, 16, 16, across_mm=30, up_mm=20, taken_off=True)


def four_barrel(
    *, mass_kg=5.0, height_mm=120.0, fragility_g=60.0, projections=(LINKAGE, LEVER), leg=Leg.TO_SHOP
):
    """An 11 lb unit whose linkage hangs below its base."""
    return PackUnit(
        slug="four-barrel",
        name="Four-barrel carburettor",
        leg=leg,
        length_mm=200.0,
        width_mm=170.0,
        height_mm=height_mm,
        mass_kg=mass_kg,
        fragility_g=fragility_g,
        support_faces=(SupportFace(Face.BASE, 120.0, 110.0),),
        projections=projections,
    )


def lift_pump():
    """A light unit with nothing that must not be touched."""
    return PackUnit(
        slug="lift-pump",
        name="Lift pump",
        leg=Leg.TO_SHOP,
        length_mm=120.0,
        width_mm=100.0,
        height_mm=90.0,
        mass_kg=0.9,
        fragility_g=85.0,
        support_faces=(SupportFace(Face.BASE, 60.0, 60.0),),
        projections=(),
    )


def model(*, projections=(LINKAGE, LEVER, UNION), envelope=None, mass_kg=5.0):
    """The same four-barrel unit as the catalogue keeps it."""
    return UnitModel(
        slug="four-barrel",
        name="Four-barrel carburettor",
        make="Tolvane",
        family="carburettor",
        description="",
        fitted_to="",
        numbers=(),
        envelope=envelope or Envelope(200.0, 170.0, 120.0),
        mass_kg=mass_kg,
        fragility_g=60.0,
        support_faces=(SupportFace(Face.BASE, 120.0, 110.0),),
        projections=projections,
        strip_steps=(),
        source=SOURCE,
    )


def carton(length_mm, width_mm, height_mm, *, wall=Wall.SINGLE, ect_kn_m=5.6, used=False):
    """A carton of any inside size."""
    return Carton(
        slug="own",
        name="own carton",
        length_mm=length_mm,
        width_mm=width_mm,
        height_mm=height_mm,
        wall=wall,
        caliper_mm=4.0 if wall is Wall.SINGLE else 7.0,
        ect_kn_m=ect_kn_m,
        board_g_m2=560.0,
        source=SOURCE,
        used=used,
    )


def named(*slugs):
    """Stock materials by slug."""
    return [MATERIALS[slug] for slug in slugs]
