"""How a sum of money is typed: with or without the sign, with or without the comma of the thousands."""

import re
from typing import Any

from django import forms

POUND_SIGN = "£"
THOUSANDS = re.compile(r",(?=\d{3}(?:\D|$))")


class PoundsField(forms.DecimalField):
    """A sum in pounds and pence; `£1,250.50`, `1250.5` and `£ 1250.50` are the same sum."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("decimal_places", 2)
        kwargs.setdefault("min_value", 0)
        super().__init__(
            widget=forms.TextInput(attrs={"inputmode": "decimal", "class": "w-8", "autocomplete": "off"}),
            **kwargs,
        )

    def to_python(self, value: Any) -> Any:
        """Return the sum, None for an empty field."""
        if isinstance(value, str):
            value = THOUSANDS.sub("", value.replace(POUND_SIGN, "")).replace(" ", "")
        return super().to_python(value)
