"""Words that may never be said to a customer, because following them can hurt people or ruin the unit.

Old gaskets can hold asbestos, petrol vapour burns, a magneto loses its magnetism when it is opened: so no
strip list tells anyone to scrape, sand, brush or blast, to heat, to blow out, or to open a magneto. The check
reads clauses: a dangerous word passes only where its own clause begins by forbidding it ("Never scrape ...")
or states what the act does ("Opening it weakens the magnets").
"""

import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Danger:
    """One thing a customer is never told to do: the words that tell it, and what to do instead."""

    words: re.Pattern[str]
    sentence: str


def _words(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{pattern})\b", re.IGNORECASE)


ABRASION = Danger(
    words=_words(
        r"scrap(?:e|es|ed|ing)|scraper|sand(?:s|ed|ing)?|sandpaper|emery|wire[- ]?(?:brush\w*|wool)"
        r"|(?:sand|bead|grit|media)?-?blast(?:s|ed|ing|er)?|grind(?:s|ing|er)?|scour(?:s|ed|ing)?"
        r"|fil(?:e|es|ed|ing) (?:off|down|flat)"
    ),
    sentence="tells the customer to abrade; leave gaskets and deposits, they can hold asbestos or lead.",
)
HEAT = Danger(
    words=_words(
        r"heat(?:s|ed|ing)?(?! (?:insulator|shield|spacer|stove|riser|tube|pipe|exchanger))|hair ?-?dryer"
        r"|oven|bak(?:e|es|ed|ing)|blow ?lamp|blow ?torch|warm(?:s|ed|ing)? (?:it|the unit|up)|boil\w*"
    ),
    sentence="tells the customer to heat; fuel vapour burns, so air the unit outdoors instead.",
)
BLOWING = Danger(
    words=_words(r"(?<!a )(?<!no )blow(?:s|n|ing)?|blew|compressed air|air ?-?(?:line|gun)"),
    sentence="tells the customer to blow out; that throws fibre and fuel about, so drain and air instead.",
)
OPENING = Danger(
    words=_words(
        r"open(?:s|ed|ing)?(?! (?:air|end|port|ports))|dismantl\w*|disassembl\w*"
        r"|(?:take|taking|remov\w+|lift\w*|draw\w*|pull\w*)(?: \w+)*? "
        r"(?:rotor|armature|magnets?|end plate|end cover|impulse coupling)"
        r"|(?:take|taking|pull\w*|strip\w*)(?: \w+)*? apart"
    ),
    sentence="tells the customer to open a magnetised unit; send it closed, opening it weakens the magnets.",
)
ALWAYS = (ABRASION, HEAT, BLOWING)

_CLAUSE_ENDS = re.compile(
    r"[.;:!?\n]|(?<!\w)[–—](?!\w)"
    r"|\b(?:but|then|instead|until|unless|once|after|before|when|while|because|since)\b",
    re.IGNORECASE,
)
_FORBIDS = re.compile(
    r"^\W*(?:(?:and|so)\s+)?(?:never(?! mind)|do not|don['’]t|must not|no|nobody|without|not)\b",
    re.IGNORECASE,
)
_STATES = re.compile(
    r"^\W*\w+ing\b[^,]*\b(?:can|may|weakens|sets|throws|spoils|ruins|breaks|bends|lets|makes|loses)\b",
    re.IGNORECASE,
)


def dangers_in(text: str, *, magnetised: bool) -> tuple[str, ...]:
    """Return one sentence for each dangerous thing that `text` tells a customer to do.

    Source: common practice, no published source; the reasons are in the module docstring.

    >>> dangers_in("Never scrape the gasket.", magnetised=False)
    ()
    >>> len(dangers_in("Never mind the dirt; scrape the gasket.", magnetised=False))
    1
    """
    dangers = (*ALWAYS, OPENING) if magnetised else ALWAYS
    return tuple(danger.sentence for danger in dangers if _tells(text, danger=danger))


def _tells(text: str, *, danger: Danger) -> bool:
    clauses = _CLAUSE_ENDS.split(text)
    harmless = (_FORBIDS, _STATES)
    return any(
        danger.words.search(clause) and not any(pattern.search(clause) for pattern in harmless)
        for clause in clauses
    )
