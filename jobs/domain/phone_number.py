"""What of a phone number as typed is dialled, and what is asked for once somebody answers."""

import re

_EXTENSION = re.compile(
    r"(?:[\s,;]*(?<![a-z])(?:extension|extn?|ext|x)\.?[\s:]*|\s*#\s*)\d{1,8}\s*$", re.IGNORECASE
)
LOCAL_LEAST = 6
EXTENSION_SIGNS = ("x", "#")
"""Every way of writing an extension holds one of these, and no phone number holds one elsewhere."""
EXTENSION_BEGINS = ("e", "x", "#")
"""What stands behind the number itself once spaces and punctuation are taken out."""


def without_extension(typed: str) -> str:
    """Return a phone number as it was typed, without its extension.

    >>> [without_extension(typed) for typed in ("01632 960144 ext. 12", "01632 960144x12", "01632 960144")]
    ['01632 960144', '01632 960144', '01632 960144']
    """
    return _EXTENSION.sub("", typed, count=1).strip()


def looked_for_end(typed: str) -> str:
    """Return the digits a phone number ends with, kept with its country's code or without.

    A code has one to three digits and no sign says which, so three are left out.

    >>> [looked_for_end(typed) for typed in ("01632 960144", "+44 1632 960144", "0144")]
    ['1632960144', '632960144', '144']
    """
    digits = "".join(sign for sign in typed if sign.isdigit())
    code_begins = typed.startswith("+") or digits.startswith("00")
    shorter = digits.lstrip("0")
    return shorter[3:] if code_begins and len(shorter) > 3 + LOCAL_LEAST else shorter or digits
