"""What of a phone number as typed is dialled, and what is asked for once somebody answers."""

import re

_EXTENSION = re.compile(
    r"(?:[\s,;]*(?<![a-z])(?:extension|extn?|ext|x)\.?[\s:]*|\s*#\s*)\d{1,8}\s*$", re.IGNORECASE
)
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
