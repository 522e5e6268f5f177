"""The forms of the bench: steps, findings, parts, settings, readings, extra work, holds."""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from crispy_forms.layout import Layout, Row
from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.domain.condition import Severity
from jobs.domain.facts import BenchWork, Finding, PartUsed, SettingsRecorded
from jobs.domain.stages import HOLD_LABELS, HoldKind
from jobs.leadtime.routes import BenchStep
from jobs.selectors.bench import ReadingLine, SettingLine
from jobs.selectors.next_action import StepOffer
from jobs.selectors.queue import STEP_WORDS
from jobs.services.extra_work import ExtraLine
from portal.shared.days import DayField
from portal.shared.money import PoundsField
from portal.templatetags.portal_format import limits
from portal.workshop.forms.staff import JobForm, NoteForm, offer_choices

LINES_LEAST = 3
LINES_MOST = 12


class StepForm(NoteForm):
    """Start or finish one of the steps that may come next; `under_way` names the one that is worked at."""

    step = forms.ChoiceField(label=_("Step"))

    def __init__(self, *args: Any, offers: tuple[StepOffer, ...], under_way: str = "", **kwargs: Any) -> None:
        self.offers = {offer.step: offer for offer in offers}
        super().__init__(*args, **kwargs)
        offer_choices(
            self, name="step", choices=[(offer.step, STEP_WORDS[BenchStep(offer.step)]) for offer in offers]
        )
        self.fields["step"].error_messages["invalid_choice"] = str(
            _("“%s” is under way: finish it or put it down first") % STEP_WORDS[BenchStep(under_way)]
            if under_way
            else _("This step is not next any more: look at what is next, then choose again")
        )

    def work(self, *, person: str) -> BenchWork:
        """Return the facts: the step, its work centre, who did it."""
        offer = self.offers[self.cleaned_data["step"]]
        return BenchWork(
            step=offer.step, work_centre=offer.centre_slug, person=person, note=self.cleaned_data["note"]
        )


class FindingForm(JobForm):
    """Something found on the bench; the customer reads it."""

    named = {"text": _("what was found"), "severity": _("how bad it is"), "photo": _("the finding")}

    text = forms.CharField(
        label=_("What was found, where, how big"),
        max_length=500,
        help_text=_("The customer reads this."),
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    zone = forms.ChoiceField(label=_("Zone"), required=False)
    severity = forms.TypedChoiceField(
        label=_("How bad"),
        coerce=int,
        choices=[(level.value, level.label) for level in Severity],
        initial=0,
    )
    photo = forms.FileField(
        label=_("A photo of it"),
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*"}),
    )

    def __init__(self, *args: Any, zones: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_choices(
            self, name="zone", choices=[("", _("Not one place")), *((zone, zone) for zone in zones)]
        )

    def finding(self) -> Finding:
        """Return the facts."""
        given = self.cleaned_data
        return Finding(text=given["text"], zone=given["zone"], severity=given["severity"])


class PartForm(JobForm):
    """A part that went into the unit."""

    named = {"count": _("the number of parts")}

    part = forms.CharField(label=_("Part"), max_length=120)
    count = forms.IntegerField(
        label=_("How many"),
        min_value=1,
        max_value=999,
        initial=1,
        widget=forms.TextInput(attrs={"class": "w-4", "inputmode": "numeric"}),
    )
    note = forms.CharField(label=_("Note"), required=False, max_length=200)

    def used(self) -> PartUsed:
        """Return the facts."""
        given = self.cleaned_data
        return PartUsed(part=given["part"], count=given["count"], note=given["note"])


class SettingsForm(JobForm):
    """The settings by the model's own names, as found and as left; what is known already is filled in."""

    def __init__(self, *args: Any, settings: tuple[SettingLine, ...], **kwargs: Any) -> None:
        self.names = {f"{at}": line.name for at, line in enumerate(settings)}
        kwargs["initial"] = {
            **{f"found_{at}": line.as_found for at, line in enumerate(settings)},
            **{f"left_{at}": line.as_left for at, line in enumerate(settings)},
        }
        super().__init__(*args, **kwargs)
        rows = []
        for at, name in self.names.items():
            for side, words in (("found", _("as found")), ("left", _("as left"))):
                self.add(
                    f"{side}_{at}",
                    forms.CharField(label=f"{name}: {words}", required=False, max_length=80),
                    named=f"“{name}: {words}”",
                )
            rows.append(Row(f"found_{at}", f"left_{at}", css_class="even"))
        self.helper.layout = Layout("seen", *rows)

    def clean(self) -> dict[str, Any]:
        """Refuse a form on which nothing is written: it would stand in the log as a record of nothing."""
        given: dict[str, Any] = super().clean() or self.cleaned_data
        sides = [name for name in self.fields if name.startswith(("found_", "left_"))]
        if sides and not self.errors and not any(given.get(name) for name in sides):
            self.add_error(sides[0], _("Write at least one setting, as found or as left."))
        return given

    def settings(self) -> SettingsRecorded:
        """Return the facts; empty answers are left out."""
        given = self.cleaned_data
        return SettingsRecorded(
            as_found={name: given[f"found_{at}"] for at, name in self.names.items() if given[f"found_{at}"]},
            as_left={name: given[f"left_{at}"] for at, name in self.names.items() if given[f"left_{at}"]},
        )


class ReadingsForm(JobForm):
    """One figure for each line of the bench test; a unit that cannot be read has failed it.

    `known` holds what was read in this round; figures from before the last assembly are not filled in.
    """

    def __init__(
        self, *args: Any, lines: tuple[ReadingLine, ...], known: Mapping[str, float], **kwargs: Any
    ) -> None:
        self.lines = lines
        kwargs["initial"] = {f"at_{slug}": value for slug, value in known.items()}
        super().__init__(*args, **kwargs)
        for line in lines:
            self.add(
                f"at_{line.line.slug}",
                forms.FloatField(
                    label=line.line.label,
                    help_text=limits(line.line.least, line.line.most, line.line.unit),
                    widget=forms.TextInput(
                        attrs={"class": "w-8", "inputmode": "decimal", "autocomplete": "off"}
                    ),
                    error_messages={"invalid": _("Enter “%s” as a number, like 2.5") % line.line.label},
                ),
                named=f"“{line.line.label}”",
            )

    def readings(self) -> dict[str, float]:
        """Return the figures that were read, by the slug of their line."""
        return {line.line.slug: self.cleaned_data[f"at_{line.line.slug}"] for line in self.lines}


class HoldForm(JobForm):
    """Stop the job until something arrives."""

    named = {"expected_on": _("the day on which it is expected to end"), "reason": _("the reason")}

    hold = forms.ChoiceField(
        label=_("What does it wait for?"),
        choices=[(kind.value, HOLD_LABELS[kind]) for kind in HoldKind],
        widget=forms.RadioSelect(attrs={"class": "across"}),
    )
    reason = forms.CharField(
        label=_("The reason, as the customer will read it"),
        help_text=_(
            "Where it waits for the customer's answer, write the question: it goes to them by mail, and they "
            "answer it on their page."
        ),
        max_length=240,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    expected_on = DayField(
        label=_("Expected to end on"),
        required=False,
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_expected_on(self) -> date | None:
        """Return the day, which cannot have passed: the customer would read it as a promise."""
        expected: date | None = self.cleaned_data["expected_on"]
        if expected is not None and expected < self.today:
            raise forms.ValidationError(
                _("Enter today or a later day as the end of the hold, or leave it empty")
            )
        return expected


class NamelessHoldForm(HoldForm):
    """Stop a job whose customer nobody knows: nobody can be asked, so it waits for no answer."""

    hold = forms.ChoiceField(
        label=_("What does it wait for?"),
        help_text=_(
            "Nobody's name is known yet, so nobody can be asked: it cannot wait for the customer's answer. "
            "Find its booking first."
        ),
        choices=[(kind.value, HOLD_LABELS[kind]) for kind in HoldKind if kind is not HoldKind.ANSWER],
        widget=forms.RadioSelect(attrs={"class": "across"}),
    )
    reason = forms.CharField(
        label=_("The reason"),
        help_text=_("The customer reads it once the booking is found."),
        max_length=240,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class ExtraWorkForm(JobForm):
    """Lines with a price each, and how many working days they add."""

    def __init__(self, *args: Any, count: int = LINES_LEAST, **kwargs: Any) -> None:
        self.count = min(max(count, LINES_LEAST), LINES_MOST)
        super().__init__(*args, **kwargs)
        rows = []
        self.leading_signs = {f"price_{at}": "£" for at in range(self.count)}
        for at in range(self.count):
            number = at + 1
            self.add(
                f"text_{at}",
                forms.CharField(label=_("Work %d") % number, required=False, max_length=160),
                named=_("the text of work %d") % number,
            )
            self.add(
                f"price_{at}",
                PoundsField(
                    label=_("Price %d, in pounds") % number,
                    required=False,
                    max_value=9999,
                    error_messages={
                        "invalid": _("Enter the price of work %d as a number, like 24.50") % number
                    },
                ),
                named=_("the price of work %d") % number,
            )
            rows.append(Row(f"text_{at}", f"price_{at}", css_class="priced"))
        self.add(
            "days",
            forms.IntegerField(
                label=_("Working days more"),
                min_value=0,
                max_value=200,
                initial=0,
                widget=forms.TextInput(attrs={"class": "w-4", "inputmode": "numeric"}),
            ),
            named=str(_("the number of working days more")),
        )
        self.add("lines", forms.IntegerField(widget=forms.HiddenInput, initial=self.count, required=False))
        self.helper.layout = Layout("seen", "lines", *rows, "days")
        self.helper.one_of_these = ("text_0", "price_0")

    def clean(self) -> dict[str, Any]:
        """Ask for the missing half of a line, and for one line at the least."""
        given: dict[str, Any] = super().clean() or {}
        for at in range(self.count):
            text, price = given.get(f"text_{at}"), given.get(f"price_{at}")
            if text and price is None and f"price_{at}" not in self.errors:
                self.add_error(f"price_{at}", _("Enter the price of “%s”") % text)
            if price is not None and not text and f"text_{at}" not in self.errors:
                self.add_error(f"text_{at}", _("Enter what is done for this price"))
        if not self.errors and not self.extra_lines():
            self.add_error("text_0", _("Enter at least one line with what is to be done"))
        return given

    def extra_lines(self) -> tuple[ExtraLine, ...]:
        """Return the lines that were filled in."""
        given = self.cleaned_data
        return tuple(
            ExtraLine(text=given[f"text_{at}"], price_pence=pence(given[f"price_{at}"]))
            for at in range(self.count)
            if given.get(f"text_{at}") and given.get(f"price_{at}") is not None
        )


class DecisionForm(JobForm):
    """The customer's yes or no, given on the phone, and how it was given."""

    named = {"decision": _("yes or no"), "note": _("who said it and how")}

    decision = forms.ChoiceField(
        label=_("What did the customer say?"),
        choices=[("approved", _("Yes, do it")), ("declined", _("No, leave it"))],
        widget=forms.RadioSelect(attrs={"class": "across"}),
    )
    note = forms.CharField(
        label=_("Who said it, and how"),
        max_length=300,
        help_text=_("Such as: Mrs Thornby herself, on the phone at 10:20."),
    )


def pence(pounds: Decimal) -> int:
    """Return an amount of pounds in pence."""
    return int((pounds * 100).to_integral_value())
