"""The job number: six digits and a Damm check digit, shown as `482 109-5`, never a letter.

The check digit comes from the totally anti-symmetric quasigroup of order 10 in H. M. Damm's thesis "Total
anti-symmetrische Quasigruppen" (Marburg, 2004): it finds every single wrong digit and every swap of two
neighbours, which together are most keying errors (Verhoeff, 1969). A number that fails is refused with the
likely corrections; it is never corrected in silence.
"""

import unicodedata
from collections.abc import Iterator

from jobs.domain.errors import JobsError

DIGITS = 7
SEQUENCE_MOST = 999_999

_QUASIGROUP = (
    "0317598642",
    "7092154863",
    "4206871359",
    "1750983426",
    "6123045978",
    "3674209581",
    "5869720134",
    "8945362017",
    "9438617205",
    "2581436790",
)
_READ_AS_DIGIT = {"O": "0", "Q": "0", "D": "0", "I": "1", "L": "1", "Z": "2", "S": "5", "G": "6", "B": "8"}
_ALIKE = ("17", "38", "68", "08", "56", "35", "89", "06", "49")


class JobNumberError(JobsError):
    """What was typed is not a job number; `corrections` are valid numbers it may stand for, likely first.

    There may be a dozen; a caller that knows which jobs exist can offer only those.
    """

    def __init__(self, sentence: str, *, corrections: tuple[str, ...] = ()) -> None:
        self.corrections = corrections
        super().__init__(sentence)


def check_digit(digits: str) -> str:
    """Return the Damm check digit of a string of ASCII digits.

    Source: Damm, 2004; worked example 572 to 4.

    >>> check_digit("572")
    '4'
    """
    interim = 0
    for digit in digits:
        interim = int(_QUASIGROUP[interim][int(digit)])
    return str(interim)


def make(sequence: int) -> str:
    """Return the job number of the `sequence`-th job. Range: 1 to 999999. Raises: JobNumberError.

    >>> make(482109)
    '4821095'
    """
    if not 1 <= sequence <= SEQUENCE_MOST:
        raise JobNumberError(f"Job numbers run from 1 to {SEQUENCE_MOST}, and {sequence} is outside.")
    digits = f"{sequence:06d}"
    return digits + check_digit(digits)


def show(number: str) -> str:
    """Return a job number as it is printed. Raises: JobNumberError unless it is seven digits.

    >>> show("4821095")
    '482 109-5'
    """
    if len(number) != DIGITS or not (number.isascii() and number.isdigit()):
        raise JobNumberError(f"“{number[:20]}” is not seven digits, so it cannot be shown as a job number.")
    return f"{number[:3]} {number[3:6]}-{number[6]}"


def parse(text: str) -> str:
    """Return the seven digits of a job number typed with or without spaces, dashes, dots or slashes.

    Raises: JobNumberError, with what to look at and the numbers that may be meant.

    >>> parse(" 482 109-5 ")
    '4821095'
    """
    compact = compact_of(text)
    if not compact:
        raise JobNumberError("Type the job number: seven digits, such as 482 109-5.")
    if not (compact.isascii() and compact.isdigit()):
        raise _has_letters(compact)
    if len(compact) == DIGITS - 1:
        raise JobNumberError(
            f"{compact} has six digits; a job number has seven. Type the digit after the dash as well."
        )
    if len(compact) != DIGITS:
        raise JobNumberError(
            f"{_short(compact)} has {len(compact)} digits; a job number has seven, such as 482 109-5."
        )
    if check_digit(compact) != "0" or compact.startswith("000000"):
        raise _fails_check(compact)
    return compact


def likely_corrections(digits: str) -> tuple[str, ...]:
    """Return the valid numbers one swap of neighbours, or one look-alike digit, away: swaps first."""
    found = dict.fromkeys((*_swapped(digits), *_mistaken(digits)))
    return tuple(number for number in found if check_digit(number) == "0" and not number.startswith("000000"))


def neighbours(digits: str) -> tuple[str, ...]:
    """Return every valid number one wrong digit or one swap of neighbours away, the likely ones first."""
    found = dict.fromkeys((*likely_corrections(digits), *_replaced(digits)))
    return tuple(number for number in found if check_digit(number) == "0" and not number.startswith("000000"))


def _replaced(digits: str) -> Iterator[str]:
    for at, digit in enumerate(digits):
        for other in "0123456789".replace(digit, ""):
            yield digits[:at] + other + digits[at + 1 :]


def _swapped(digits: str) -> Iterator[str]:
    for at in range(len(digits) - 1):
        yield digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :]


def _mistaken(digits: str) -> Iterator[str]:
    for at, digit in enumerate(digits):
        for pair in _ALIKE:
            if digit in pair:
                yield digits[:at] + pair.replace(digit, "") + digits[at + 1 :]


def _fails_check(digits: str) -> JobNumberError:
    likely = likely_corrections(digits)
    meant = f" It may be {' or '.join(map(show, likely[:4]))}." if likely else ""
    sentence = f"{show(digits)} is not a job number: a digit is wrong or two are swapped.{meant}"
    return JobNumberError(f"{sentence} Compare it with the slip.", corrections=neighbours(digits))


def _has_letters(compact: str) -> JobNumberError:
    digits = "".join(_READ_AS_DIGIT.get(sign, sign) for sign in compact)
    if len(digits) == DIGITS and digits.isdigit() and digits.isascii() and check_digit(digits) == "0":
        return JobNumberError(
            f"A job number has only digits. Read as digits this is {show(digits)}; compare it with the slip.",
            corrections=(digits,),
        )
    return JobNumberError(
        f"A job number has only digits, such as 482 109-5; “{_short(compact)}” has other signs."
    )


def compact_of(text: str) -> str:
    """Return letters and digits of `text`, upper case, digits of any script in ASCII.

    >>> compact_of(" ４８２ 109-5")
    '4821095'
    """
    plain = unicodedata.normalize("NFKC", text).upper()
    return "".join(
        str(unicodedata.digit(sign)) if sign.isdecimal() else sign for sign in plain if sign.isalnum()
    )


def _short(text: str) -> str:
    return text if len(text) <= 20 else f"{text[:20]}…"
