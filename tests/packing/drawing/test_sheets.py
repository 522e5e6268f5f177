import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from packing.drawing.sections import section_views
from packing.drawing.shapes import text_width, wrap
from packing.errors import OutOfRange
from packing.quantities import UnitChoice, show_length
from tests.packing.drawing.sheets import CASES, SVG, render
from tests.packing.parcel.units import (
    LEVER,
    four_barrel,
)


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


def test_a_refused_plan_is_marked_on_every_picture_and_has_no_sequence_to_pack_by():
    _, refused = render(*CASES["refused"])
    pictures = [svg for svg in ET.fromstring(refused).iter(f"{SVG}svg") if svg.get("role") == "img"]
    words = [" ".join(text.text for text in svg.iter(f"{SVG}text")).lower() for svg in pictures]
    assert len(words) == 3
    assert all("does not pass" in each for each in words)
    assert "Layer by layer" not in refused
    _, good = render(*CASES["balled"])
    assert "does not pass" not in good.lower()
    assert "Layer by layer" in good


def test_the_title_block_tells_a_carton_by_its_size_once():
    plan, unit = CASES["balled"]
    assert " x " in plan.carton.name
    sheet, _ = render(plan, unit)
    words = " ".join(line.text for label in sheet.title_block for line in label.lines)
    assert plan.carton.name not in words
    own, _ = render(replace(plan, carton=replace(plan.carton, name="The tall one")), unit)
    assert "“The tall one”" in " ".join(line.text for label in own.title_block for line in label.lines)
