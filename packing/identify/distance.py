"""How far a number as read lies from a number as stamped, and which misreadings explain the difference.

Damerau-Levenshtein distance in its restricted form (optimal string alignment: a swapped pair is not changed
again) with the costs of `confusion.py`. Keying studies put omitted or added characters and adjacent swaps at
10-20 % of errors each (Verhoeff, 1969), so look-alikes alone would not do.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from packing.identify.confusion import GAP_TENTHS, SWAP_TENTHS, change_cost_tenths
from packing.identify.normalise import UNREADABLE


def distance_tenths(read: str, *, stamped: str, cutoff_tenths: int) -> int | None:
    """Return the weighted distance in tenths, or None when it exceeds `cutoff_tenths`.

    >>> distance_tenths("KV4O8IB", stamped="KV4081B", cutoff_tenths=16)
    4
    >>> distance_tenths("KV4O8IB", stamped="RX9", cutoff_tenths=16) is None
    True
    """
    return near(read, stamped=(stamped,), cutoff_tenths=cutoff_tenths).get(stamped)


def near(read: str, *, stamped: Iterable[str], cutoff_tenths: int) -> dict[str, int]:
    """Return the distance in tenths of each number in `stamped` that lies within `cutoff_tenths` of `read`.

    Numbers are walked in sorted order, so that those which begin alike share their work and those which begin
    hopelessly are skipped together. Only `cutoff_tenths // 10` cells beside the diagonal are computed,
    because each step off the diagonal costs one missing or added character.
    """
    band = cutoff_tenths // GAP_TENTHS
    beyond = cutoff_tenths + 1
    rows = [[GAP_TENTHS * at if at <= band else beyond for at in range(len(read) + 1)]]
    found: dict[str, int] = {}
    previous = hopeless = ""
    for number in sorted(set(stamped)):
        if abs(len(read) - len(number)) > band or (hopeless and number.startswith(hopeless)):
            continue
        shared = min(_shared_start(previous, number), len(rows) - 1)
        del rows[shared + 1 :]
        previous, hopeless = number, ""
        for row in range(shared + 1, len(number) + 1):
            rows.append(_next_row(rows, read=read, stamped=number[:row], band=band, beyond=beyond))
            if min(rows[-1]) > cutoff_tenths and min(rows[-2]) + SWAP_TENTHS > cutoff_tenths:
                hopeless = number[:row]
                break
        else:
            if rows[-1][-1] <= cutoff_tenths:
                found[number] = rows[-1][-1]
    return found


def _shared_start(one: str, two: str) -> int:
    shared = 0
    for first, second in zip(one, two, strict=False):
        if first != second:
            break
        shared += 1
    return shared


def _next_row(rows: list[list[int]], *, read: str, stamped: str, band: int, beyond: int) -> list[int]:
    """Return the row of the table that belongs to the last character of `stamped`."""
    row, above, sign = len(rows), rows[-1], stamped[-1]
    current = [beyond] * (len(read) + 1)
    if row <= band:
        current[0] = GAP_TENTHS * row
    for column in range(max(1, row - band), min(len(read), row + band) + 1):
        other = read[column - 1]
        cost = min(
            above[column - 1] + change_cost_tenths(other, stamped=sign),
            above[column] + GAP_TENTHS,
            current[column - 1] + GAP_TENTHS,
        )
        if _is_swap(stamped, read, row, column):
            cost = min(cost, rows[-2][column - 2] + SWAP_TENTHS)
        current[column] = cost
    return current


class Misreading(StrEnum):
    """One way in which a number as read differs from the number as stamped."""

    TAKEN_FOR = "taken_for"
    UNREADABLE = "unreadable"
    SWAPPED = "swapped"
    MISSING = "missing"
    ADDED = "added"


@dataclass(frozen=True, slots=True)
class Difference:
    """One misreading: what was read and what is stamped, either may be empty."""

    kind: Misreading
    read: str
    stamped: str


def differences(read: str, *, stamped: str) -> tuple[Difference, ...]:
    """Return a cheapest set of misreadings that turns `stamped` into `read`, from left to right.

    >>> [(each.read, each.stamped) for each in differences("KV4O8IB", stamped="KV4081B")]
    [('O', '0'), ('I', '1')]
    """
    table = _full_table(read, stamped)
    found: list[Difference] = []
    row, column = len(read), len(stamped)
    while row or column:
        here = table[row][column]
        sign, other = read[row - 1 : row], stamped[column - 1 : column]
        skipped = bool(column) and here == table[row][column - 1] + GAP_TENTHS
        if sign == UNREADABLE and skipped and other != sign:
            # Of equally cheap ways the end is missing: what wears off first is told before what was skipped.
            found.append(Difference(Misreading.MISSING, "", other))
            column -= 1
        elif row and column and here == table[row - 1][column - 1] + change_cost_tenths(sign, stamped=other):
            if sign != other:
                kind = Misreading.UNREADABLE if sign == UNREADABLE else Misreading.TAKEN_FOR
                found.append(Difference(kind, sign, other))
            row, column = row - 1, column - 1
        elif _is_swap(read, stamped, row, column) and here == table[row - 2][column - 2] + SWAP_TENTHS:
            found.append(Difference(Misreading.SWAPPED, read[row - 2 : row], stamped[column - 2 : column]))
            row, column = row - 2, column - 2
        elif skipped:
            found.append(Difference(Misreading.MISSING, "", other))
            column -= 1
        else:
            found.append(Difference(Misreading.ADDED, sign, ""))
            row -= 1
    return tuple(reversed(found))


def _is_swap(read: str, stamped: str, row: int, column: int) -> bool:
    if row < 2 or column < 2:
        return False
    return read[row - 2] == stamped[column - 1] and read[row - 1] == stamped[column - 2]


def _full_table(read: str, stamped: str) -> list[list[int]]:
    table = [[GAP_TENTHS * column for column in range(len(stamped) + 1)]]
    for row, sign in enumerate(read, 1):
        table.append([GAP_TENTHS * row])
        for column, other in enumerate(stamped, 1):
            cost = min(
                table[row - 1][column - 1] + change_cost_tenths(sign, stamped=other),
                table[row - 1][column] + GAP_TENTHS,
                table[row][column - 1] + GAP_TENTHS,
            )
            if _is_swap(read, stamped, row, column):
                cost = min(cost, table[row - 2][column - 2] + SWAP_TENTHS)
            table[row].append(cost)
    return table
