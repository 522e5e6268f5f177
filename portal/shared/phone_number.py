"""What is typed as a phone number: kept as it was typed, as long as somebody could ring it."""

import re
import unicodedata

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.domain.phone_number import without_extension

DIGITS_LEAST = 6
"""Fewer digits are a local number without its area; our own bound, lenient on purpose."""
DIGITS_MOST = 15
"""The longest international number, country code included."""
_CALLED_ABROAD = re.compile(r"^\W*(?:\+|00|011)")
_SIGNS = re.compile(r"\+?[\d\s().,/\-]+")


def is_plausible_number(typed: str) -> bool:
    """Return whether somebody could ring what was typed.

    Digits with spaces, brackets, points, commas, strokes and hyphens, a plus in front, an extension behind;
    letters stand only before an extension. From 6 to 15 digits, without the extension and without what is
    dialled to reach another country.

    Source: ITU-T E.164 (2010), 6.1: the international number has at most 15 digits. The least is our own.

    >>> [is_plausible_number(typed) for typed in ("+44 (0)1632 960-144 ext. 12", "abc", "12345")]
    [True, False, False]
    """
    # Digits of any script and typographic hyphens are read as the plain ones.
    plain = re.sub(r"[\u2010-\u2015\u2212]", "-", unicodedata.normalize("NFKC", typed)).strip()
    number = without_extension(plain)
    dialled = number.replace("(+", "+(", 1)
    if not _SIGNS.fullmatch(dialled):
        return False
    digits = re.sub(r"\D", "", _CALLED_ABROAD.sub("", dialled))
    return DIGITS_LEAST <= len(digits) <= DIGITS_MOST


def refuse_no_number(typed: str) -> None:
    """Raise a sentence that says how a number is written.

    Raises: ValidationError.
    """
    if not is_plausible_number(typed):
        raise ValidationError(
            _(
                "Enter the phone number in digits with its area code, like 01632 960 144 or "
                "+44 1632 960 144 ext. 12, or leave it empty"
            )
        )
