"""What kind of parcel number is this, does its check digit fit, and which misreading would it hide.

A pass means plausible, never right, and a failure never stops anybody: the number is kept as it was typed and
the sentence says what to look at. Refusing a true number would do more harm than keeping a false one.

Sources: UPU S10 (weights 8 6 4 2 3 5 9 7, modulo 11); the rules of the 18-character "1Z" and the 12-digit
express numbers as published on answers.google.com thread 207899 and codeproject.com article 21224; weights 3
and 1 from the right for 20 and 22 digits as in GS1 numbers, their use by postal services from memory.
"""

import unicodedata
from dataclasses import dataclass
from enum import StrEnum

CARRIER_NUMBER_LEAST = 8


class TrackingKind(StrEnum):
    """The published numbering a parcel number follows, by its form alone."""

    S10 = "s10"
    ONE_Z = "one_z"
    EXPRESS_12 = "express_12"
    POSTAL_20_22 = "postal_20_22"
    UNKNOWN = "unknown"


class CheckResult(StrEnum):
    """Whether the check digit fits."""

    PASSES = "passes"
    FAILS = "fails"
    UNKNOWN = "unknown"


KIND_LABELS: dict[TrackingKind, str] = {
    TrackingKind.S10: "an international postal number (S10)",
    TrackingKind.ONE_Z: "an 18-character number that begins with 1Z",
    TrackingKind.EXPRESS_12: "a 12-digit express number",
    TrackingKind.POSTAL_20_22: "a 20 or 22-digit postal number",
    TrackingKind.UNKNOWN: "a number of a kind not known here",
}


@dataclass(frozen=True, slots=True)
class TrackingReading:
    """A parcel number as typed, its compact form, and how far it can be trusted."""

    raw: str
    kind: TrackingKind
    compact: str
    check: CheckResult
    sentence: str
    look_alike_warning: str = ""


def read_tracking(text: str) -> TrackingReading:
    """Return what can be told about a parcel number; no input is refused."""
    compact = _compact(text)
    kind = _kind(compact)
    if kind is TrackingKind.UNKNOWN:
        return TrackingReading(text, kind, compact, CheckResult.UNKNOWN, _unknown_sentence(compact))
    passes = _expected(compact, kind=kind) == _given(compact, kind=kind)
    if passes:
        sentence = f"It reads like {KIND_LABELS[kind]} and its check digit fits: plausible, not certain."
    else:
        sentence = (
            f"Its check digit does not fit {KIND_LABELS[kind]}: compare it with the receipt, above all "
            "3 and 8, 0 and O, 1 and I. It is kept as typed."
        )
    check = CheckResult.PASSES if passes else CheckResult.FAILS
    return TrackingReading(
        text, kind, compact, check, sentence, _warning(compact, kind=kind) if passes else ""
    )


def is_number_for_carrier(text: str) -> bool:
    """Return whether what stands in a carrier's name is a parcel number: eight signs or more, mostly digits.

    >>> is_number_for_carrier("1Z999AA10123456784"), is_number_for_carrier("Harbour Parcels 24")
    (True, False)
    """
    compact = _compact(text)
    digits = sum(sign.isdigit() for sign in compact)
    return len(compact) >= CARRIER_NUMBER_LEAST and digits * 2 > len(compact)


def s10_check_digit(serial: str) -> str:
    """Return the check digit of the eight serial digits of a UPU S10 number.

    C = 11 - (S mod 11), 10 becomes 0 and 11 becomes 5. Source: UPU S10, worked example 47312482 to 9.

    >>> s10_check_digit("47312482")
    '9'
    """
    check = 11 - _weighted(serial, weights=(8, 6, 4, 2, 3, 5, 9, 7)) % 11
    return str({10: 0, 11: 5}.get(check, check))


def one_z_check_digit(body: str) -> str:
    """Return the check digit of the fifteen characters after "1Z".

    Letters count as digits (A=2 to H=9, I=0, J=1 and on); odd positions once, even positions twice, up to
    the next multiple of ten.

    >>> one_z_check_digit("999AA1012345678")
    '4'
    """
    values = [int(sign) if sign.isdigit() else (ord(sign) - ord("A") + 2) % 10 for sign in body]
    return str(-(sum(values[0::2]) + 2 * sum(values[1::2])) % 10)


def express_12_check_digit(body: str) -> str:
    """Return the check digit of the first eleven digits: weights 3 1 7 repeating, modulo 11, 10 becomes 0.

    >>> express_12_check_digit("01234567898")
    '3'
    """
    return str(_weighted(body, weights=(3, 1, 7) * 4) % 11 % 10)


def postal_check_digit(body: str) -> str:
    """Return the modulo 10 check digit with weights 3 and 1 from the right, as in GS1 numbers."""
    return str(-_weighted(body[::-1], weights=(3, 1) * len(body)) % 10)


def _weighted(digits: str, *, weights: tuple[int, ...]) -> int:
    return sum(int(digit) * weight for digit, weight in zip(digits, weights, strict=False))


def _kind(compact: str) -> TrackingKind:
    if len(compact) == 18 and compact.startswith("1Z") and compact[-1].isdigit():
        return TrackingKind.ONE_Z
    if len(compact) == 13 and compact[:2].isalpha() and compact[2:11].isdigit() and compact[11:].isalpha():
        return TrackingKind.S10
    if compact.isdigit() and len(compact) == 12:
        return TrackingKind.EXPRESS_12
    if compact.isdigit() and len(compact) in {20, 22}:
        return TrackingKind.POSTAL_20_22
    return TrackingKind.UNKNOWN


def _given(compact: str, *, kind: TrackingKind) -> str:
    return compact[10] if kind is TrackingKind.S10 else compact[-1]


def _expected(compact: str, *, kind: TrackingKind) -> str:
    if kind is TrackingKind.S10:
        return s10_check_digit(compact[2:10])
    if kind is TrackingKind.ONE_Z:
        return one_z_check_digit(compact[2:-1])
    if kind is TrackingKind.EXPRESS_12:
        return express_12_check_digit(compact[:-1])
    return postal_check_digit(compact[:-1])


def _warning(compact: str, *, kind: TrackingKind) -> str:
    """Return which misreading the check digit of this very number would let through."""
    if kind is TrackingKind.ONE_Z:
        return _one_z_warning(compact)
    if kind is TrackingKind.S10 and compact[10] == "5":
        return "Check digit 5 stands for two remainders, so one wrong digit can pass: compare all digits."
    if kind is TrackingKind.EXPRESS_12 and compact[-1] == "0":
        return "Check digit 0 stands for two remainders, so one wrong digit can pass: compare all digits."
    return ""


def _one_z_warning(compact: str) -> str:
    """Even positions count twice modulo ten, so digits that differ by five look the same."""
    blind = [at for at, sign in enumerate(compact[2:-1], 1) if at % 2 == 0 and sign in "3849"]
    if not blind:
        return ""
    places = ", ".join(f"{compact[at + 1]} in place {at + 2}" for at in blind)
    return (
        f"A 3 read as 8, or a 4 read as 9, would pass unseen here: {places}. Compare these with the receipt."
    )


def _unknown_sentence(compact: str) -> str:
    if not compact:
        return "No number was typed; it can be added later."
    return "A number of this form is not known here, which does not make it wrong. It is kept as typed."


def _compact(text: str) -> str:
    """Return ASCII letters and digits of `text`, upper case; O stays O and 0 stays 0."""
    plain = unicodedata.normalize("NFKC", text).upper()
    digits = (str(unicodedata.digit(sign)) if sign.isdecimal() else sign for sign in plain)
    return "".join(sign for sign in digits if sign.isascii() and sign.isalnum())
