"""The signature that a unit is tested and complete; the service wants a reason where settings are missing."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from portal.workshop.forms.staff import NoteForm


class SignOffForm(NoteForm):
    """A note, and why the unit goes back without its settings where none was written down."""

    named = {"without_settings": gettext_lazy("why it goes back without its settings")}

    without_settings = forms.CharField(
        label=gettext_lazy("Why it goes back without its settings"),
        help_text=gettext_lazy(
            "The customer was told that they are written down. The reason stays in the log."
        ),
        max_length=200,
    )

    def __init__(self, *args: Any, has_no_settings: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if has_no_settings:
            self.order_fields(["seen", "without_settings", "note"])
        else:
            del self.fields["without_settings"]
