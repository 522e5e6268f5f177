"""Every sentence that a form of the site may show is one: its field is named by words that fit into it."""

import importlib
import pkgutil

import pytest
from django import forms

import portal
from portal.shared.forms import SheetForm, reword, words_for

NO_NAME = {"a", "an", "another", "at", "came", "from", "in", "no", "on", "or", "packed", "scan", "until"}


def every_form():
    """Return every form class of the site, whatever module it stands in."""
    for module in pkgutil.walk_packages(portal.__path__, "portal."):
        if module.name.split(".")[-1] in {"forms", "form"} or ".forms." in module.name + ".":
            importlib.import_module(module.name)
    importlib.import_module("portal.owner.whatif_form")
    found, queue = set(), [SheetForm]
    while queue:
        below = queue.pop().__subclasses__()
        queue += below
        found |= {form for form in below if form.__module__.startswith("portal.")}
    return sorted(found, key=lambda form: f"{form.__module__}.{form.__qualname__}")


def named_fields():
    for form in every_form():
        for name, field in form.base_fields.items():
            if not isinstance(field.widget, forms.HiddenInput):
                label = str(field.label or name.replace("_", " ").capitalize())
                yield form, name, field, str(form.named.get(name, "")) or words_for(label)


def test_the_forms_of_all_three_audiences_are_looked_at():
    modules = {form.__module__.split(".")[1] for form in every_form()}
    assert {"accounts", "customer", "owner", "workshop"} <= modules
    assert len(list(named_fields())) > 90


def test_no_field_is_named_by_words_that_do_not_fit_into_a_sentence():
    odd = []
    for form, name, field, named in named_fields():
        if isinstance(field, forms.BooleanField) or named.startswith("“"):
            continue
        first, *rest = named.split()
        if "," in named or "%" in named or (first == "the" and rest and rest[0] in NO_NAME):
            odd.append(f"{form.__qualname__}.{name}: {named}")
    assert odd == []


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        (forms.DecimalField(max_value=100), "150", "The share, % has to be 100 or less"),
        (forms.DecimalField(min_value=0), "-1", "The share, % has to be 0 or more"),
        (forms.DecimalField(), "x", "The share, % has to be a number, like 2.5"),
        (forms.CharField(max_length=2), "abc", "The share, % has to be 2 characters or fewer"),
        (forms.ChoiceField(choices=[("1", "1")]), "7", "Choose the share, % from the list"),
    ],
)
def test_a_percent_sign_in_a_label_stays_one_in_every_sentence(field, typed, sentence):
    reword(field, named=words_for("Share, %"), label="Share, %")
    with pytest.raises(forms.ValidationError) as refused:
        field.clean(typed)
    assert refused.value.messages == [sentence]


def test_a_label_that_is_no_question_is_not_called_one():
    field = forms.CharField()
    reword(field, named=words_for("What went wrong"), label="What went wrong")
    with pytest.raises(forms.ValidationError) as refused:
        field.clean("")
    assert refused.value.messages == ["Fill in “What went wrong”"]
