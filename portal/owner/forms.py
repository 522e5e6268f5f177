"""What does the owner type beside documents: a note, filters, an import, a country, a person?"""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _t

from jobs.domain.stages import EVENT_LABELS, HOLD_LABELS, STAGE_LABELS
from jobs.selectors.records import Narrowing
from portal.accounts.roles import ROLE_LABELS, Role
from portal.shared.days import DayField
from portal.shared.forms import SheetForm
from portal.shared.mail_address import MailAddressField

MAIL_STATES = {
    "waiting": _t("waiting to be sent"),
    "sending": _t("being sent"),
    "sent": _t("sent"),
    "given_up": _t("given up"),
    "dropped": _t("not sent any more"),
}
IMPORT_MOST_LETTERS = 1_000_000
YEARS_AHEAD = 3


class NoteForm(SheetForm):
    """Why something is published or withdrawn."""

    named = {"note": _t("the note")}
    note = forms.CharField(
        label=_t("What changed, and why"),
        help_text=_t("It stays in the history, with your name and the time."),
        max_length=200,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class WithdrawForm(NoteForm):
    """Why a document is taken out of use."""

    note = forms.CharField(
        label=_t("Why it is withdrawn"),
        help_text=_t("Jobs keep what they were given; nothing of the history is lost."),
        max_length=200,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class RecordFilter(SheetForm):
    """What a long list is narrowed to; every field stands in the address."""

    named = {"since": _t("the first day"), "until": _t("the last day")}
    q = forms.CharField(label=_t("Search"), required=False, max_length=80)
    since = DayField(label=_t("From"), required=False)
    until = DayField(label=_t("Until"), required=False)

    def narrowing(self) -> Narrowing:
        """Return what the list is narrowed to; a field that cannot be read narrows nothing."""
        self.is_valid()
        given: dict[str, Any] = dict(self.cleaned_data)
        given["text"] = given.pop("q", "")
        return Narrowing(**{name: value for name, value in given.items() if value})


class JobFilter(RecordFilter):
    """Filters of the list of jobs."""

    field_order = ("q", "stage", "hold", "family", "since", "until")
    stage = forms.ChoiceField(label=_t("Stage"), required=False)
    hold = forms.ChoiceField(label=_t("Hold"), required=False)
    family = forms.ChoiceField(label=_t("Family"), required=False)

    def __init__(self, *args: Any, families: tuple[tuple[str, str], ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["stage"].choices = _all(STAGE_LABELS.items())  # type: ignore[attr-defined]
        held = [
            ("any", _("held for anything")),
            *((kind.value, words) for kind, words in HOLD_LABELS.items()),
        ]
        self.fields["hold"].choices = _all(held)  # type: ignore[attr-defined]
        self.fields["family"].choices = _all(families)  # type: ignore[attr-defined]


class EventFilter(RecordFilter):
    """Filters of the list of events."""

    field_order = ("q", "kind", "since", "until")
    kind = forms.ChoiceField(label=_t("What happened"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].choices = _all(EVENT_LABELS.items())  # type: ignore[attr-defined]


class MailFilter(RecordFilter):
    """Filters of the list of mails."""

    field_order = ("q", "state", "kind", "since", "until")
    state = forms.ChoiceField(label=_t("State"), required=False)
    kind = forms.ChoiceField(label=_t("Mail"), required=False)

    def __init__(self, *args: Any, kinds: tuple[str, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["state"].choices = _all(MAIL_STATES.items())  # type: ignore[attr-defined]
        named = [(kind, kind.replace("_", " ").capitalize()) for kind in kinds]
        self.fields["kind"].choices = _all(named)  # type: ignore[attr-defined]


def _all(pairs: Any) -> list[tuple[str, Any]]:
    return [("", _("all")), *((str(getattr(value, "value", value)), words) for value, words in pairs)]


class ImportForm(SheetForm):
    """A TOML file, or its text."""

    named = {"file": _t("the import"), "text": _t("the text")}
    file = forms.FileField(
        label=_t("A TOML file"), required=False, widget=forms.FileInput(attrs={"accept": ".toml,text/plain"})
    )
    text = forms.CharField(
        label=_t("Or its text"),
        required=False,
        strip=False,
        max_length=IMPORT_MOST_LETTERS,
        widget=forms.Textarea(attrs={"rows": 12, "class": "code", "spellcheck": "false"}),
    )

    def clean(self) -> dict[str, Any]:
        """Put the text of the file, or else the typed one, under `toml`."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        chosen = cleaned.get("file")
        text = str(cleaned.get("text") or "")
        if chosen is not None:
            if chosen.size > IMPORT_MOST_LETTERS:
                self.add_error("file", _("The file is larger than 1 MB: send it in parts."))
                return cleaned
            try:
                text = chosen.read().decode("utf-8-sig")
            except UnicodeDecodeError:
                self.add_error("file", _("The file is not UTF-8 text: save it as UTF-8 and choose it again."))
        if not text.strip() and not self.errors:
            self.add_error("file", _("Choose a file, or paste its text below."))
        return {**cleaned, "toml": text}


class HolidaysForm(SheetForm):
    """The public holidays to bring in as closed days."""

    country = forms.ChoiceField(label=_t("Country"))
    subdivision = forms.CharField(
        label=_t("Part of the country"),
        help_text=_t("Its code, such as ENG or CA, where holidays differ by region."),
        required=False,
        max_length=6,
        widget=forms.TextInput(
            attrs={"class": "w-8 code", "autocapitalize": "characters", "spellcheck": "false"}
        ),
    )
    year = forms.TypedChoiceField(label=_t("Year"), coerce=int)

    def __init__(self, *args: Any, this_year: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        import holidays  # noqa: PLC0415 - loading its calendars takes a tenth of a second
        from holidays.registry import COUNTRIES  # noqa: PLC0415

        self.regions = holidays.list_supported_countries()
        names = {entry[1]: _spaced(entry[0]) for entry in COUNTRIES.values()}
        known = sorted(((code, name) for code, name in names.items()), key=lambda pair: pair[1])
        self.fields["country"].choices = known  # type: ignore[attr-defined]
        years = range(this_year, this_year + YEARS_AHEAD)
        self.fields["year"].choices = [(str(year), str(year)) for year in years]  # type: ignore[attr-defined]

    def clean_subdivision(self) -> str:
        """Return the code of the region, refused when the country has none of that name."""
        code = str(self.cleaned_data["subdivision"]).strip().upper()
        regions = self.regions.get(self.cleaned_data.get("country", ""), [])
        if code and code not in regions:
            if not regions:
                raise forms.ValidationError(
                    _("This country's holidays are the same everywhere: leave it empty.")
                )
            known = ", ".join(regions)
            raise forms.ValidationError(_("Part of the country: type one of %(known)s.") % {"known": known})
        return code


def _spaced(name: str) -> str:
    """Return a name written in one, such as UnitedKingdom, as words."""
    return "".join(f" {sign}" if sign.isupper() and at else sign for at, sign in enumerate(name))


class PersonForm(SheetForm):
    """Somebody of the shop who signs in."""

    named = {"role": _t("what they may open")}
    name = forms.CharField(
        label=_t("Name"), max_length=80, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    role = forms.ChoiceField(
        label=_t("What they may open"),
        choices=[(role.value, ROLE_LABELS[role]) for role in Role],
        widget=forms.RadioSelect,
    )
    option_hints = {
        "role": {
            Role.WORKSHOP.value: _t("The counter, the benches, every job."),
            Role.OWNER.value: _t("All of that, and these pages."),
        }
    }


class NewPersonForm(PersonForm):
    """A new person; without a password they sign in by mailed link."""

    field_order = ("name", "email", "role")
    email = MailAddressField(
        label=_t("Mail address"),
        help_text=_t(
            "A sign-in link is mailed there whenever they ask for one. They can choose a password later."
        ),
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )


class ChangePersonForm(PersonForm):
    """A person who signs in already."""

    is_active = forms.BooleanField(label=_t("May sign in"), required=False)
