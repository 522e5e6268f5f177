"""The inspection as it is being written: the form, its rows of damage, and a tap on a photo as a new row.

Nothing is stored between two pages: every button of the page sends the whole form, and the page comes back
with everything typed, one row more or less. So it works without a script, by keyboard, and by tapping.
"""

import re
from dataclasses import dataclass, replace
from typing import Any

from django.http import QueryDict
from django.utils.translation import gettext as _

from jobs.domain.attribution import Attribution
from jobs.domain.condition import ArrivalGrade, CartonState, PackingFound
from jobs.models import Photo
from jobs.selectors import receiving
from jobs.selectors.answering import see_booking
from jobs.selectors.bench import JobAtBench
from jobs.selectors.receiving import ArrivalSeen
from jobs.services.arrivals import Inspection
from packing import selectors as catalogue
from portal.shared.forms import SummaryError
from portal.workshop.forms.arrival import InspectionForm
from portal.workshop.forms.marks import MarkForm
from portal.workshop.forms.staff import typed_values
from portal.workshop.marks_drawn import CAUSE_WORDS
from portal.workshop.pages import photo_url

ROWS_MOST = 12
PLACE_PX = 272  # the width at which a photo to tap on is drawn without a script
COMPLETE = (ArrivalGrade.COMPLETE.value, ArrivalGrade.COMPLETE_WITH_DAMAGE.value)
_TAP = re.compile(r"place-([0-9]{1,18})\.x")


@dataclass(frozen=True, slots=True)
class MarkSpot:
    """A mark drawn on a photo: its number, and where, in pixels of the drawn photo."""

    number: int
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class PlacingPhoto:
    """A photo to tap on, with the marks that lie on it already."""

    pk: int
    url: str
    name: str
    width_px: int
    height_px: int
    spots: tuple[MarkSpot, ...]


@dataclass(frozen=True, slots=True)
class MarkRow:
    """One row of damage with its place in the form and, once it can be told, where it was made."""

    number: int
    index: int
    form: MarkForm
    judged: Attribution | None

    @property
    def cause_words(self) -> str:
        """Where it was made, in words."""
        return str(CAUSE_WORDS[self.judged.cause.value]) if self.judged else ""


@dataclass(frozen=True, slots=True)
class InspectionSheet:
    """The whole form; `is_draft` pages show no errors, `is_sent` ones go to the service.

    `is_folded` while no mark was begun: the one row there is stands behind “Add a mark”.
    """

    form: InspectionForm
    rows: tuple[MarkRow, ...]
    photos: tuple[PlacingPhoto, ...]
    arrival: ArrivalSeen | None
    is_draft: bool
    is_sent: bool
    is_folded: bool = False

    @property
    def count(self) -> int:
        """How many rows the page has."""
        return len(self.rows)

    def inspection(self) -> Inspection:
        """Return the inspection as the service takes it."""
        given = self.form.cleaned_data
        carton, packing = arrival_words(self.arrival)
        return Inspection(
            grade=given["grade"],
            number_read=given["number_read"],
            unit_model=given["unit_model"],
            contents_found=self.form.contents_found(),
            contents_missing=self.form.contents_missing(),
            marks=tuple(
                row.form.entry(carton=carton, packing=packing) for row in self.rows if not row.form.is_blank()
            ),
            note=given["note"],
        )

    def summary_errors(self) -> tuple[SummaryError, ...]:
        """Return the errors of the form and of its rows."""
        if self.is_draft:
            return ()
        listed = [*self.form.summary_errors()]
        for row in self.rows:
            listed += row.form.summary_errors()
        return tuple(listed)


def read_sheet(data: QueryDict | None, *, seen: JobAtBench) -> InspectionSheet:
    """Return the sheet as it stands: fresh, with one row more or less, checked, or ready to be sent."""
    maker = _Maker(seen)
    if data is None:
        return replace(maker.draft(maker.form(None), rows=[maker.row(None, at=0)]), is_folded=True)
    count = min(max(_whole(data.get("marks", "1")), 0), ROWS_MOST)
    change = _change_of(data)
    if change is not None:
        rows = [maker.kept_row(data, at=at) for at in range(count) if f"drop-{at}" not in data]
        is_begun = change == "add" or bool(_TAP.fullmatch(change))
        if is_begun:
            rows = [row for row in rows if row] + [_tapped(data)]
        drafted = maker.draft(
            maker.kept_form(data),
            rows=[maker.row(None, at=at, initial=row) for at, row in enumerate(rows[:ROWS_MOST] or [{}])],
        )
        return replace(drafted, is_folded=not is_begun and not any(rows))
    return maker.checked(data, count=count)


def arrival_words(arrival: ArrivalSeen | None) -> tuple[str, str]:
    """Return the state of carton and packing; an older record in other words counts as sound."""
    carton = arrival.carton_state if arrival else ""
    packing = arrival.packing_found if arrival else ""
    return (
        carton if carton in set(CartonState) else CartonState.SOUND.value,
        packing if packing in set(PackingFound) else PackingFound.SUSPENDED.value,
    )


class _Maker:
    """Makes the forms of one job's inspection."""

    def __init__(self, seen: JobAtBench) -> None:
        self.seen = seen
        self.zones = seen.family.zones if seen.family else (_("whole unit"),)
        self.arrival = receiving.arrival_seen(seen.entries)
        ready = [photo for photo in receiving.shop_photos(seen.job) if photo.state == "ready"]
        self.photos = [photo for photo in ready if photo.role == "item"] or ready
        self.photo_choices = [
            (photo.pk, _("Photo %(at)d: %(name)s") % {"at": at, "name": photo.caption or photo.shot})
            for at, photo in enumerate(self.photos, 1)
        ]
        booked = see_booking(seen.job)
        models = catalogue.catalogue().unit_models.values()
        near = {choice.slug for choice in booked.choices}
        ordered = sorted(
            models, key=lambda each: (each.slug not in near, each.family != seen.job.family, each.name)
        )
        self.model_choices = [(each.slug, each.name) for each in ordered]
        self.parts, self.at_home = receiving.expected_parts(seen.job), receiving.stays_home(seen.job)

    def form(self, data: QueryDict | None, *, initial: dict[str, Any] | None = None) -> InspectionForm:
        return InspectionForm(
            data,
            job=self.seen.job,
            parts=self.parts,
            at_home=self.at_home,
            models=self.model_choices,
            initial={"unit_model": self.seen.job.unit_model, **(initial or {})},
        )

    def kept_form(self, data: QueryDict) -> InspectionForm:
        return self.form(None, initial=typed_values(self.form(data)))

    def row(self, data: QueryDict | None, *, at: int, initial: dict[str, Any] | None = None) -> MarkForm:
        return MarkForm(
            data, prefix=f"mark-{at}", zones=self.zones, photos=self.photo_choices, initial=initial or {}
        )

    def kept_row(self, data: QueryDict, *, at: int) -> dict[str, Any]:
        typed = typed_values(self.row(data, at=at))
        named = ("zone", "damage_kind", "severity", "note", "photo", "x", "y")
        return typed if any(typed.get(name) for name in named) else {}

    def draft(self, form: InspectionForm, *, rows: list[MarkForm]) -> InspectionSheet:
        listed = tuple(MarkRow(at + 1, at, row, None) for at, row in enumerate(rows))
        return InspectionSheet(form, listed, self.placing(rows), self.arrival, is_draft=True, is_sent=False)

    def checked(self, data: QueryDict, *, count: int) -> InspectionSheet:
        form, rows = self.form(data), [self.row(data, at=at) for at in range(count)]
        valid = all([form.is_valid(), *(row.is_valid() for row in rows)])
        if valid:
            _contradict(form, rows=rows)
        carton, packing = arrival_words(self.arrival)
        listed = tuple(
            MarkRow(
                at + 1,
                at,
                row,
                row.judge(carton=carton, packing=packing) if row.is_valid() and not row.is_blank() else None,
            )
            for at, row in enumerate(rows)
        )
        is_sent = valid and not form.errors and "save" in data
        is_draft = valid and not form.errors
        return InspectionSheet(
            form,
            listed,
            self.placing(rows),
            self.arrival,
            is_draft=is_draft,
            is_sent=is_sent,
            is_folded=len(rows) == 1
            and rows[0].is_valid()
            and rows[0].is_blank()
            and "grade" not in form.errors,
        )

    def placing(self, rows: list[MarkForm]) -> tuple[PlacingPhoto, ...]:
        return tuple(
            _placing(photo, name=name, rows=rows)
            for photo, (_pk, name) in zip(self.photos, self.photo_choices, strict=True)
        )


def _contradict(form: InspectionForm, *, rows: list[MarkForm]) -> None:
    """Add as errors what cannot be true together, and a number that fits badly until it is confirmed."""
    # A copy: a field that gets an error leaves the form's own answers.
    given, missing = dict(form.cleaned_data), form.contents_missing()
    doubt, _found, _named = receiving.compare_number(given["number_read"], unit_model=given["unit_model"])
    if doubt and not given["sure"]:
        form.add_error("unit_model", _("%s Choose that model, or tick that you looked twice.") % doubt)
    if given["grade"] in COMPLETE and missing:
        listed = ", ".join(missing)
        form.add_error(
            "grade", _("Not ticked as here: %s. Tick what is here, or choose an incomplete grade.") % listed
        )
    if given["grade"] == ArrivalGrade.COMPLETE.value and any(not row.is_blank() for row in rows):
        form.add_error(
            "grade", _("Damage is entered below: choose “Complete, with damage”, or empty the rows.")
        )
    if given["grade"] == ArrivalGrade.COMPLETE_WITH_DAMAGE.value and all(row.is_blank() for row in rows):
        form.add_error("grade", _("Say which damage: add a mark for it below, or choose “Complete”."))


def still_written(data: QueryDict) -> QueryDict:
    """Return what was sent as a sheet that is not finished: it comes back as typed and records nothing."""
    kept = data.copy()
    kept["look"] = "1"
    return kept


def _change_of(data: QueryDict) -> str | None:
    """Return which button that only changes the page was pressed, or None when the sheet itself was sent."""
    for key in data:
        if key in {"add", "look", "photos"} or key.startswith("drop-") or _TAP.fullmatch(key):
            return key
    return None


def _tapped(data: QueryDict) -> dict[str, Any]:
    """Return the row that a tap on a photo begins; by keyboard its place is typed in the row."""
    tap = next((found for found in map(_TAP.fullmatch, data) if found), None)
    if tap is None:
        return {}
    pk = tap.group(1)
    x_px, y_px = _whole(data.get(f"place-{pk}.x", "")), _whole(data.get(f"place-{pk}.y", ""))
    if data.get("share_x") and data.get("share_y"):
        return {"photo": pk, "x": data["share_x"][:5], "y": data["share_y"][:5]}
    photo = Photo(pk=int(pk), **_sides(data.get(f"sides-{pk}", "4x3")))
    if not x_px and not y_px:
        return {"photo": pk}
    height_px = _height_px(photo)
    return {
        "photo": pk,
        "x": f"{min(100 * x_px / PLACE_PX, 100):.1f}",
        "y": f"{min(100 * y_px / height_px, 100):.1f}",
    }


def _sides(text: str) -> dict[str, int]:
    width, _by, height = text.partition("x")
    return {"width_px": max(_whole(width), 1), "height_px": max(_whole(height), 1)}


def _height_px(photo: Photo) -> int:
    return max(1, round(PLACE_PX * (photo.height_px or 3) / (photo.width_px or 4)))


def _placing(photo: Photo, *, name: str, rows: list[MarkForm]) -> PlacingPhoto:
    height_px = _height_px(photo)
    spots = []
    for number, row in enumerate(rows, 1):
        values = {key: row[key].value() for key in ("photo", "x", "y")}
        try:
            on_it = str(values["photo"]) == str(photo.pk)
            x, y = float(values["x"] or "nan"), float(values["y"] or "nan")
        except ValueError:
            continue
        if on_it and 0 <= x <= 100 and 0 <= y <= 100:
            spots.append(MarkSpot(number, round(x * PLACE_PX / 100, 1), round(y * height_px / 100, 1)))
    return PlacingPhoto(photo.pk, photo_url(photo, size="page"), name, PLACE_PX, height_px, tuple(spots))


def _whole(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 7 else 0
