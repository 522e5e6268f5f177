"""What do people type to sign in, and to choose a password?"""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from portal.accounts.models import User
from portal.accounts.people import password_problems
from portal.shared.forms import SheetForm

PASSWORD_MOST_LETTERS = 200


def _password_field(label: Any, *, autocomplete: str) -> forms.CharField:
    widget = forms.PasswordInput(attrs={"autocomplete": autocomplete})
    return forms.CharField(label=label, strip=False, max_length=PASSWORD_MOST_LETTERS, widget=widget)


class PasswordForm(SheetForm):
    """A mail address and a password."""

    email = forms.EmailField(
        label=gettext_lazy("Your mail address"), widget=forms.EmailInput(attrs={"autocomplete": "username"})
    )
    password = _password_field(gettext_lazy("Your password"), autocomplete="current-password")


class LinkForm(SheetForm):
    """A mail address to send a link to."""

    email = forms.EmailField(
        label=gettext_lazy("Your mail address"),
        help_text=gettext_lazy("We send a link that works once, in this browser, for ten minutes."),
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )


class NewPasswordForm(SheetForm):
    """A new password; the present one is asked for unless a mailed link has just proven who it is."""

    present = _password_field(gettext_lazy("Your present password"), autocomplete="current-password")
    new = _password_field(gettext_lazy("Your new password"), autocomplete="new-password")

    def __init__(self, person: User, *args: Any, is_proven: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person
        self.fields["new"].help_text = _("12 letters or more. A few words in a row are easy to keep in mind.")
        if is_proven or not person.has_usable_password():
            del self.fields["present"]

    def clean_present(self) -> str:
        """Return the present password, refused when it is another."""
        present: str = self.cleaned_data["present"]
        if not self.person.check_password(present):
            raise forms.ValidationError(_("This is not your present password. Type it again."))
        return present

    def clean_new(self) -> str:
        """Return the new password, refused when it is easy to guess."""
        new: str = self.cleaned_data["new"]
        if problems := password_problems(new, person=self.person):
            raise forms.ValidationError(list(problems))
        return new
