"""What the editors say about an emptied form, about nonsense, and about one wrong figure."""

import re

import pytest

from packing.catalogue.fields import Shape
from packing.plain import to_plain
from portal.owner import kinds, typed
from portal.owner.editor import DocumentForm
from portal.owner.inputs import ValueField
from tests.factories import open_shop
from tests.portal.owner.test_editor import edited

pytestmark = pytest.mark.django_db
EDITED = ("unit_model", "material", "carton", "carrier", "family", "message")
NONSENSE = "Kept words 7"
# A name of our own (`board_g_m2`), or a figure that nobody types (`1e+07`).
NOT_WORDS = re.compile(r"\b[a-z0-9]+_[a-z0-9_]+\b|\d[eE]\+?\d")


@pytest.fixture
def shop(db):
    """Publish the demo shop."""
    open_shop()


def first_of(key):
    kind = kinds.BY_KEY[key]
    return kind, next(iter(kinds.published(kind).values()))


def text_inputs(kind, entry):
    """Return the names of the inputs into which a person types."""
    tree = typed.from_document(to_plain(entry), shapes=kind.shapes)
    form = DocumentForm(kind, tree=tree, fixed_slug=entry.slug, is_sent=False)
    return [name for name, field in form.fields.items() if isinstance(field, ValueField)]


def emptied(kind, entry):
    """Return the names of the inputs that stand empty; of a blank row there are none left."""
    return {name for name, value in overwrite(kind, entry, "").data.items() if value == ""}


def overwrite(kind, entry, words):
    def change(sent):
        for name in text_inputs(kind, entry):
            sent[name] = words

    return edited(kind, entry, change)


def sentences(form):
    return [str(sentence) for said in form.errors.values() for sentence in said]


@pytest.mark.parametrize("key", EDITED)
def test_an_emptied_form_says_of_each_needed_field_what_to_do(shop, key):
    kind, entry = first_of(key)
    form = overwrite(kind, entry, "")
    assert form.errors
    needed = [
        name
        for name in emptied(kind, entry).intersection(form.fields)
        if form.fields[name].required and form.fields[name].shape.shape is not Shape.LIST
    ]
    assert needed
    for name in needed:
        assert re.match(r"(Enter|Choose) ", str(form.errors[name][0])), form.errors[name]


@pytest.mark.parametrize("key", [key for key in EDITED if key != "message"])
def test_nonsense_is_kept_and_refused_beside_its_field_with_an_example(shop, key):
    kind, entry = first_of(key)
    form = overwrite(kind, entry, NONSENSE)
    assert form.errors
    figures = [name for name in text_inputs(kind, entry) if form.fields[name].scalar is not Shape.TEXT]
    assert figures
    for name in figures:
        (sentence,) = form.errors[name]
        assert "type it like" in str(sentence)
    kept = {name: form[name].value() for name in text_inputs(kind, entry) if name in form.fields}
    assert kept == dict.fromkeys(kept, NONSENSE)
    assert len(set(sentences(form))) == len(sentences(form))


@pytest.mark.slow
@pytest.mark.parametrize("typed_figure", ["-5", "9999999"])
@pytest.mark.parametrize("key", [key for key in EDITED if key != "message"])
def test_one_wrong_figure_is_told_in_words_of_the_page(shop, key, typed_figure):
    kind, entry = first_of(key)
    told = [
        (name, sentence)
        for name in text_inputs(kind, entry)
        if not name.endswith("slug")
        for sentence in sentences(
            edited(kind, entry, lambda sent, name=name: sent.__setitem__(name, typed_figure))
        )
    ]
    assert told
    assert [each for each in told if NOT_WORDS.search(each[1])] == []


@pytest.mark.parametrize(
    ("key", "name"),
    [
        ("material", "density_kg_m3"),
        ("material", "curve_b_m3_kj"),
        ("carton", "board_g_m2"),
        ("carrier", "divisor_cm3_kg"),
        ("carrier", "volume_free_cm3"),
    ],
)
def test_a_rule_about_a_field_whose_unit_has_a_digit_is_told_beside_it(shop, key, name):
    kind, entry = first_of(key)
    form = edited(kind, entry, lambda sent: sent.__setitem__(name, "-5"))
    assert list(form.errors) == [name]


def test_a_share_is_refused_in_percent_as_it_is_typed(shop):
    kind, entry = first_of("material")
    form = edited(kind, entry, lambda sent: sent.__setitem__("settles_share", "95"))
    assert form.errors["settles_share"] == [
        "Settles in transit (%): 95 % cannot be right; give a value from 0 to 90 %."
    ]


def test_an_error_in_a_row_names_the_row(shop):
    kind = kinds.BY_KEY["unit_model"]
    model = kinds.published(kind)["tolvane-kv4081"]
    form = edited(kind, model, lambda sent: sent.__setitem__("projections-1-reach_mm", "a thumb"))
    (sentence,) = form.errors["projections-1-reach_mm"]
    assert sentence.startswith("Reach past the face (projection 2): “a thumb” cannot be read")


def test_what_a_step_leaves_out_is_told_at_the_box_of_the_projection(shop):
    kind, model = first_of("unit_model")
    form = edited(kind, model, lambda sent: sent.__setitem__("projections-0-taken_off", "on"))
    assert list(form.errors) == ["projections-0-taken_off"]


def test_what_a_family_would_put_wrong_in_a_model_names_the_model(shop):
    kind = kinds.BY_KEY["family"]
    family = kinds.published(kind)["carburettor"]
    form = edited(kind, family, lambda sent: sent.__setitem__("questions-0-answers", "nine\nten"))
    assert any(
        str(said).startswith("Unit model “Tolvane KV28”, answers to the family's questions: ")
        for said in form.non_field_errors()
    ), form.errors
