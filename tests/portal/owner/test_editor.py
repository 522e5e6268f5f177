"""One form edits every kind of document, and changes nothing that nobody changed."""

import pytest
from django.http import QueryDict

from jobs.domain.shop import ShopKind
from jobs.leadtime.clock import Weekday
from packing.plain import to_plain
from portal.owner import kinds, typed
from portal.owner.editor import DocumentForm, without_blank_rows
from tests.factories import open_shop, publish

pytestmark = pytest.mark.django_db


def posted(form):
    """Return what a browser would send for a form: every input under its name, and the counts of rows."""
    sent = QueryDict(mutable=True)
    for bound in form:
        value = bound.value()
        if isinstance(value, list):
            sent.setlist(bound.html_name, value)
        elif value not in (None, ""):
            sent[bound.html_name] = str(value).replace("\n", "\r\n")

    def count(parts):
        for part in parts:
            if part.shape == "rows":
                sent[f"{part.path}-count"] = str(len(part.rows))
                for row in part.rows:
                    count(row.parts)
            count(part.parts)

    count(form.parts())
    return sent


def edited(kind, entry, change=None):
    """Return the form after a browser sent it back, with `change` made to what it sent."""
    tree = typed.from_document(to_plain(entry), shapes=kind.shapes)
    slug = getattr(entry, "slug", "")
    shown = DocumentForm(kind, tree=tree, fixed_slug=slug, is_sent=False)
    sent = posted(shown)
    if change:
        change(sent)
    back = without_blank_rows(typed.from_post(sent, shapes=kind.shapes), shapes=kind.shapes)
    return DocumentForm(kind, tree=back, fixed_slug=slug, is_sent=True)


@pytest.fixture
def shop_with_a_closed_day(db):
    from datetime import date

    from jobs.domain.shop import ClosedDay

    open_shop()
    publish(ShopKind.CLOSED_DAY, ClosedDay(slug="2026-12-25", on=date(2026, 12, 25), name="Christmas Day"))


@pytest.mark.slow
@pytest.mark.parametrize("kind", kinds.KINDS, ids=lambda kind: kind.key)
def test_a_document_that_nobody_changed_comes_back_the_same(shop_with_a_closed_day, kind):
    entries = kinds.published(kind).values()
    assert entries
    for entry in entries:
        form = edited(kind, entry)
        assert form.is_valid(), form.errors
        assert form.entry == entry


def test_a_length_may_be_typed_in_inches(shop_with_a_closed_day):
    kind = kinds.BY_KEY["carton"]
    carton = next(iter(kinds.published(kind).values()))
    form = edited(kind, carton, lambda sent: sent.__setitem__("length_mm", "12 in"))
    assert form.is_valid(), form.errors
    assert form.entry.length_mm == pytest.approx(304.8)


def test_an_error_names_the_field_and_keeps_what_was_typed(shop_with_a_closed_day):
    kind = kinds.BY_KEY["unit_model"]
    model = kinds.published(kind)["tolvane-kv4081"]
    form = edited(kind, model, lambda sent: sent.__setitem__("projections-0-reach_mm", "a thumb"))
    assert not form.is_valid()
    (message,) = form.errors["projections-0-reach_mm"]
    assert message.startswith("Reach past the face (projection 1): “a thumb”")
    assert form["projections-0-reach_mm"].value() == "a thumb"


def test_a_rule_that_spans_fields_is_told_at_its_row(shop_with_a_closed_day):
    kind = kinds.BY_KEY["unit_model"]
    model = kinds.published(kind)["tolvane-kv4081"]
    form = edited(kind, model, lambda sent: sent.__setitem__("projections-0-reach_mm", "4 m"))
    assert not form.is_valid()
    assert any(name.startswith("projections-0") for name in form.errors), form.errors


def test_a_row_is_added_and_removed_with_everything_else_kept():
    kind = kinds.BY_KEY["route"]
    tree = typed.from_document({"name": "Half typed", "steps": [{"median_hours": 1.5}]}, shapes=kind.shapes)
    path = typed.add_row(tree, path="steps-0-waits", shapes=kind.shapes)
    assert path == "steps-0-waits-0"
    typed.add_row(tree, path="steps", shapes=kind.shapes)
    assert len(tree["steps"]) == 2
    typed.remove_row(tree, path="steps-1")
    assert tree["name"] == "Half typed"
    assert tree["steps"][0]["median_hours"] == "1.5"
    assert len(tree["steps"][0]["waits"]) == 1


def test_a_blank_row_is_no_row():
    kind = kinds.BY_KEY["route"]
    tree = typed.from_document({"name": "R"}, shapes=kind.shapes)
    typed.add_row(tree, path="steps", shapes=kind.shapes)
    assert without_blank_rows(tree, shapes=kind.shapes)["steps"] == []


def test_a_path_to_nowhere_is_refused():
    kind = kinds.BY_KEY["route"]
    tree = typed.blank_row(kind.shapes)
    with pytest.raises(LookupError):
        typed.add_row(tree, path="name", shapes=kind.shapes)


def test_a_missing_short_name_is_made_from_the_name(shop_with_a_closed_day):
    kind = kinds.BY_KEY["person"]
    tree = typed.from_document({"name": "Ada Thornby"}, shapes=kind.shapes)
    form = DocumentForm(kind, tree=tree, fixed_slug="", is_sent=True)
    assert form.is_valid(), form.errors
    assert form.entry.slug == "ada-thornby"


def test_the_days_of_a_part_timer_are_ticked_and_stay_as_they_are(shop_with_a_closed_day):
    kind = kinds.BY_KEY["person"]
    wren = kinds.published(kind)["wren"]
    form = edited(kind, wren, lambda sent: sent.setlist("days_off", ["monday", "friday"]))
    assert form.is_valid(), form.errors
    assert form.entry.days_off == (Weekday.MONDAY, Weekday.FRIDAY)
    again = edited(kind, form.entry)
    assert again.is_valid(), again.errors
    assert again.entry == form.entry
    assert not edited(kind, wren, lambda sent: sent.setlist("days_off", ["someday"])).is_valid()
