"""A long choice is the element that Django draws."""

import pytest
from django import forms
from django.test.html import parse_html

from portal.shared.long_select import LongSelect

CHOICES = [("", "as it is"), ("4821093", "482 109-3, <b>KV28</b> & more"), ("1", "Wren")]


@pytest.mark.parametrize("value", ["", "4821093", "unknown", None])
def test_a_long_choice_is_drawn_as_django_draws_it(value):
    attrs = {"id": "id_job", "class": "w-24", "aria-describedby": "hint", "disabled": False}
    ours = LongSelect(choices=CHOICES).render("job", value, attrs=attrs)
    assert parse_html(ours) == parse_html(forms.Select(choices=CHOICES).render("job", value, attrs=attrs))
    assert "&lt;b&gt;KV28&lt;/b&gt; &amp; more" in ours
