import pytest

from packing.catalogue.parcel_rules import carrier_problems, carton_problems, material_problems
from packing.catalogue.schema import Origin, Wall
from packing.parcel.tables import (
    design_fragilities,
    fragility_classes,
    stock_carriers,
    stock_cartons,
    stock_materials,
)


@pytest.mark.parametrize("material", stock_materials(), ids=lambda entry: entry.slug)
def test_each_stock_material_may_be_published(material):
    assert material_problems(material) == ()
    assert material.source.text


@pytest.mark.parametrize("carton", stock_cartons(), ids=lambda entry: entry.slug)
def test_each_stock_carton_may_be_published(carton):
    assert carton_problems(carton) == ()
    assert carton.length_mm >= carton.width_mm


@pytest.mark.parametrize("carrier", stock_carriers(), ids=lambda entry: entry.slug)
def test_each_stock_carrier_may_be_published(carrier):
    assert carrier_problems(carrier) == ()
    assert carrier.source.read_on is not None


@pytest.mark.parametrize("entries", [stock_materials(), stock_cartons(), stock_carriers()])
def test_slugs_are_given_once(entries):
    slugs = [entry.slug for entry in entries]
    assert slugs
    assert len(slugs) == len(set(slugs))


def test_the_double_wall_15_by_15_by_11_is_in_stock():
    found = next(carton for carton in stock_cartons() if carton.slug == "double-15x15x11")
    assert (found.length_mm, found.width_mm, found.height_mm, found.wall) == (
        381.0,
        381.0,
        279.4,
        Wall.DOUBLE,
    )


def test_figures_from_memory_are_estimates():
    by_slug = {material.slug: material.source for material in stock_materials()}
    assert by_slug["polyethylene-plank"].origin is Origin.PUBLISHED
    remembered = [source for source in by_slug.values() if "from memory" in source.text]
    assert len(remembered) >= 10
    assert {source.origin for source in remembered} == {Origin.ESTIMATE}


# gemstarmfg.com for the first two; the others from memory.
def test_fragility_classes_follow_each_other():
    rows = [(row.least_g, row.most_g, row.origin) for row in fragility_classes()]
    assert rows == [
        (15, 25, Origin.PUBLISHED),
        (25, 40, Origin.PUBLISHED),
        (40, 60, Origin.ESTIMATE),
        (60, 85, Origin.ESTIMATE),
        (85, 115, Origin.ESTIMATE),
        (115, None, Origin.ESTIMATE),
    ]


def test_design_fragility_is_marked_as_the_shops_own():
    rows = {row.unit: row for row in design_fragilities()}
    assert rows["carburettor"].design_g == 60
    assert 40 <= rows["magneto"].design_g <= 50
    assert {row.origin for row in rows.values()} == {Origin.ESTIMATE}
