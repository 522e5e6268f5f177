"""Small sound entries to spoil one field at a time, and hypothesis strategies for whole ones."""

import types
import typing
from dataclasses import fields, is_dataclass
from enum import Enum

from hypothesis import strategies as st

from packing.catalogue.schema import (
    Carrier,
    Carton,
    Envelope,
    Face,
    Family,
    Material,
    MaterialKind,
    NumberKind,
    Origin,
    Projection,
    SideRounding,
    Source,
    StampedNumber,
    StripAction,
    StripStep,
    SupportFace,
    Symptom,
    Trait,
    TraitQuestion,
    UnitModel,
    Wall,
)

SOURCE = Source(text="common practice, no published source", origin=Origin.ESTIMATE)


def step(slug, action, *, instruction="Do it with care.", why="It matters.", caution="", projection=""):
    return StripStep(
        slug=slug,
        action=action,
        part=slug,
        instruction=instruction,
        why=why,
        caution=caution,
        projection=projection,
    )


FAMILY = Family(
    slug="carburettor",
    name="Carburettor",
    plural="Carburettors",
    air_hours=24.0,
    holds_fuel=True,
    magnetised=False,
    wet_tested=True,
    mass_least_kg=1.2,
    mass_most_kg=7.0,
    symptoms=(Symptom("floods", "It floods"),),
    zones=("body",),
    source=SOURCE,
    questions=(TraitQuestion("barrels", "How many barrels?", "Count.", ("one", "two")),),
    strip_steps=(step("photos", StripAction.PHOTOGRAPH), step("drain", StripAction.DRAIN)),
    side_least_mm=90.0,
    side_most_mm=320.0,
)

MODEL = UnitModel(
    slug="tolvane-kv28",
    name="Tolvane KV28",
    make="Tolvane",
    family="carburettor",
    description="A plain one.",
    fitted_to="Pumps",
    numbers=(
        StampedNumber(NumberKind.LIST, "KV4081B", "on the cover"),
        StampedNumber(NumberKind.CASTING, "7-1108", "on the bowl"),
    ),
    envelope=Envelope(length_mm=160.0, width_mm=130.0, height_mm=165.0),
    mass_kg=2.1,
    fragility_g=60.0,
    support_faces=(SupportFace(Face.BASE, 95.0, 70.0),),
    projections=(
        Projection("lever", "lever", Face.RIGHT, 32.0, 30.0, 45.0, across_mm=10.0),
        Projection("stud", "stud", Face.TOP, 48.0, 8.0, 8.0, taken_off=True),
    ),
    strip_steps=(
        step("take_stud", StripAction.TAKE_OFF, projection="stud"),
        step("leave_lever", StripAction.LEAVE_ON, projection="lever"),
    ),
    source=SOURCE,
    traits=(Trait("barrels", "one"),),
    price_from_pence=20000,
    price_to_pence=30000,
)

MATERIAL = Material(
    slug="plank",
    name="Plank",
    kind=MaterialKind.PLANK,
    curve_a_kpa=300.0,
    curve_b_m3_kj=0.04,
    stress_least_kpa=2.0,
    stress_most_kpa=12.0,
    settles_share=0.02,
    uncertainty_share=0.15,
    density_kg_m3=35.0,
    thicknesses_mm=(25.0, 50.0),
    heavy_allowed=True,
    sharp_allowed=True,
    note="",
    count_name="plank",
    count_litres=5.0,
    source=SOURCE,
)

CARTON = Carton(
    slug="c-400",
    name="Carton 400",
    length_mm=400.0,
    width_mm=300.0,
    height_mm=300.0,
    wall=Wall.DOUBLE,
    caliper_mm=6.5,
    ect_kn_m=8.0,
    board_g_m2=800.0,
    source=SOURCE,
)

CARRIER = Carrier(
    slug="road",
    name="A carrier",
    service="Road",
    by_air=False,
    mass_most_kg=30.0,
    length_most_mm=None,
    length_girth_most_mm=3000.0,
    divisor_cm3_kg=5000.0,
    side_rounding=SideRounding.UP_CM,
    bill_step_kg=1.0,
    source=SOURCE,
)

TEXTS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=12)
FLOATS = st.floats(allow_nan=False, allow_infinity=False)
SLUGS = st.from_regex(r"[a-z0-9]{1,8}([-_][a-z0-9]{1,8}){0,3}", fullmatch=True)


def instances(cls):
    """Return a strategy for any instance of a catalogue dataclass."""
    hints = typing.get_type_hints(cls)
    values = {field.name: _values(hints[field.name]) for field in fields(cls)}
    if "slug" in values:
        values["slug"] = SLUGS
    return st.builds(cls, **values)


def _values(kind):
    if typing.get_origin(kind) is tuple:
        return st.lists(_values(typing.get_args(kind)[0]), max_size=2).map(tuple)
    if typing.get_origin(kind) in (typing.Union, types.UnionType):
        inner = next(part for part in typing.get_args(kind) if part is not type(None))
        return st.none() | _values(inner)
    if is_dataclass(kind):
        return st.deferred(lambda: instances(kind))
    if isinstance(kind, type) and issubclass(kind, Enum):
        return st.sampled_from(kind)
    known = {float: FLOATS, str: TEXTS, int: st.integers(-(2**53), 2**53)}
    return known[kind] if kind in known else st.from_type(kind)
