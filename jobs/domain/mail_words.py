"""Which words in braces may the owner write into a mail text, and what do they become?"""

import re
from collections.abc import Mapping

from jobs.domain.shop import MessageText

PLACES = ("number", "shop")
"""What a mail fills in: the job's number and the shop's name."""
WITHOUT_JOB = frozenset({"draft_link", "sign_in"})
"""Mails that are about no job, so that there is no number to fill in."""
PARTS = ("subject", "opening", "closing")
_BRACES = re.compile(r"\{([^{}]*)\}")


def fill_words(text: str, *, words: Mapping[str, str]) -> str:
    """Return the text with every known word in braces replaced.

    >>> fill_words("{number} is clear to send", words={"number": "482 109-5"})
    '482 109-5 is clear to send'
    """
    for name, value in words.items():
        text = text.replace("{" + name + "}", value)
    return text


def find_text_problems(text: MessageText) -> tuple[tuple[str, str], ...]:
    """Return (part, sentence) for every word in braces that would stand in the mail as it was typed."""
    known = [name for name in PLACES if name != "number" or text.slug not in WITHOUT_JOB]
    allowed = " and ".join("{" + name + "}" for name in known)
    return tuple(
        (part, f"“{{{name}}}” is not filled in by this mail. Write {allowed}, or leave the braces out.")
        for part in PARTS
        for name in dict.fromkeys(_BRACES.findall(getattr(text, part)))
        if name not in known
    )
