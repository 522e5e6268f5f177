import itertools
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from django.template import Context, Engine

from packing.drawing.sections import section_views
from packing.drawing.shapes import text_width, wrap
from packing.drawing.title_block import scale_text
from packing.drawing.words import describe
from packing.errors import OutOfRange
from packing.parcel.plan import judge_carton, plan_parcel
from packing.quantities import UnitChoice, show_length
from tests.packing.parcel.units import (
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
SVG = "{http://www.w3.org/2000/svg}"


def crowded():
    """A unit with something on five sides."""
    return four_barrel(
        height_mm=110.0,
        projections=(
            LINKAGE,
            LEVER,
            UNION,
            LEVER.__class__("stop", "fast-idle stop screw", LEVER.face.RIGHT, 22, 8, 8),
            LEVER.__class__("solenoid", "idle solenoid", LEVER.face.BACK, 26, 20, 20),
            LEVER.__class__("stud", "air cleaner stud", LEVER.face.TOP, 12, 8, 8),
        ),
    )


def cases():
    unit = four_barrel(height_mm=110.0)
    box = CARTONS["double-15x15x11"]
    everything = {"cartons": list(CARTONS.values()), "materials": list(MATERIALS.values()), "carrier": None}
    return {
        "balled": (judge_carton(unit, carton=box, materials=named("grocery-bags"), carrier=None), unit),
        "foam": (judge_carton(unit, carton=box, materials=named("polyethylene-plank"), carrier=None), unit),
        "crowded": (plan_parcel(crowded(), **everything), crowded()),
        "light": (plan_parcel(lift_pump(), **everything), lift_pump()),
        "refused": (
            judge_carton(unit, carton=carton(235, 180, 150), materials=named("grocery-bags"), carrier=None),
            unit,
        ),
        "set_down": (
            judge_carton(
                unit,
                carton=carton(300, 260, 220),
                materials=named("grocery-bags"),
                carrier=None,
                base_padding_mm=20,
            ),
            unit,
        ),
        "large": (
            judge_carton(unit, carton=carton(900, 600, 500), materials=named("grocery-bags"), carrier=None),
            unit,
        ),
    }


CASES = cases()
CHOICES = list(UnitChoice)


def render(plan, unit, *, choice=UnitChoice.METRIC):
    sheet = section_views(plan, unit, choice=choice)
    engine = Engine(dirs=[TEMPLATES], libraries={"l10n": "django.templatetags.l10n"})
    return sheet, engine.get_template("drawing/sheet.svg.html").render(Context({"sheet": sheet}))


def measured(text, sheet):
    """Every dimension line of the rendered drawing: slug to (length on the sheet as mm, stated mm)."""
    found = {}
    for group in ET.fromstring(text).iter(f"{SVG}g"):
        if "data-mm" in group.attrib:
            line = next(item for item in group.iter(f"{SVG}line") if item.get("class") == "dw-measure")
            x1, y1, x2, y2 = (float(line.get(key)) for key in ("x1", "y1", "x2", "y2"))
            found[group.get("data-slug")] = (
                (abs(x2 - x1) + abs(y2 - y1)) / sheet.ratio,
                float(group.get("data-mm")),
            )
    return found


@pytest.mark.parametrize("name", CASES)
def test_every_clearance_measured_on_the_drawing_is_the_plans(name):
    plan, unit = CASES[name]
    sheet, text = render(plan, unit)
    lines = measured(text, sheet)
    assert plan.clearances
    for item in plan.clearances:
        slug = f"clearance-{item.face.value}" + (f"-{item.projection}" if item.projection else "")
        assert lines[slug][0] == pytest.approx(max(0.0, item.at_rest_mm), abs=0.5), slug


@pytest.mark.parametrize("name", CASES)
def test_every_dimension_line_is_as_long_as_it_says(name):
    plan, unit = CASES[name]
    sheet, text = render(plan, unit)
    lines = measured(text, sheet)
    assert len(lines) >= 12
    for slug, (drawn_mm, stated_mm) in lines.items():
        assert drawn_mm == pytest.approx(stated_mm, abs=0.5), slug


@pytest.mark.parametrize("name", CASES)
def test_every_cushion_thickness_and_layer_height_is_drawn(name):
    plan, unit = CASES[name]
    sheet, text = render(plan, unit)
    lines = measured(text, sheet)
    for cushion in plan.cushions:
        slug = f"cushion-{cushion.face.value}"
        if slug not in lines:
            slug = f"clearance-{cushion.face.value}"
            assert (
                cushion.thickness_mm == pytest.approx(cushion.gap_mm, abs=0.05) or cushion.thickness_mm == 0
            )
        else:
            assert lines[slug][0] == pytest.approx(cushion.thickness_mm, abs=0.5)
    for layer in plan.layers:
        assert lines[f"layer-{layer.slug}"][0] == pytest.approx(layer.to_mm, abs=0.5)


@pytest.mark.parametrize("name", CASES)
def test_the_unit_is_drawn_at_its_size_and_tips_where_the_plan_puts_them(name):
    plan, unit = CASES[name]
    sheet, text = render(plan, unit)
    front = next(group for group in ET.fromstring(text).iter(f"{SVG}g") if group.get("data-view") == "front")
    boxes = {rect.get("data-slug"): rect for rect in front.iter(f"{SVG}rect")}
    body = boxes["unit"]
    assert float(body.get("width")) / sheet.ratio == pytest.approx(plan.orientation.length_mm, abs=0.5)
    assert float(body.get("height")) / sheet.ratio == pytest.approx(plan.orientation.height_mm, abs=0.5)
    inside_left = float(boxes["wall-low"].get("x")) + float(boxes["wall-low"].get("width"))
    for item in plan.clearances:
        if item.projection and item.face.value == "left":
            tip = (float(boxes[item.projection].get("x")) - inside_left) / sheet.ratio
            assert tip == pytest.approx(item.at_rest_mm, abs=0.5)


@pytest.mark.parametrize("choice", CHOICES)
@pytest.mark.parametrize("name", CASES)
def test_no_two_labels_overlap_and_none_leaves_the_sheet(name, choice):
    plan, unit = CASES[name]
    sheet, _ = render(plan, unit, choice=choice)
    assert len(sheet.labels) > 15
    for label in sheet.labels:
        assert label.x >= 0, label
        assert label.x + label.width_units <= sheet.width_units, label
        assert label.y >= 0, label
        assert label.y + label.height_units <= sheet.height_units, label
    for first, second in itertools.combinations(sheet.labels, 2):
        apart = (
            first.x + first.width_units <= second.x
            or second.x + second.width_units <= first.x
            or first.y + first.height_units <= second.y + 0.01
            or second.y + second.height_units <= first.y + 0.01
        )
        assert apart, (first, second)


@pytest.mark.parametrize("name", CASES)
def test_the_rendered_drawing_keeps_a_strict_content_policy(name):
    _, text = render(*CASES[name])
    assert " style=" not in text
    assert "<style" not in text
    assert "<script" not in text
    assert not re.search(r"\son\w+=", text)


@pytest.mark.parametrize("name", CASES)
def test_a_screen_reader_gets_a_title_and_the_same_facts(name):
    plan, unit = CASES[name]
    _, text = render(plan, unit)
    root = ET.fromstring(text)
    assert root.get("role") == "img"
    names = root.get("aria-labelledby").split()
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert [title.get("id"), description.get("id")] == names
    assert unit.name in title.text
    for item in plan.clearances:
        if item.projection:
            stated = show_length(max(0.0, item.at_rest_mm), choice=UnitChoice.METRIC)
            assert f"{item.name.capitalize()}: {stated}" in description.text


def test_the_words_tell_every_side_and_every_layer():
    plan, _ = CASES["balled"]
    sentences = describe(plan)
    for side in ("Left:", "Right:", "Front:", "Back:", "Base:", "Top:"):
        assert any(sentence.startswith(side) for sentence in sentences)
    assert sum(sentence.startswith("Layer ") for sentence in sentences) == len(plan.layers)


@pytest.mark.parametrize("name", CASES)
def test_the_stated_scale_is_a_drawing_scale_and_true_when_printed_195_mm_wide(name):
    plan, unit = CASES[name]
    sheet, text = render(plan, unit)
    # ISO 5455 recommends 1, 2, 5 and their tens; 2.5 and 4 are its intermediate scales.
    denominator = float(scale_text(sheet.ratio).removeprefix("1 : "))
    assert denominator in (1, 2, 2.5, 4, 5, 10, 20)
    paper_mm = measured(text, sheet)["clearance-left"][0] * sheet.ratio * 195 / sheet.width_units
    assert paper_mm * denominator == pytest.approx(plan.clearances[0].at_rest_mm, abs=0.5)


def test_both_units_stand_on_every_dimension():
    plan, unit = CASES["balled"]
    sheet, _ = render(plan, unit, choice=UnitChoice.IMPERIAL)
    for view in sheet.views:
        for dimension in view.dimensions:
            if dimension.kind != "layer":
                words = " ".join(line.text for line in dimension.label.lines).replace("\u00a0", " ")
                assert "mm" in words
                assert " in" in words


def test_another_unit_than_the_plans_is_refused():
    plan, _ = CASES["balled"]
    other = four_barrel()
    lying = plan.__class__(
        **{field: getattr(plan, field) for field in plan.__dataclass_fields__ if field != "orientation"},
        orientation=plan.orientation.__class__(LEVER.face.TOP, plan.orientation.turn, 1, 1, 1, ""),
    )
    with pytest.raises(OutOfRange):
        section_views(lying, other)


def test_lines_break_between_words_and_fit():
    lines = wrap("throttle lever to wall 62 mm", room_units=100)
    assert len(lines) > 1
    assert all(text_width(line) <= 100 for line in lines)
    assert " ".join(lines) == "throttle lever to wall 62 mm"
