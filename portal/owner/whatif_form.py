"""What does the owner choose on the page “What if”? What is left alone changes nothing."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _t
from django.utils.translation import ngettext

from jobs.leadtime.changes import (
    Benches,
    Change,
    ChangeOfPeople,
    ClosedWeek,
    IntakeCapped,
    IntakePaused,
    JobFirst,
    OnePersonFewer,
    OnePersonMore,
    PersonAway,
    RunsPerWeek,
)
from jobs.leadtime.routes import LONGEST_ABSENCE
from jobs.selectors.comparisons import MOST_CHANGES, Frame, check_changes
from portal.shared.days import DayField
from portal.shared.forms import SheetForm
from portal.shared.long_select import LongSelect
from portal.templatetags.portal_format import job_number

WEEKS_OFFERED = 16
MOST_RUNS = 10
CAP_MOST = 999


def _day(label: Any) -> DayField:
    return DayField(label=label, required=False)


class WhatIfForm(SheetForm):
    """One or two changes to try; `changes` holds them after validation, in the order of the fields."""

    named = {
        "most_per_week": _t("the most units a week"),
        "pause_first": _t("the first day without intake"),
        "pause_last": _t("the last day without intake"),
        "away": _t("who is away"),
        "away_first": _t("the first day away"),
        "away_last": _t("the last day away"),
    }
    bench = forms.ChoiceField(label=_t("A bench"), required=False)
    person = forms.ChoiceField(label=_t("A person"), required=False)
    away = forms.ChoiceField(label=_t("Somebody away"), required=False)
    away_first = _day(_t("Away from"))
    away_last = _day(_t("until, that day included"))
    closed_week = forms.ChoiceField(label=_t("A closed week"), required=False)
    pause_first = _day(_t("No intake from"))
    pause_last = _day(_t("until, that day included"))
    most_per_week = forms.IntegerField(
        label=_t("At most so many units taken in a week"),
        required=False,
        min_value=0,
        max_value=CAP_MOST,
        widget=forms.NumberInput(attrs={"class": "w-8", "inputmode": "numeric"}),
    )
    job = forms.ChoiceField(label=_t("A job put first"), required=False, widget=LongSelect)
    runs = forms.ChoiceField(label=_t("How often a batch is run"), required=False)
    reference = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, frame: Frame, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.frame = frame
        self.changes: tuple[Change, ...] = ()
        self.initial.setdefault("reference", uuid4())
        for name, options in (
            ("bench", _bench_choices(frame)),
            ("person", _person_choices(frame)),
            ("away", [(each.slug, each.name) for each in frame.state.people]),
            ("closed_week", _week_choices(today)),
            ("job", _job_choices(frame)),
            ("runs", _run_choices(frame)),
        ):
            self.fields[name].choices = [("", _("as it is")), *options]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Turn what was chosen into changes, and try them on the shop without working it."""
        given: dict[str, Any] = super().clean() or {}
        chosen = list(self._chosen(given))
        if self.errors:
            return given
        if not chosen:
            raise forms.ValidationError(_("Choose one change, or two to try them together."))
        if len(chosen) > MOST_CHANGES:
            raise forms.ValidationError(
                _("%(count)d changes are chosen. Set some back to “as it is”: two can be tried together.")
                % {"count": len(chosen)}
            )
        for at, sentence in check_changes(self.frame, changes=[change for _name, change in chosen]):
            self.add_error(chosen[at][0], sentence)
        self.changes = tuple(change for _name, change in chosen)
        return given

    def _chosen(self, given: dict[str, Any]) -> Sequence[tuple[str, Change]]:
        chosen: list[tuple[str, Change]] = []
        if given.get("bench"):
            slug, more = given["bench"].rsplit(":", 1)
            chosen.append(("bench", Benches(slug, int(more))))
        if given.get("person"):
            kind, slug = given["person"].split(":", 1)
            person = OnePersonMore(slug) if kind == "more" else OnePersonFewer(slug)
            chosen.append(("person", person))
        chosen += self._absence(given)
        if given.get("closed_week"):
            chosen.append(("closed_week", ClosedWeek(date.fromisoformat(given["closed_week"]))))
        chosen += self._pause(given)
        if given.get("most_per_week") is not None:
            chosen.append(("most_per_week", IntakeCapped(given["most_per_week"])))
        if given.get("job"):
            chosen.append(("job", JobFirst(given["job"])))
        if given.get("runs"):
            slug, count = given["runs"].rsplit(":", 1)
            chosen.append(("runs", RunsPerWeek(slug, int(count))))
        return chosen

    def _pause(self, given: dict[str, Any]) -> Sequence[tuple[str, Change]]:
        first, last = given.get("pause_first"), given.get("pause_last")
        if first is None and last is None:
            return []
        if first is None or last is None:
            empty = "pause_last" if last is None else "pause_first"
            self.add_error(empty, _("Enter both days of the pause, or neither"))
            return []
        if last < first:
            self.add_error("pause_last", _("The pause ends before it begins: swap the days"))
            return []
        return [("pause_first", IntakePaused(first, last))]

    def _absence(self, given: dict[str, Any]) -> Sequence[tuple[str, Change]]:
        names = ("away", "away_first", "away_last")
        slug, first, last = (given.get(name) for name in names)
        if not (slug or first or last) or any(name in self.errors for name in names):
            return []
        if not (slug and first and last):
            empty = next(name for name in names if not given.get(name))
            self.add_error(empty, _("Say who is away, and enter both days, or none of the three"))
            return []
        if last < first:
            self.add_error("away_last", _("The absence ends before it begins: swap the days"))
            return []
        if last - first > LONGEST_ABSENCE:
            self.add_error("away_last", _("That is over a year: choose “without” under “A person” instead"))
            return []
        return [("away_first", PersonAway(slug, first, last))]

    @property
    def wanted_reference(self) -> UUID:
        """The reference the page was drawn with, so that a form sent twice asks once."""
        return self.cleaned_data.get("reference") or uuid4()


def initial_of(changes: Sequence[Change]) -> dict[str, Any]:
    """Return the fields as they stand for these changes."""
    initial: dict[str, Any] = {}
    for change in changes:
        match change:
            case Benches(slug, more):
                initial["bench"] = f"{slug}:{more}"
            case OnePersonMore() | OnePersonFewer() | PersonAway():
                initial |= _initial_of_people(change)
            case ClosedWeek(monday):
                initial["closed_week"] = monday.isoformat()
            case IntakePaused(first, last):
                initial |= {"pause_first": first, "pause_last": last}
            case IntakeCapped(most):
                initial["most_per_week"] = most
            case JobFirst(number):
                initial["job"] = number
            case RunsPerWeek(slug, runs):
                initial["runs"] = f"{slug}:{runs}"
    return initial


def _initial_of_people(change: ChangeOfPeople) -> dict[str, Any]:
    match change:
        case OnePersonMore(slug):
            return {"person": f"more:{slug}"}
        case OnePersonFewer(slug):
            return {"person": f"fewer:{slug}"}
        case PersonAway(slug, first, last):
            return {"away": slug, "away_first": first, "away_last": last}


Choices = list[tuple[str, str]]


def _bench_choices(frame: Frame) -> Choices:
    choices = []
    for centre in frame.state.centres:
        words = {"name": centre.name, "count": centre.benches}
        choices.append((f"{centre.slug}:1", _("one more at %(name)s, which has %(count)d") % words))
        choices.append((f"{centre.slug}:-1", _("one fewer at %(name)s, which has %(count)d") % words))
    return choices


def _person_choices(frame: Frame) -> Choices:
    people = frame.state.people
    more = [
        (f"more:{each.slug}", _("one more who does what %(name)s does") % {"name": each.name})
        for each in people
    ]
    fewer = [(f"fewer:{each.slug}", _("without %(name)s") % {"name": each.name}) for each in people]
    return [*more, *fewer]


def _week_choices(today: date) -> Choices:
    monday = today - timedelta(days=today.weekday())
    weeks = (monday + timedelta(weeks=at) for at in range(WEEKS_OFFERED))
    return [
        (week.isoformat(), _("the week of %(day)s") % {"day": date_format(week, "l j F Y")}) for week in weeks
    ]


def _job_choices(frame: Frame) -> Choices:
    return [
        (each.number, ", ".join(filter(None, (job_number(each.number), each.unit_words, each.customer_name))))
        for each in frame.choices
    ]


def _run_choices(frame: Frame) -> Choices:
    choices = []
    for centre in frame.state.centres:
        if centre.batch is None:
            continue
        now = frame.runs_now(centre)
        for count in range(1, MOST_RUNS + 1):
            words = ngettext(
                "%(name)s at least once a week", "%(name)s at least %(count)d times a week", count
            ) % {"name": centre.name, "count": count}
            if count == now:
                words = _("%(words)s, about as now") % {"words": words}
            choices.append((f"{centre.slug}:{count}", words))
    return choices
