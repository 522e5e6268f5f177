"""How long may a mail address be, on every form and in every column?"""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

MAIL_ADDRESS_MOST = 254
"""Signs of a mail address, as RFC 5321 section 4.5.3.1.3 limits its path of 256 with both brackets."""
TOO_LONG = _("Enter a shorter email address: no mail reaches one of more than 254 characters")


class MailAddressField(forms.EmailField):
    """A mail address that fits its column; a longer one is refused in words."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs["error_messages"] = {"max_length": TOO_LONG, **kwargs.get("error_messages", {})}
        super().__init__(**{"max_length": MAIL_ADDRESS_MOST, **kwargs})
