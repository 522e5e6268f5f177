"""What the style guide shows: one invented example of everything a page can be built from."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from crispy_forms.layout import Fieldset, Layout, Row
from django import forms

from packing.strip.safety import GoodsFlag, GoodsKind
from portal.owner.chart_samples import sample_charts
from portal.shared.forms import SheetForm

STYLE_SAMPLE = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class SampleJob:
    """One row of the sample queue."""

    number: str
    unit_words: str
    customer_name: str
    stage: str
    promise_end: date | None
    since: date
    hold: str = ""
    stage_words: str = ""
    risk_words: str = ""
    url: str = "#queue"
    next_url: str = "#queue"
    next_words: str = "Record"


@dataclass(frozen=True, slots=True)
class SampleStep:
    """One step of the sample strip list."""

    key: str
    words: str
    why: str = ""
    caution: str = ""
    origin: str = ""


class SampleForm(SheetForm):
    """Every kind of control, left empty so that the errors show."""

    named = {"unit": "the unit of the length"}
    option_hints = {
        "fuel": {"unknown": "Smell at the inlet: a solvent smell means petrol, an oily one diesel."}
    }

    name = forms.CharField(label="Your name")
    email = forms.EmailField(label="Your email address", help_text="We write only about this unit.")
    stamp = forms.CharField(
        label="Number on the stamp",
        help_text="Spaces, dashes and small letters do not matter.",
        widget=forms.TextInput(
            attrs={"class": "code w-24", "spellcheck": "false", "autocapitalize": "characters"}
        ),
    )
    fuel = forms.ChoiceField(
        label="Which fuel did it run on?",
        choices=[("petrol", "Petrol"), ("diesel", "Diesel"), ("unknown", "I am not sure")],
        widget=forms.RadioSelect,
    )
    keep = forms.MultipleChoiceField(
        label="What will you send along?",
        choices=[("linkage", "Linkage"), ("gaskets", "Old gaskets"), ("drive", "Drive coupling")],
        widget=forms.CheckboxSelectMultiple(attrs={"class": "across"}),
        required=False,
    )
    length = forms.DecimalField(
        label="Length", widget=forms.TextInput(attrs={"class": "w-8", "inputmode": "decimal"})
    )
    unit = forms.ChoiceField(
        label="Measured in",
        choices=[("mm", "millimetres"), ("in", "inches")],
        widget=forms.Select(attrs={"class": "w-16"}),
    )
    notes = forms.CharField(label="What went wrong", widget=forms.Textarea(attrs={"rows": 4}), required=False)
    photo = forms.FileField(label="Photo of the stamp", widget=forms.FileInput, required=False)
    drained = forms.BooleanField(label="I have drained it and left it open to the air for a day")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper.layout = Layout(
            "name", "email", "stamp", "fuel", "keep",
            Fieldset("Its size", Row("length", "unit")), "notes", "photo", "drained",
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Words:
    """A bag of words for components that only print them."""

    words: str = ""
    state: str = ""
    when: str = ""
    note: str = ""
    label: str = ""
    value: str = ""
    what: str = ""
    days: str = ""
    origin: str = ""
    change_url: str = ""
    number: str = ""
    next_words: str = ""
    since: date | None = None
    url: str = ""
    alt: str = ""
    caption: str = ""
    remove_url: str = ""
    full_url: str = ""
    lines: tuple[str, ...] = field(default=())


def style_sample(*, today: date) -> STYLE_SAMPLE:
    """Return the context of the style guide, dated round `today`."""
    return {
        "today": today,
        "now": today,
        "units": "metric",
        "parts": (
            Words(words="Words", url="#words"),
            Words(words="Charts", url="#charts"),
            Words(words="Forms", url="#forms"),
        ),
        "sample_form": SampleForm(data={}),
        "range_start": today + timedelta(days=29),
        "range_end": today + timedelta(days=41),
        "figures_sample": (
            {"name": "Units in the shop", "value": "23", "unit": "", "origin": "measured"},
            {"name": "Promises at risk", "value": "2", "unit": "of 17", "origin": "estimate"},
            {"name": "Half are back within", "value": "31", "unit": "days", "origin": "measured"},
            {"name": "Design drop", "value": "0.76", "unit": "m", "origin": "published"},
        ),
        "title_cells": (
            Words(label="Sheet", value="Style guide"),
            Words(label="Revision", value="A"),
            Words(label="Date", value=f"{today.day} {today:%B %Y}"),
        ),
        "goods": (
            GoodsFlag(
                GoodsKind.LIFT, "Over 20 kg: mark the carton for two people on all sides.", "common practice"
            ),
        ),
        **_lists(today=today),
        **sample_charts(),
    }


def _lists(*, today: date) -> dict[str, Any]:
    def days_ago(days: int) -> date:
        return today - timedelta(days=days)

    return {
        "jobs_sample": (
            SampleJob(
                "4821093", "Tolvane 34 float-feed carburettor", "A. Merrin", "arrived", None, days_ago(0)
            ),
            SampleJob(
                "4820777",
                "Brennick rotary magneto, clockwise",
                "J. Tallow",
                "machined",
                today + timedelta(days=3),
                days_ago(9),
                risk_words="the impulse spring has not come",
                hold="parts",
                next_words="Go on",
            ),
            SampleJob(
                "4820512",
                "Osterwyn in-line injection pump, four elements",
                "Harrow Quay Boatyard",
                "tested",
                today + timedelta(days=12),
                days_ago(2),
                next_words="Sign off",
            ),
            SampleJob(
                "4820398", "Pellmar lift pump", "R. Osk", "posted", None, days_ago(4), next_words="Take in"
            ),
        ),
        "stages_sample": (
            "booked",
            "cleared",
            "posted",
            "arrived",
            "inspected",
            "stripped",
            "cleaned",
            "machined",
            "assembled",
            "tested",
            "signed_off",
            "packed",
            "sent_back",
            "closed",
            "declined",
            "cancelled",
            "returned_unrepaired",
        ),
        "steps_sample": (
            Words(
                words="It came to us",
                state="done",
                when="Monday 4 May 2026",
                note="The box was whole, nothing had moved.",
            ),
            Words(words="We looked it over", state="done", when="Wednesday 6 May 2026"),
            Words(
                words="It is on the bench",
                state="current",
                when="since Friday 8 May 2026",
                note="The throttle shaft is worn oval; new bushes are being fitted.",
            ),
            Words(words="Bench test", state="ahead"),
            Words(
                words="On its way back to you",
                state="ahead",
                when="between Wednesday 10 June and Monday 22 June 2026",
            ),
        ),
        "answers_sample": (
            Words(
                label="Unit",
                value="Tolvane 34 float-feed carburettor",
                change_url="#answers",
                what="the unit",
            ),
            Words(
                label="Number on the stamp",
                value="TF 34-1187 B",
                change_url="#answers",
                what="the number on the stamp",
            ),
            Words(
                label="What went wrong",
                value="Leaks at the float bowl\nwhen the engine stands.",
                change_url="#answers",
                what="what went wrong",
            ),
            Words(label="Phone number", change_url="#answers", what="the phone number"),
        ),
        "reasons_sample": (
            Words(
                words="Eleven units stand in front of yours at the lathe", days="9 days", origin="measured"
            ),
            Words(words="Bushes are ordered from outside", days="6 days", origin="estimate"),
            Words(words="The shop is closed on Monday 25 May 2026", days="1 day"),
        ),
        "strip_sample": (
            SampleStep(
                "lever",
                "Take off the throttle lever and keep it",
                "It sticks out 41 mm past the base and would meet the carton wall.",
                origin="measured",
            ),
            SampleStep(
                "drain",
                "Drain the bowl and leave it open to the air for 24 hours",
                caution="Drained is not empty. Work outdoors, away from flames. The carrier's rules and "
                "local law decide.",
            ),
            SampleStep("shaft", "Leave the choke shaft in place", "Its ends are inside the support face."),
        ),
        "hold_sample": Words(
            words="Waiting for your answer",
            since=days_ago(3),
            note="The float chamber is cracked. We asked whether to weld or replace it.",
            next_words="The work goes on as soon as you choose.",
        ),
        "photos_sample": (
            Words(alt="the stamp", caption="Stamp", remove_url="#photos"),
            Words(alt="the linkage side", caption="Linkage side, before stripping", remove_url="#photos"),
        ),
        "columns_sample": (
            {"words": "Carton"},
            {"words": "Inside", "number": True},
            {"words": "Board"},
            {"words": "Margin", "number": True},
        ),
        "rows_sample": (
            ("Medium double wall", "305 × 229 × 229 mm", "double wall, 7.9 kN/m", "1.6"),
            ("Used wine box", "350 × 250 × 330 mm", "single wall, 5.6 kN/m", "0.9"),
        ),
    }
