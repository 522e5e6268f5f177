"""How a number as somebody read it becomes the compact form that is matched, with the raw text kept.

Only spacing and punctuation are dropped and only the case and the script of digits are changed. A letter is
never turned into a digit or back: O and 0 both stay as they were read.
"""

import unicodedata
from dataclasses import dataclass
from functools import lru_cache

UNREADABLE = "?"
_PUNCTUATION = frozenset(" -./\\_:,;'\"()[]#*+|")
_KEPT = frozenset("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ" + UNREADABLE)


@dataclass(frozen=True, slots=True)
class ReadNumber:
    """A number as read (`raw`), its matched form (`compact`), and other signs left out (`dropped`)."""

    raw: str
    compact: str
    dropped: str = ""


@lru_cache(maxsize=8192)
def normalise(number_as_read: str) -> ReadNumber:
    """Return the compact form: upper case, ASCII digits, no spaces, dashes, dots or slashes; "?" is kept.

    A "?" stands for one character that cannot be read. Signs that are neither letters, digits nor usual
    punctuation are left out of the compact form and listed in `dropped`.

    >>> normalise("kv 40–8ib").compact
    'KV408IB'
    >>> normalise("KV40?1B").compact
    'KV40?1B'
    """
    compact: list[str] = []
    dropped: list[str] = []
    for sign in unicodedata.normalize("NFKC", number_as_read).upper():
        plain = _plain_sign(sign)
        if plain in _KEPT:
            compact.append(plain)
        elif plain not in _PUNCTUATION and plain not in dropped:
            dropped.append(plain)
    return ReadNumber(raw=number_as_read, compact="".join(compact), dropped="".join(dropped))


def _plain_sign(sign: str) -> str:
    if sign.isdecimal():
        return str(unicodedata.digit(sign))
    category = unicodedata.category(sign)
    if category == "Pd" or sign in "−‐⁃":
        return "-"
    if category[0] in "ZC" or category in {"Pi", "Pf"} or sign in "·•…":
        return " "
    # An accent on a letter is a scratch or a keyboard's doing: the letter under it was read.
    return unicodedata.normalize("NFD", sign)[0] if category[0] == "L" else sign
