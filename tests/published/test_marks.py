"""Marks on the outside of a parcel: ISO 780:2015, names as read, numbers of ISO 7000 from memory."""

import pytest

from packing.errors import UnknownEntry
from packing.parcel.marks import mark, marks, parcel_marks
from packing.parcel.tables import load_table

ISO_780 = {
    "0621": "Fragile, handle with care",
    "0622": "Use no hand hooks",
    "0623": "This way up",
    "0624": "Keep away from sunlight",
    "0625": "Sling here",
    "0626": "Keep away from rain",
    "0627": "Centre of gravity",
    "0629": "Do not use hand truck here",
    "0630": "Stacking limit by mass",
    "0631": "Clamp as indicated",
    "0632": "Temperature limits",
    "2401": "Protect from radioactive sources",
    "2402": "Do not stack",
    "2403": "Stacking limit by number",
    "2404": "Do not clamp as indicated",
    "2405": "Do not roll",
    "2406": "Use no forks",
}


def test_every_mark_has_its_number_and_there_is_no_other():
    assert {each.iso_7000: each.name for each in marks()} == ISO_780
    assert load_table("marks")["source"]["origin"] == "estimate"


def test_a_units_parcel_is_fragile_stands_upright_and_keeps_dry():
    assert [each.iso_7000 for each in parcel_marks()] == ["0621", "0623", "0626"]


def test_no_other_mark_is_known():
    with pytest.raises(UnknownEntry, match="choose one of fragile"):
        mark("this-way-down")
