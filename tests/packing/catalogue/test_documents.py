import json
import tomllib

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from packing.catalogue.documents import (
    dump_entry,
    entries_from_toml,
    entries_to_toml,
    kind_of,
    parse_entry,
    slug_problem,
)
from packing.catalogue.schema import ENTRY_CLASSES, EntryKind
from packing.errors import CatalogueError
from tests.packing.catalogue.entries import CARRIER, CARTON, FAMILY, MATERIAL, MODEL, instances

ANY_ENTRY = st.one_of(*(instances(cls) for cls in ENTRY_CLASSES.values()))
SLOW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def problems_of(text, **named):
    with pytest.raises(CatalogueError) as refusal:
        entries_from_toml(text, **named)
    return refusal.value.problems


@SLOW
@given(ANY_ENTRY)
def test_an_entry_comes_back_equal_from_json(entry):
    text = json.dumps(dump_entry(entry))
    assert parse_entry(json.loads(text), kind=kind_of(entry)) == entry


@SLOW
@given(st.lists(ANY_ENTRY, max_size=4, unique_by=lambda entry: (type(entry), entry.slug)))
def test_entries_come_back_equal_from_toml(entries):
    read = entries_from_toml(entries_to_toml(entries))
    order = list(EntryKind)
    assert list(read) == sorted(
        ((kind_of(entry), entry) for entry in entries), key=lambda pair: order.index(pair[0])
    )


def test_toml_groups_the_entries_under_the_names_of_their_kinds():
    text = entries_to_toml((CARRIER, MODEL, FAMILY, CARTON, MATERIAL))
    assert set(tomllib.loads(text)) == {"family", "unit_model", "material", "carton", "carrier"}


def test_a_wrong_value_is_named_by_file_line_and_key():
    text = entries_to_toml((FAMILY, CARTON)).replace("length_mm = 400.0", 'length_mm = "long"')
    line = text.splitlines().index("[[carton]]") + 1
    ((key, sentence),) = problems_of(text, file="shop.toml")
    assert key == f"shop.toml, carton “c-400” (line {line}), length_mm"
    assert sentence == "“long” is not a number."


def test_all_wrong_entries_are_told_at_once():
    text = entries_to_toml((CARTON, CARRIER)).replace("ect_kn_m", "ect").replace("by_air", "air")
    keys = [key for key, _ in problems_of(text)]
    assert [key.rsplit(", ", 1)[1] for key in keys] == ["ect", "ect_kn_m", "air", "by_air"]


@pytest.mark.parametrize(
    ("text", "place"), [("[[carton]]\nslug = a\n", "line 2"), ('[[carton]]\nslug = "a', "end of text")]
)
def test_text_that_is_no_toml_is_refused_with_its_line(text, place):
    ((key, sentence),) = problems_of(text, file="shop.toml")
    assert key == f"shop.toml, {place}"
    assert "missing quotation mark" in sentence


def test_an_unknown_table_is_named_with_the_known_ones():
    ((key, sentence),) = problems_of('[[box]]\nslug = "a"\n')
    assert key == "box"
    assert "[[carton]]" in sentence


def test_a_single_table_is_told_to_be_one_of_several():
    ((key, sentence),) = problems_of('[carton]\nslug = "a"\n')
    assert key == "carton"
    assert "[[carton]]" in sentence


def test_the_same_slug_twice_in_one_file_is_refused():
    text = entries_to_toml((CARTON,))
    ((key, sentence),) = problems_of(text + "\n" + text)
    assert key.endswith("slug")
    assert "rename one" in sentence


def test_the_same_slug_may_stand_in_two_kinds():
    text = entries_to_toml((CARTON, MATERIAL)).replace('"plank"\nname', '"c-400"\nname')
    assert [kind for kind, _ in entries_from_toml(text)] == [EntryKind.MATERIAL, EntryKind.CARTON]


@pytest.mark.parametrize("slug", ["", "KV28", "kv 28", "-kv", "kv-", "kv--28", "kv/28", "kvé", "k" * 61])
def test_a_slug_that_cannot_stand_in_an_address_is_refused(slug):
    with pytest.raises(CatalogueError, match="address"):
        parse_entry({**dump_entry(CARTON), "slug": slug}, kind=EntryKind.CARTON)


@pytest.mark.parametrize("slug", ["kv28", "lift_pump", "c-400-300", "4-barrel", "k" * 60])
def test_a_plain_slug_is_taken(slug):
    assert slug_problem(slug) == ()


def test_what_is_left_out_of_a_carrier_without_a_limit_reads_as_no_limit():
    document = dump_entry(CARRIER)
    assert "length_most_mm" not in document
    assert parse_entry(document, kind=EntryKind.CARRIER).length_most_mm is None


def test_what_is_no_entry_has_no_kind():
    with pytest.raises(TypeError):
        kind_of(CARTON.source)
