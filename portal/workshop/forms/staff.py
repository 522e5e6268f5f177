"""What every form on a job carries: how many events the person had seen when the page was opened."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from jobs.domain.stages import Turn
from jobs.models import Job
from portal.shared.forms import SheetForm, reword, words_for
from portal.shared.mail_address import MailAddressField


def offer_choices(form: forms.Form, *, name: str, choices: Iterable[tuple[object, object]]) -> None:
    """Set the options of a field that depend on the job or the catalogue."""
    field = form.fields[name]
    assert isinstance(field, forms.ChoiceField)  # noqa: S101 - a slip of the form's author
    field.choices = [(value, words) for value, words in choices]


def typed_values(form: forms.Form) -> dict[str, Any]:
    """Return what was typed into a form, unchecked, so that it can be shown again without errors."""
    return {
        name: field.widget.value_from_datadict(form.data, form.files, form.add_prefix(name))
        for name, field in form.fields.items()
    }


class JobForm(SheetForm):
    """A form on one job; `seen` is the job's event count at the time the page was made."""

    seen = forms.IntegerField(widget=forms.HiddenInput, min_value=0)

    def __init__(self, data: QueryDict | None = None, *, job: Job, **kwargs: Any) -> None:
        self.job = job
        initial = {"seen": job.event_count, **kwargs.pop("initial", {})}
        super().__init__(data, initial=initial, **kwargs)

    def add(self, name: str, field: forms.Field, *, named: str = "") -> None:
        """Add a field that only this job has, with our sentences for its errors."""
        self.fields[name] = field
        reword(field, named=named or words_for(field.label), label=str(field.label))

    def see_again(self, job: Job) -> None:
        """Take the job as it is now, with everything typed kept, so that the next sending counts."""
        self.job = job
        if isinstance(self.data, QueryDict):
            data = self.data.copy()
            data[self.add_prefix("seen")] = str(job.event_count)
            self.data = data

    def seen_count(self) -> int:
        """Return the count that was sent, or 0 when it cannot be read."""
        return int(self.cleaned_data.get("seen") or 0)


class NoteForm(JobForm):
    """A step that needs no more than a note, if that."""

    note = forms.CharField(
        label=_("Note"), required=False, max_length=300, widget=forms.Textarea(attrs={"rows": 2})
    )


class QuestionForm(JobForm):
    """A question to the customer."""

    text = forms.CharField(
        label=_("Your question"),
        help_text=_("The customer gets it by mail and answers on their page."),
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class SpokenForm(JobForm):
    """What the customer said on the phone or at the counter."""

    named = {"text": _("what the customer said")}

    text = forms.CharField(
        label=_("What the customer said"),
        help_text=_("In their words, with who said it. It ends a hold that waited for the answer."),
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class DeclineForm(JobForm):
    """Why the shop says no."""

    named = {"text": _("the reason")}

    text = forms.CharField(
        label=_("The reason, as the customer will read it"),
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class ReasonForm(JobForm):
    """Why the last step is taken back."""

    named = {"text": _("the reason why it is taken back")}

    text = forms.CharField(
        label=_("Why it is taken back"),
        help_text=_("The log keeps the step and this reason."),
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class WithdrawForm(JobForm):
    """Why a photo that the shop took is withdrawn."""

    named = {"text": _("the reason why it is withdrawn")}

    text = forms.CharField(
        label=_("Why it is withdrawn"),
        help_text=_("The shop's people read it here and in the log. The customer does not. Name nobody."),
        max_length=240,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class WithdrawTheirsForm(WithdrawForm):
    """Why a photo that the customer sent is withdrawn."""

    text = forms.CharField(
        label=_("Why it is withdrawn"),
        help_text=_("The customer reads it on their page; the log keeps it. Name nobody."),
        max_length=240,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class TurnForm(JobForm):
    """Why a job is put first, or back in its turn; the page carries which of the two was asked for."""

    named = {"text": _("the reason")}

    turn = forms.TypedChoiceField(
        coerce=Turn, choices=[(turn.value, turn.value) for turn in Turn], widget=forms.HiddenInput
    )
    text = forms.CharField(
        label=_("The reason"),
        help_text=_("The shop's people read it here and in the log. The customer does not."),
        max_length=240,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class RenewLinksForm(JobForm):
    """Why the customer's links are closed, and where the new one goes."""

    field_order = ("text", "email", "seen")
    named = {"text": _("the reason why they are closed")}

    text = forms.CharField(
        label=_("Why they are closed"),
        help_text=_("The log keeps it. The customer is not told."),
        max_length=240,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    email = MailAddressField(
        label=_("Where the new link goes"),
        help_text=_(
            "The address on file; another one takes its place, for all their jobs. Left empty, none is on "
            "file and no mail goes out."
        ),
        required=False,
        widget=forms.EmailInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )


class RemarkForm(JobForm):
    """A note for the log."""

    text = forms.CharField(
        label=_("The note"),
        help_text=_("It stays in the job's log."),
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
