"""Forms: every error says what to do, is listed once, and its link leads to a control on the page."""

import re

import pytest
from django import forms
from django.template import Context, Template
from django.template.loader import render_to_string
from django.utils.translation import override

from portal.shared.forms import SheetForm, words_for

BANNED = re.compile(r"\b(please|sorry|invalid|forbidden|oops|valid|this field|ensure|error)\b", re.IGNORECASE)


class EveryField(SheetForm):
    name = forms.CharField(label="Your name", max_length=5, min_length=3, help_text="As on the parcel.")
    email = forms.EmailField(label="Email address")
    fuel = forms.ChoiceField(
        label="Which fuel?",
        choices=[("p", "Petrol"), ("d", "Diesel")],
        widget=forms.RadioSelect,
        help_text="See the cap.",
    )
    model = forms.ChoiceField(label="Unit model", choices=[("a", "A"), ("b", "B")])
    parts = forms.MultipleChoiceField(
        label="Parts you send", choices=[("x", "X"), ("y", "Y")], widget=forms.CheckboxSelectMultiple
    )
    count = forms.IntegerField(label="Number of parcels", min_value=1, max_value=9)
    mass = forms.DecimalField(label="Mass", max_digits=4, decimal_places=1)
    speed = forms.FloatField(label="Speed")
    day = forms.DateField(label="Posting day")
    hour = forms.TimeField(label="Time of day")
    link = forms.URLField(label="Tracking link", assume_scheme="https")
    stamp = forms.RegexField(r"^[A-Z]+$", label="Letters on the stamp")
    photo = forms.FileField(label="Photo of the stamp", widget=forms.FileInput)
    drained = forms.BooleanField(label="I have drained it")
    note = forms.CharField(label="Note", required=False)
    step = forms.CharField(widget=forms.HiddenInput, required=False)


WRONG = {
    "name": "far too long", "email": "nobody", "fuel": "z", "model": "z", "parts": ["z"], "count": "many",
    "mass": "much", "speed": "fast", "day": "some day", "hour": "noon", "link": "::", "stamp": "12",
    "drained": "",
}  # fmt: skip


def page(form):
    return Template("{% load crispy_forms_tags %}{% crispy form %}").render(Context({"form": form}))


@pytest.mark.parametrize(
    "data", [{}, WRONG, {**WRONG, "name": "no", "count": "99", "mass": "12345.67", "fuel": ""}]
)
def test_no_error_uses_words_that_blame_or_beg(data):
    errors = EveryField(data=data).summary_errors()
    assert len(errors) >= 14
    for error in errors:
        assert not BANNED.search(error.message), error.message
        assert "%(" not in error.message


@pytest.mark.parametrize(
    ("field", "message"),
    [
        ("name", "Enter your name"),
        ("email", "Enter the email address"),
        ("fuel", "Answer the question “Which fuel?”"),
        ("model", "Choose the unit model"),
        ("parts", "Choose at least one answer to the parts you send"),
        ("photo", "Choose a file: the photo of the stamp"),
        ("drained", "Tick the box “I have drained it” to go on"),
    ],
)
def test_a_missing_answer_is_asked_for_by_its_label(field, message):
    assert EveryField(data={}).errors[field] == [message]


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("name", "abcdef", "Your name has to be 5 characters or fewer"),
        ("name", "ab", "Your name has to be 3 characters or more"),
        ("email", "nobody", "Enter the email address in full, like name@example.com"),
        ("count", "0", "The number of parcels has to be 1 or more"),
        ("count", "10", "The number of parcels has to be 9 or less"),
        ("count", "ten", "The number of parcels has to be a whole number, like 12"),
        ("mass", "x", "The mass has to be a number, like 2.5"),
        ("mass", "1.25", "The mass has to have 1 decimal places or fewer"),
        ("model", "z", "Choose the unit model from the list"),
        ("day", "soon", "Enter the posting day as a date, like 12 May 2027"),
    ],
)
def test_an_answer_that_cannot_be_read_is_explained(field, value, message):
    assert EveryField(data={field: value}).errors[field] == [message]


def test_a_sentence_written_on_the_field_wins():
    class Written(SheetForm):
        stamp = forms.CharField(
            label="Stamp", error_messages={"required": "Type the stamp, or choose “I cannot read it”"}
        )

    assert Written(data={}).errors["stamp"] == ["Type the stamp, or choose “I cannot read it”"]


def test_words_inside_a_sentence_can_be_given():
    class Named(SheetForm):
        named = {"unit": "the unit of length"}
        unit = forms.CharField(label="Measured in")

    assert Named(data={}).errors["unit"] == ["Enter the unit of length"]


@pytest.mark.parametrize("data", [{}, WRONG])
def test_every_line_of_the_summary_leads_to_a_control_that_exists(data):
    form = EveryField(data=data)
    html = page(form)
    summary = render_to_string("components/_error_summary.html", {"form": form})
    targets = re.findall(r'href="#([^"]*)"', summary)
    assert len(targets) == len(form.summary_errors()) >= 14
    for target in targets:
        assert re.search(rf'<(input|select|textarea)[^>]* id="{re.escape(target)}"', html), target


def test_a_group_of_options_is_reached_at_its_first_option():
    targets = {error.message: error.target_id for error in EveryField(data={}).summary_errors()}
    assert targets["Answer the question “Which fuel?”"] == "id_fuel_0"
    assert targets["Choose at least one answer to the parts you send"] == "id_parts_0"


def test_the_message_in_the_summary_is_the_message_beside_the_field():
    form = EveryField(data=WRONG)
    summary = render_to_string("components/_error_summary.html", {"form": form})
    listed = re.findall(r">([^<]+)</a></li>", summary)
    beside = re.findall(r'<p class="error"[^>]*><span>([^<]+)</span>', page(form))
    assert len(listed) >= 14
    assert sorted(listed) == sorted(beside)


def test_the_summary_takes_the_focus_without_a_script():
    summary = render_to_string("components/_error_summary.html", {"form": EveryField(data={})})
    assert 'tabindex="-1" autofocus' in summary
    assert "There is a problem" in summary


def test_a_form_without_errors_has_no_summary():
    assert render_to_string("components/_error_summary.html", {"form": EveryField()}).strip() == ""


def test_form_wide_errors_lead_to_the_first_visible_control():
    form = EveryField(data={})
    form.add_error(None, "Give a mass or a photo of the scale")
    first = form.summary_errors()[0]
    assert (first.target_id, first.message) == ("id_name", "Give a mass or a photo of the scale")


def test_hint_and_error_are_named_by_the_control_or_by_the_fieldset_of_a_group():
    html = page(EveryField(data={}))
    assert re.search(r'<input[^>]*name="name"[^>]*aria-describedby="id_name_helptext id_name_error"', html)
    assert re.search(r'<fieldset[^>]*aria-describedby="id_fuel_helptext id_fuel_error"', html)
    for identity in ("id_name_helptext", "id_name_error", "id_fuel_helptext", "id_fuel_error"):
        assert html.count(f'id="{identity}"') == 1


def test_a_radio_button_carries_no_aria_invalid():
    html = page(EveryField(data={}))
    radios = re.findall(r"<input[^>]*type=\"radio\"[^>]*>", html)
    assert len(radios) == 2
    assert not [radio for radio in radios if "aria-invalid" in radio]


def test_optional_fields_say_so_and_nothing_is_starred_or_required_by_the_browser():
    html = page(EveryField())
    assert html.count("(optional)") == 1
    assert re.search(r"Note <span class=\"optional\">\(optional\)", html)
    assert "*" not in html
    assert not re.search(r"<(input|select|textarea)[^>]* required", html)


def test_the_answers_are_kept_after_an_error():
    html = page(EveryField(data={"name": "ab", "fuel": "d", "parts": ["y"]}))
    assert 'value="ab"' in html
    assert re.search(r'<input[^>]*value="d"[^>]*checked', html)
    assert re.search(r'<input[^>]*value="y"[^>]*checked', html)


def test_the_question_of_a_page_is_its_only_heading():
    class Question(SheetForm):
        question_field = "fuel"
        option_hints = {"fuel": {"d": "Smells oily."}}
        fuel = forms.ChoiceField(
            label="Which fuel?", choices=[("p", "Petrol"), ("d", "Diesel")], widget=forms.RadioSelect
        )

    html = page(Question())
    assert re.findall(r"<h1>([^<]*)</h1>", html) == ["Which fuel?"]
    assert re.search(r"<legend[^>]*><h1>", html)
    assert re.search(r'<input[^>]*aria-describedby="id_fuel_1_hint"', html)
    assert 'id="id_fuel_1_hint">Smells oily.' in html


def test_a_prefixed_form_keeps_its_ids_apart():
    form = EveryField(data={}, prefix="second")
    assert {"id_second-name", "id_second-fuel_0"} <= {error.target_id for error in form.summary_errors()}


@pytest.mark.parametrize(
    ("label", "words"),
    [
        ("Email address", "the email address"),
        ("Your email", "your email"),
        ("VAT number", "the VAT number"),
        ("What went wrong", "“What went wrong”"),
        ("Is it a twin?", "“Is it a twin?”"),
        ("Which", "the which"),
        ("How many parcels?", "“How many parcels?”"),
    ],
)
def test_labels_become_words_inside_a_sentence(label, words):
    with override("en-gb"):
        assert words_for(label) == words


def test_a_hint_that_a_form_sets_for_its_page_stays_when_the_form_is_refused():
    class Remark(SheetForm):
        text = forms.CharField()

        def __init__(self, *args, **kwargs):
            super().__init__(*args, **kwargs)
            self.fields["text"].help_text = "The log keeps it."

    refused = Remark({"text": ""})
    assert not refused.is_valid()
    assert refused["text"].help_text == "The log keeps it."
