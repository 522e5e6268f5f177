"""What it costs to believe that one character was read as another, each cost with where it comes from.

The pairs come from published lists; no published *rates* for stamped metal read by people were found, so the
three cost steps are our own proposal, to be tuned on the shop's corrections. Costs are whole tenths, so that
sums and the limits they meet are exact.

Sources of the pairs:
- OCR: an industrial character reader's manual lists 0-O, 1-I, 2-Z, 5-S and 8-B as its five worst pairs.
- PLATE: a paper on reading number plates adds D-O, Q-O, C-G, 3-8, 6-8, 5-3, 0-8, A-4, E-F, P-R, V-U and
  others.
- ISMP: "Misidentification of Alphanumeric Symbols" (Institute for Safe Medication Practices) lists l-1, O-0,
  L-I and Z-2 among confusions in handwriting and print.
- MEMORY: in common use, no published source at hand.
Letters that vehicle identification numbers leave out for the same reason: I, O and Q (49 CFR 565).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations

from packing.identify.normalise import UNREADABLE

LOOK_ALIKE_TENTHS = 2
WORN_ALIKE_TENTHS = 4
UNREADABLE_TENTHS = 4
SWAP_TENTHS = 6
CHANGE_TENTHS = 10
GAP_TENTHS = 10


class PairSource(StrEnum):
    """Where a confusable pair is listed; the module docstring names each source in full."""

    OCR = "industrial character reader's manual"
    PLATE = "paper on reading number plates"
    ISMP = "ISMP, Misidentification of Alphanumeric Symbols"
    MEMORY = "from memory, no published source"


@dataclass(frozen=True, slots=True)
class ConfusablePair:
    """Two characters taken for each other, the cost of believing it, and where the pair is listed."""

    first: str
    second: str
    cost_tenths: int
    source: PairSource


def _group(
    characters: str, *, cost_tenths: int, sources: Mapping[str, PairSource]
) -> tuple[ConfusablePair, ...]:
    return tuple(
        ConfusablePair(one, two, cost_tenths, sources.get(one + two, PairSource.MEMORY))
        for one, two in combinations(characters, 2)
    )


def _pairs(text: str, *, cost_tenths: int, source: PairSource) -> tuple[ConfusablePair, ...]:
    return tuple(ConfusablePair(pair[0], pair[1], cost_tenths, source) for pair in text.split())


PAIRS: tuple[ConfusablePair, ...] = (
    *_group(
        "0ODQ",
        cost_tenths=LOOK_ALIKE_TENTHS,
        sources={"0O": PairSource.OCR, "OD": PairSource.PLATE, "OQ": PairSource.PLATE},
    ),
    *_group(
        "1IL",
        cost_tenths=LOOK_ALIKE_TENTHS,
        sources={"1I": PairSource.OCR, "1L": PairSource.ISMP, "IL": PairSource.ISMP},
    ),
    *_pairs("5S 8B 2Z", cost_tenths=LOOK_ALIKE_TENTHS, source=PairSource.OCR),
    *_pairs("6G", cost_tenths=LOOK_ALIKE_TENTHS, source=PairSource.MEMORY),
    *_pairs("38 68 08 35 CG EF UV PR 4A", cost_tenths=WORN_ALIKE_TENTHS, source=PairSource.PLATE),
    *_pairs("17 56 89 06 3B 9P MN VY", cost_tenths=WORN_ALIKE_TENTHS, source=PairSource.MEMORY),
)

_COST_TENTHS: Mapping[tuple[str, str], int] = {
    key: pair.cost_tenths for pair in PAIRS for key in ((pair.first, pair.second), (pair.second, pair.first))
}


def change_cost_tenths(read: str, *, stamped: str) -> int:
    """Return the cost, in tenths, of believing that `stamped` was read as `read`; 0 when they are the same.

    >>> change_cost_tenths("O", stamped="0"), change_cost_tenths("1", stamped="7")
    (2, 4)
    >>> change_cost_tenths("K", stamped="0")
    10
    """
    if read == stamped:
        return 0
    if read == UNREADABLE:
        return UNREADABLE_TENTHS
    return _COST_TENTHS.get((read, stamped), CHANGE_TENTHS)
