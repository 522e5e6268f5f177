"""Plans to draw and how to read a rendered sheet back."""

import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

from django.template import Context, Engine

import packing
from packing.catalogue.documents import entries_from_toml
from packing.catalogue.schema import Face, Projection, SupportFace, UnitModel, Wall
from packing.drawing.sections import section_views
from packing.parcel.plan import judge_carton, plan_parcel
from packing.parcel.unit import Leg, PackUnit, pack_unit
from packing.quantities import UnitChoice
from tests.packing.parcel.units import (
    CARRIERS,
    CARTONS,
    LEVER,
    LINKAGE,
    MATERIALS,
    UNION,
    carton,
    four_barrel,
    lift_pump,
    named,
)

TEMPLATES = Path(__file__).parents[3] / "templates"
ENGINE = Engine(dirs=[TEMPLATES], libraries={"l10n": "django.templatetags.l10n"})
SVG = "{http://www.w3.org/2000/svg}"
OWN_CARTONS = {
    "own large": carton(640.0, 420.0, 400.0, wall=Wall.DOUBLE, ect_kn_m=8.41),
    "own small": carton(240.0, 190.0, 170.0),
}
PHONE_PX = 358.0  # a page 390 px wide less 16 px on each side
PRINT_AREA_MM = (186.0, 255.0)  # A4 is narrower, Letter is lower: inside margins of 12 mm


def crowded():
    """A unit with something on five sides."""
    return four_barrel(
        height_mm=110.0,
        projections=(
            LINKAGE,
            LEVER,
            UNION,
            Projection("stop", "fast-idle stop screw", Face.RIGHT, 22, 8, 8),
            Projection("solenoid", "idle solenoid", Face.BACK, 26, 20, 20),
            Projection("stud", "air cleaner stud", Face.TOP, 12, 8, 8),
        ),
    )


def sender():
    """A light unit with an arm far longer than its body, lying."""
    arm = Projection("arm", "float arm", Face.BASE, 260.0, 60.0, 40.0, across_mm=8.0)
    top = (SupportFace(Face.TOP, 76.0, 76.0),)
    return PackUnit(
        "sender", "Sender", Leg.TO_SHOP, 82.0, 82.0, 40.0, 0.3, 45.0, top, (arm,), family="sender"
    )


def cases():
    unit, box = four_barrel(height_mm=110.0), CARTONS["double-15x15x11"]
    long = four_barrel(projections=(Projection("shaft", "shaft", Face.BASE, 90.0, 30.0, 30.0),))
    every = {"cartons": list(CARTONS.values()), "materials": list(MATERIALS.values()), "carrier": None}

    def judge(each, size, *slugs, **more):
        return judge_carton(each, carton=size, materials=named(*slugs), carrier=None, **more), each

    return {
        "balled": judge(unit, box, "grocery-bags"),
        "foam": judge(unit, box, "polyethylene-plank"),
        "mixed": judge(four_barrel(height_mm=140.0), box, "grocery-bags", "folded-corrugated"),
        "rigid block": judge(long, carton(480, 480, 480), "grocery-bags"),
        "crowded": (plan_parcel(crowded(), **every), crowded()),
        "light": (plan_parcel(lift_pump(), **every), lift_pump()),
        "lying": judge(sender(), carton(700, 400, 400), "eps-loose-fill"),
        "refused": judge(unit, carton(235, 180, 150), "grocery-bags"),
        "set_down": judge(unit, carton(300, 260, 220), "grocery-bags", base_padding_mm=20),
        "large": judge(unit, carton(900, 600, 500), "grocery-bags"),
    }


CASES = cases()
CHOICES = list(UnitChoice)


@cache
def demo_plans():
    """The plan of every model of the demo shop both ways, and of some in a carton of the customer's own."""
    folder = Path(packing.__file__).parent / "data" / "demo"
    stock = {"cartons": list(CARTONS.values()), "materials": list(MATERIALS.values())}
    found = {}
    for file in sorted(folder.glob("*.toml")):
        models = [entry for _, entry in entries_from_toml(file.read_text("utf-8"))]
        for model in models:
            if not isinstance(model, UnitModel):
                continue
            for leg in Leg:
                unit, carrier = pack_unit(model, leg=leg), CARRIERS["ups-ground"]
                found[f"{model.slug} {leg.value}"] = plan_parcel(unit, carrier=carrier, **stock), unit
            for name, size in OWN_CARTONS.items():
                unit = pack_unit(model, leg=Leg.TO_SHOP)
                hand = named("grocery-bags", "folded-corrugated", "bubble-wrap")
                judged = judge_carton(unit, carton=size, materials=hand, carrier=None)
                found[f"{model.slug} {name}"] = judged, unit
    return found


def render(plan, unit, *, choice=UnitChoice.METRIC):
    sheet = section_views(plan, unit, choice=choice)
    text = ENGINE.get_template("drawing/sheet.svg.html").render(Context({"sheet": sheet}))
    return sheet, f'<figure class="drawing">{text}</figure>'


def measured(text, sheet):
    """Every dimension line of the rendered drawing: slug to (length on the sheet as mm, stated mm)."""
    found = {}
    for group in ET.fromstring(text).iter(f"{SVG}g"):
        if "data-mm" in group.attrib:
            line = next(item for item in group.iter(f"{SVG}line") if item.get("class") == "dw-measure")
            x1, y1, x2, y2 = (float(line.get(key)) for key in ("x1", "y1", "x2", "y2"))
            drawn_mm = (abs(x2 - x1) + abs(y2 - y1)) / sheet.ratio
            found[group.get("data-slug")] = (drawn_mm, float(group.get("data-mm")))
    return found


def rectangles(text, view):
    group = next(item for item in ET.fromstring(text).iter(f"{SVG}g") if item.get("data-view") == view)
    return {rect.get("data-slug"): rect for rect in group.iter(f"{SVG}rect") if rect.get("data-slug")}
