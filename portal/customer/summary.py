"""The answers of a booking as rows to check before they are sent, each with its way back."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from jobs.domain.booking import FLAG_LABELS, BookingAnswers, BookingStep, UnitFlag
from jobs.selectors import booking_help
from portal.customer.forms.booking import NUMBER_KINDS
from portal.customer.forms.contact import MEASURE_WORDS
from portal.customer.wording import WISH_WORDS, day_words
from portal.templatetags.portal_format import pence


@dataclass(frozen=True, slots=True)
class SummaryRow:
    """One answer as `_summary_list.html` draws it."""

    label: str
    value: str
    change_url: str
    what: str


def unit_rows(answers: BookingAnswers, *, photo_count: int, refused_count: int) -> tuple[SummaryRow, ...]:
    """Return the answers about the unit."""
    family = booking_help.families().get(answers.family)
    model = booking_help.unit_model(answers.unit_model)
    labels = {symptom.slug: symptom.label for symptom in family.symptoms} if family else {}
    flags = [FLAG_LABELS[UnitFlag(flag)] for flag in answers.flags]
    saved = ngettext("%d photo saved", "%d photos saved", photo_count) % photo_count if photo_count else ""
    lost = ngettext("%d could not be kept: look at it", "%d could not be kept: look at them", refused_count)
    return (
        _row(BookingStep.FAMILY, _("Kind of unit"), family.name if family else ""),
        _row(BookingStep.NUMBER, _("Number as you read it"), _number(answers)),
        _row(
            BookingStep.MODEL,
            _("Unit model"),
            model.name if model else _("Not known yet: the shop works it out"),
        ),
        _row(BookingStep.FITTED_TO, _("Fitted to"), answers.fitted_to),
        _row(
            BookingStep.SYMPTOMS,
            _("What is wrong"),
            "\n".join(
                (*(labels.get(slug, slug) for slug in answers.symptoms), *flags, answers.own_words)
            ).strip(),
        ),
        _row(BookingStep.PHOTOS, _("Photos"), _lines((saved, lost % refused_count if refused_count else ""))),
    )


def person_rows(
    answers: BookingAnswers, *, outdated: frozenset[str], now: datetime
) -> tuple[SummaryRow, ...]:
    """Return the answers about the person, the day and the money; `outdated` fields stay on file."""
    address = _lines((answers.name, answers.address_lines, answers.postal_code, answers.country))
    on_file = _("As we have it on file: it was changed after this booking was begun.")
    phone = on_file if "phone" in outdated else answers.phone
    measures = on_file if "unit_choice" in outdated else str(MEASURE_WORDS[answers.unit_choice])
    if outdated - {"phone", "unit_choice"}:
        address = on_file
    wish = booking_help.judge_wish(answers, now=now)
    limit_words = _("Ask me about every extra")
    if answers.spend_limit_pence:
        limit_words = _("Up to %s without asking") % pence(answers.spend_limit_pence)
    return (
        _row(BookingStep.CONTACT, _("Email address"), answers.email),
        _row(BookingStep.CONTACT, _("Phone number"), phone),
        _row(BookingStep.CONTACT, _("Goes back to"), address),
        _row(BookingStep.CONTACT, _("Measures shown first"), measures),
        _row(
            BookingStep.WISHES,
            _("Wished back by"),
            _lines((day_words(wish.wished_on), str(WISH_WORDS[wish.verdict]))) if wish else _("Any day"),
        ),
        _row(BookingStep.LIMIT, _("Extra work"), limit_words),
    )


def _number(answers: BookingAnswers) -> str:
    if not answers.number_as_read:
        return _("Cannot be read")
    kind = str(NUMBER_KINDS[answers.number_kind]) if answers.number_kind else ""
    return _lines((answers.number_as_read, answers.number_where, kind))


def _lines(parts: Iterable[str]) -> str:
    return "\n".join(part for part in parts if part)


def _row(step: BookingStep, label: str, value: str) -> SummaryRow:
    what = label[:1].lower() + label[1:]
    return SummaryRow(label, value, reverse(f"customer:book_{step.value}"), what)
