import itertools
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from django.template import Context, Engine

from packing.catalogue.schema import Face, Projection, SupportFace
from packing.drawing.sections import section_views
from packing.drawing.shapes import text_width, wrap
from packing.drawing.silhouettes import SILHOUETTES, parts_of
from packing.drawing.title_block import scale_text
from packing.errors import OutOfRange
from packing.parcel.plan import judge_carton, plan_parcel
from packing.parcel.unit import Leg, PackUnit
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
ENGINE = Engine(dirs=[TEMPLATES], libraries={"l10n": "django.templatetags.l10n"})
SVG = "{http://www.w3.org/2000/svg}"
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


def render(plan, unit, *, choice=UnitChoice.METRIC):
    sheet = section_views(plan, unit, choice=choice)
    text = ENGINE.get_template("drawing/sheet.svg.html").render(Context({"sheet": sheet}))
    return sheet, f"<figure>{text}</figure>"


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
        if slug in lines:
            assert lines[slug][0] == pytest.approx(cushion.thickness_mm, abs=0.5)
        else:
            fills = cushion.thickness_mm == pytest.approx(cushion.gap_mm, abs=0.05)
            assert fills or cushion.thickness_mm == 0
    for layer in plan.layers:
        assert lines[f"layer-{layer.slug}"][0] == pytest.approx(layer.to_mm, abs=0.5)


@pytest.mark.parametrize("name", CASES)
def test_the_body_is_drawn_at_its_size_and_every_tip_where_the_plan_puts_it(name):
    plan, unit = CASES[name]
    sheet, text = render(plan, unit)
    boxes = rectangles(text, "front")
    body, wall = boxes["unit"], boxes["wall-low"]
    assert float(body.get("width")) / sheet.ratio == pytest.approx(plan.orientation.length_mm, abs=0.5)
    assert float(body.get("height")) / sheet.ratio == pytest.approx(plan.orientation.height_mm, abs=0.5)
    inside_left = float(wall.get("x")) + float(wall.get("width"))
    inside_right = float(boxes["wall-high"].get("x"))
    for item in plan.clearances:
        if item.projection and item.face in (Face.LEFT, Face.RIGHT):
            tip = boxes[item.projection]
            low, high = float(tip.get("x")), float(tip.get("x")) + float(tip.get("width"))
            rest = low - inside_left if item.face is Face.LEFT else inside_right - high
            assert rest / sheet.ratio == pytest.approx(item.at_rest_mm, abs=0.5)


@pytest.mark.parametrize("name", ["balled", "foam", "crowded", "lying"])
def test_the_silhouette_fills_the_true_envelope_and_never_leaves_it(name):
    plan, unit = CASES[name]
    sheet = section_views(plan, unit)
    for view in sheet.views:
        envelope = next(area for area in view.areas if area.kind == "envelope")
        solids = [area for area in view.areas if area.kind == "body"]
        assert len(solids) >= 2
        left, right = min(s.x for s in solids), max(s.x + s.width_units for s in solids)
        top, bottom = min(s.y for s in solids), max(s.y + s.height_units for s in solids)
        assert (left, top) == pytest.approx((envelope.x, envelope.y), abs=0.01)
        assert right == pytest.approx(envelope.x + envelope.width_units, abs=0.01)
        assert bottom == pytest.approx(envelope.y + envelope.height_units, abs=0.01)


@pytest.mark.parametrize("family", [*SILHOUETTES, "something new"])
def test_the_solids_of_every_family_span_its_envelope(family):
    parts = parts_of(family)
    for axis in range(3):
        assert min(part.low[axis] for part in parts) == -0.5
        assert max(part.high[axis] for part in parts) == 0.5
        assert all(part.low[axis] < part.high[axis] for part in parts)


def test_every_demo_family_has_a_silhouette_of_its_own():
    source = (Path(__file__).parents[3] / "packing" / "data" / "demo").glob("*.toml")
    families = set(
        re.findall(r'^family = "(\w+)"', "\n".join(path.read_text() for path in source), re.MULTILINE)
    )
    assert len(families) >= 8
    assert families <= set(SILHOUETTES)


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
            first.x + first.width_units <= second.x + 0.01
            or second.x + second.width_units <= first.x + 0.01
            or first.y + first.height_units <= second.y + 0.01
            or second.y + second.height_units <= first.y + 0.01
        )
        assert apart, (first, second)


@pytest.mark.parametrize("name", CASES)
def test_no_text_is_smaller_than_11_px_on_a_phone_of_390_px(name):
    plan, unit = CASES[name]
    sheet, text = render(plan, unit)
    svg = next(item for item in ET.fromstring(text).iter(f"{SVG}svg") if item.get("data-plate"))
    assert float(svg.get("font-size")) * PHONE_PX / sheet.width_units >= 11
    assert not [item for item in ET.fromstring(text).iter(f"{SVG}text") if item.get("font-size")]


@pytest.mark.parametrize("name", CASES)
def test_each_plate_prints_on_one_page_of_a4_or_letter_at_its_stated_scale(name):
    plan, unit = CASES[name]
    sheet, text = render(plan, unit)
    assert len(sheet.plates) == 3
    for plate in sheet.plates:
        assert sheet.width_mm <= PRINT_AREA_MM[0]
        assert plate.height_mm <= PRINT_AREA_MM[1]
        assert plate.height_units / plate.height_mm == pytest.approx(
            sheet.width_units / sheet.width_mm, rel=0.01
        )
    # ISO 5455 recommends 1, 2, 5 and their tens; 2.5 and 4 are its intermediate scales.
    denominator = float(scale_text(sheet.ratio).removeprefix("1 : "))
    assert denominator in (1, 2, 2.5, 4, 5, 10, 20)
    drawn = measured(text, sheet)["clearance-left"][0] * sheet.ratio * sheet.width_mm / sheet.width_units
    assert drawn * denominator == pytest.approx(plan.clearances[0].at_rest_mm, abs=0.5)


def test_the_scale_bars_are_100_mm_and_4_in():
    sheet, text = render(*CASES["balled"])
    lines = measured(text, sheet)
    assert lines["scale-bar-mm"][0] == pytest.approx(100, abs=0.05)
    assert lines["scale-bar-in"][0] == pytest.approx(101.6, abs=0.05)


@pytest.mark.parametrize("name", CASES)
def test_the_legend_tells_every_mark_once_in_both_units(name):
    plan, unit = CASES[name]
    sheet, _ = render(plan, unit)
    marks = [
        dimension.ring.text
        for view in sheet.views
        for dimension in view.dimensions
        if dimension.kind != "layer"
    ]
    assert sorted(map(int, marks)) == list(range(1, len(marks) + 1))
    assert [row.mark for row in sheet.legend] == sorted(marks, key=int)
    by_mark = {row.mark: row for row in sheet.legend}
    for view in sheet.views:
        for dimension in view.dimensions:
            if dimension.kind != "layer":
                row = by_mark[dimension.ring.text]
                assert f"{row.metric} mm ({row.imperial} in)" == show_length(
                    dimension.value_mm, choice=UnitChoice.METRIC
                )
    assert len(sheet.layers) == len(plan.layers)


@pytest.mark.parametrize("name", CASES)
def test_the_rendered_drawing_keeps_a_strict_content_policy_and_prints_without_a_stylesheet(name):
    _, text = render(*CASES[name])
    assert " style=" not in text
    assert "<style" not in text
    assert "<script" not in text
    assert not re.search(r"\son\w+=", text)
    root = ET.fromstring(text)
    for kind in ("rect", "line", "path", "circle", "ellipse"):
        parents = {child: parent for parent in root.iter() for child in parent}
        for item in root.iter(f"{SVG}{kind}"):
            above = item
            while above is not None and not (above.get("stroke") or above.get("fill")):
                above = parents.get(above)
            assert above is not None, ET.tostring(item)


@pytest.mark.parametrize("name", CASES)
def test_every_pattern_that_is_used_is_defined_in_the_same_picture_and_every_id_once(name):
    _, text = render(*CASES[name])
    root = ET.fromstring(text)
    ids = [item.get("id") for item in root.iter() if item.get("id")]
    assert len(ids) == len(set(ids))
    for svg in root.iter(f"{SVG}svg"):
        defined = {item.get("id") for item in svg.iter() if item.get("id")}
        used = set(re.findall(r"url\(#([^)]+)\)", ET.tostring(svg, encoding="unicode")))
        assert used <= defined


@pytest.mark.parametrize("name", CASES)
def test_a_screen_reader_gets_a_title_a_short_description_and_the_facts(name):
    plan, unit = CASES[name]
    sheet, text = render(plan, unit)
    pictures = [svg for svg in ET.fromstring(text).iter(f"{SVG}svg") if svg.get("role") == "img"]
    assert len(pictures) == 3
    for svg in pictures:
        title, description = svg.find(f"{SVG}title"), svg.find(f"{SVG}desc")
        assert [title.get("id"), description.get("id")] == svg.get("aria-labelledby").split()
        assert unit.name in title.text
        assert 40 < len(description.text) < 320
    for item in plan.clearances:
        if item.projection:
            stated = show_length(max(0.0, item.at_rest_mm), choice=UnitChoice.METRIC)
            assert any(fact.startswith(f"{item.name.capitalize()}: {stated}") for fact in sheet.facts)


def test_the_facts_tell_every_side_and_every_layer():
    plan, unit = CASES["balled"]
    facts = section_views(plan, unit).facts
    for side in ("Left:", "Right:", "Front:", "Back:", "Base:", "Top:"):
        assert any(sentence.startswith(side) for sentence in facts)
    assert sum(sentence.startswith("Layer ") for sentence in facts) == len(plan.layers)


@pytest.mark.parametrize("name", ["balled", "foam", "mixed", "lying"])
def test_the_sequence_shows_each_layer_and_then_the_closed_carton(name):
    plan, unit = CASES[name]
    sheet = section_views(plan, unit)
    assert [figure.slug for figure in sheet.figures] == [*(layer.slug for layer in plan.layers), "close"]
    counts = [len(figure.areas) for figure in sheet.figures]
    assert counts == sorted(counts)
    drawn = [any(area.slug == "unit" for area in figure.areas) for figure in sheet.figures]
    seated = [layer.to_mm > plan.place.floor_mm + 1e-6 for layer in plan.layers]
    assert drawn == [*seated, True]


def test_different_materials_have_different_patterns():
    plan, unit = CASES["mixed"]
    sheet = section_views(plan, unit)
    kinds = {cushion.kind for cushion in plan.cushions}
    assert len({area.hatch for view in sheet.views for area in view.areas if area.kind == "cushion"}) == len(
        kinds
    )


def test_the_support_face_is_the_heaviest_line():
    _, text = render(*CASES["balled"])
    widths = {}
    for line in ET.fromstring(text).iter(f"{SVG}line"):
        widths.setdefault(line.get("class") == "dw-support", set()).add(float(line.get("stroke-width", 0)))
    assert min(widths[True]) > max(widths[False])


def test_another_unit_than_the_plans_is_refused():
    plan, _ = CASES["balled"]
    lying = plan.__class__(
        **{field: getattr(plan, field) for field in plan.__dataclass_fields__ if field != "orientation"},
        orientation=plan.orientation.__class__(LEVER.face.TOP, plan.orientation.turn, 1, 1, 1, ""),
    )
    with pytest.raises(OutOfRange):
        section_views(lying, four_barrel())


def test_lines_break_between_words_and_fit():
    lines = wrap("throttle lever to wall 62 mm", room_units=100)
    assert len(lines) > 1
    assert all(text_width(line) <= 100 for line in lines)
    assert " ".join(lines) == "throttle lever to wall 62 mm"
