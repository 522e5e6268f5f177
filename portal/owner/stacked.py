"""Where do the parts of stacked bars go? Numbers in, frozen geometry out, nothing drawn.

Each bar is one row; its parts follow each other from zero, told apart by how densely they are hatched, and
named in a key above the bars. Lengths are units of the SVG's view box, as in `charts`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from portal.owner.axes import LETTER_WIDTH, TEXT_HEIGHT, ChartError, Tick, nice_ticks, plain_number
from portal.owner.charts import RIGHT_MARGIN, WIDTH

BAR_HEIGHT = 14.0
MOST_PARTS = 5


@dataclass(frozen=True, slots=True)
class Stack:
    """One bar to be drawn: its name and how much each part counts, in the order of the key."""

    label: str
    values: tuple[int, ...]

    @property
    def total(self) -> int:
        """The whole bar."""
        return sum(self.values)


@dataclass(frozen=True, slots=True)
class PartMark:
    """One drawn part: a rectangle and how densely it is hatched, 0 for not at all."""

    part: int
    x: float
    width: float


@dataclass(frozen=True, slots=True)
class StackMark:
    """One drawn bar: its parts, its name above it, its sum at its end."""

    stack: Stack
    name_y: float
    y: float
    parts: tuple[PartMark, ...]
    value_x: float
    value_y: float


@dataclass(frozen=True, slots=True)
class KeyMark:
    """One entry of the key: its place, its density, its words."""

    part: int
    words: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class StackedChart:
    """Stacked horizontal bars on one scale that starts at zero, and their key."""

    key: str
    title: str
    summary: str
    unit: str
    parts: tuple[str, ...]
    width: float
    height: float
    top: float
    bottom: float
    tick_y: float
    unit_y: float
    ticks: tuple[Tick, ...]
    marks: tuple[StackMark, ...]
    key_marks: tuple[KeyMark, ...]


def stacked_chart(
    stacks: Sequence[Stack], *, parts: Sequence[str], key: str, title: str, unit: str, width: float = WIDTH
) -> StackedChart:
    """Return stacked bars from zero, one row each, in the given order.

    Raises: ChartError for more than five parts, a count below zero, or a bar without a count for each part.
    """
    _check(stacks, parts=parts)
    key_marks, top = _place_key(parts, width=width)
    most = max((stack.total for stack in stacks), default=0)
    # Jobs are counted: no tick stands between two of them.
    values = [value for value in nice_ticks(0.0, float(most)) if value.is_integer()]
    scale = (width - RIGHT_MARGIN - len(str(most)) * LETTER_WIDTH - 10) / values[-1]
    marks: list[StackMark] = []
    y = top
    for stack in stacks:
        y += TEXT_HEIGHT + 2
        drawn: list[PartMark] = []
        x = 0.0
        for part, count in enumerate(stack.values):
            if count:
                drawn.append(PartMark(part, round(x, 2), round(count * scale, 2)))
                x += count * scale
        marks.append(StackMark(stack, y - 6, y, tuple(drawn), round(x + 6, 2), y + 12))
        y += BAR_HEIGHT + 8
    ticks = tuple(Tick(value, plain_number(value), round(value * scale, 2)) for value in values)
    return StackedChart(
        key, title, _summary(stacks, parts=parts, unit=unit), unit, tuple(parts), width, y + 42, top, y,
        y + 16, y + 36, ticks, tuple(marks), key_marks,
    )  # fmt: skip


def _check(stacks: Sequence[Stack], *, parts: Sequence[str]) -> None:
    if not 1 <= len(parts) <= MOST_PARTS:
        raise ChartError(f"{len(parts)} parts cannot be told apart by hatching; use 1 to {MOST_PARTS}.")
    for stack in stacks:
        if len(stack.values) != len(parts) or min(stack.values) < 0:
            raise ChartError(f"The bar “{stack.label}” needs {len(parts)} counts from zero upwards.")


def _place_key(parts: Sequence[str], *, width: float) -> tuple[tuple[KeyMark, ...], float]:
    """Return the entries of the key, wrapped into lines, and the height they end at."""
    marks: list[KeyMark] = []
    x, y = 0.0, 4.0
    for part, words in enumerate(parts):
        wide = 22 + len(words) * LETTER_WIDTH + 14
        if x and x + wide > width:
            x, y = 0.0, y + TEXT_HEIGHT + 2
        marks.append(KeyMark(part, words, round(x, 2), y))
        x += wide
    return tuple(marks), y + TEXT_HEIGHT + 4


def _summary(stacks: Sequence[Stack], *, parts: Sequence[str], unit: str) -> str:
    if not stacks:
        return _("No values.")
    lines = []
    for stack in stacks:
        said = ", ".join(
            f"{count} {words}" for words, count in zip(parts, stack.values, strict=True) if count
        )
        lines.append(
            _("%(label)s: %(total)d %(unit)s (%(parts)s).")
            % {"label": stack.label, "total": stack.total, "unit": unit, "parts": said or _("none")}
        )
    return " ".join(lines)
