"""A comparison of two revisions names every field that changes, and nothing else."""

import dataclasses

import pytest

from packing.plain import to_plain
from portal.owner import kinds
from portal.owner.changes import find_changes
from portal.owner.references import references
from tests.factories import open_shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def model(db):
    open_shop()
    return kinds.published(kinds.BY_KEY["unit_model"])["tolvane-kv4081"]


def changes_of(before, after):
    kind = kinds.BY_KEY["unit_model"]
    return find_changes(
        to_plain(before), to_plain(after), shapes=kind.shapes, owner=kind.cls, known=references()
    )


def test_the_same_document_has_no_changes(model):
    assert changes_of(model, model) == ()


def test_a_changed_figure_is_told_in_both_units(model):
    (change,) = changes_of(model, dataclasses.replace(model, mass_kg=2.5))
    assert (change.where, change.before, change.after) == (
        "Mass",
        "2.10 kg (4 lb 10 oz)",
        "2.50 kg (5 lb 8 oz)",
    )


def test_a_change_inside_a_row_is_named_by_the_row(model):
    first, *rest = model.projections
    longer = dataclasses.replace(model, projections=(dataclasses.replace(first, reach_mm=57.0), *rest))
    (change,) = changes_of(model, longer)
    assert change.where == "Projections, throttle lever: Reach past the face"


def test_a_removed_row_is_one_change_and_not_many(model):
    shorter = dataclasses.replace(model, projections=model.projections[1:])
    (change,) = changes_of(model, shorter)
    assert change.after == ""
    assert "throttle lever" in change.before


def test_a_row_that_only_moved_is_told_as_order(model):
    turned = dataclasses.replace(model, projections=model.projections[::-1])
    (change,) = changes_of(model, turned)
    assert change.where == "Projections: order"


def test_a_difference_finer_than_what_is_shown_is_still_told(model):
    (change,) = changes_of(model, dataclasses.replace(model, mass_kg=2.1001))
    assert (change.before, change.after) == ("2.1 kg", "2.1001 kg")


def test_a_field_left_empty_in_a_new_document_is_no_change():
    kind = kinds.BY_KEY["shop"]
    new = {"slug": "shop", "name": "Nord Spark", "strapline": "", "address_lines": []}
    (change,) = find_changes({}, new, shapes=kind.told_shapes, owner=kind.cls, known=references())
    assert (change.before, change.after) == ("", "Nord Spark")
