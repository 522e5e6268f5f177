"""Small decisions that a template cannot make: the shape of a stage, the parts of a field, a page's query."""

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from django import forms, template
from django.forms.boundfield import BoundField, BoundWidget
from django.forms.utils import flatatt
from django.http import QueryDict
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from jobs.domain.stages import HOLD_LABELS, STAGE_LABELS, HoldKind, Stage

register = template.Library()

# How far along a unit is, as a circle that fills up; an arrow on the road; struck through at a side exit.
STAGE_SHAPES: dict[Stage, str] = {
    Stage.BOOKED: "open",
    Stage.CLEARED: "dot",
    Stage.POSTED: "inbound",
    Stage.ARRIVED: "quarter",
    Stage.INSPECTED: "quarter",
    Stage.STRIPPED: "half",
    Stage.CLEANED: "half",
    Stage.MACHINED: "half",
    Stage.ASSEMBLED: "three",
    Stage.TESTED: "three",
    Stage.SIGNED_OFF: "full",
    Stage.PACKED: "full",
    Stage.SENT_BACK: "outbound",
    Stage.CLOSED: "closed",
    Stage.DECLINED: "struck",
    Stage.CANCELLED: "struck",
    Stage.RETURNED_UNREPAIRED: "struck",
}


@register.simple_tag
def stage(value: str, words: str = "", hold: str = "") -> SafeString:
    """Draw a stage as its word and its shape; `hold` is a kind of hold, "" for none."""
    known = Stage(value)
    hold_words = HOLD_LABELS[HoldKind(hold)] if hold else ""
    return _stage_drawn(words or STAGE_LABELS[known], shape=STAGE_SHAPES[known], hold_words=hold_words)


@lru_cache(maxsize=256)
def _stage_drawn(words: str, *, shape: str, hold_words: str) -> SafeString:
    """Return the drawing; a list has one in every row, and there are few different ones."""
    context = {"words": words, "shape": shape, "hold_words": hold_words}
    return render_to_string("components/_stage.html", context)


@register.filter
def is_options(bound: BoundField) -> bool:
    """Return whether the field is drawn as a list of radio buttons or checkboxes."""
    return isinstance(bound.field.widget, forms.RadioSelect | forms.CheckboxSelectMultiple)


@register.filter
def is_single_box(bound: BoundField) -> bool:
    """Return whether the field is one checkbox."""
    return isinstance(bound.field.widget, forms.CheckboxInput)


@register.filter
def option_hint(bound: BoundField, option: BoundWidget) -> str:
    """Return the line under one option, from the form's `option_hints`; "" for none."""
    hints = getattr(bound.form, "option_hints", {}).get(bound.name, {})
    return str(hints.get(str(option.data["value"]), ""))


@register.filter
def sign(bound: BoundField) -> str:
    """Return the sign drawn before the field, from the form's `leading_signs`; "" for none."""
    return str(getattr(bound.form, "leading_signs", {}).get(bound.name, ""))


@register.simple_tag
def option_input(bound: BoundField, option: BoundWidget) -> SafeString:
    """Return the input element of one option, described by its own hint.

    Written here because a group's `aria-invalid` belongs to the group: on a radio button it has no meaning.
    """
    data = option.data
    attrs: dict[str, Any] = {key: value for key, value in data["attrs"].items() if key != "aria-invalid"}
    attrs |= {"type": data["type"], "name": data["name"]}
    if data["value"] is not None:
        attrs["value"] = str(data["value"])
    if data["selected"]:
        attrs["checked"] = True
    if option_hint(bound, option):
        attrs["aria-describedby"] = f"{option.id_for_label}_hint"
    return SafeString(f"<input{flatatt(attrs)}>")


@register.filter
def beside(columns: Iterable[object], cells: Iterable[object]) -> list[tuple[object, object]]:
    """Return each column with its cell of one row; a row with too few or too many cells is a fault."""
    return list(zip(columns, cells, strict=True))


@register.simple_tag
def query_with(query: QueryDict, **changes: object) -> str:
    """Return the page's query with some keys changed, for pager and sorting links."""
    changed = query.copy()
    for key, value in changes.items():
        if value in (None, ""):
            changed.pop(key, None)
        else:
            changed[key] = str(value)
    return f"?{changed.urlencode()}"
