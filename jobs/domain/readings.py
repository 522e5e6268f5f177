"""Has every line of the bench test been read since the unit was put together, and within its limits?"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jobs.domain.facts import ReadingsRecorded
from packing.catalogue.schema import TestLine


@dataclass(frozen=True, slots=True)
class ReadingGap:
    """What stands between the readings and a passed test: lines not read, lines outside their limits."""

    not_read: tuple[str, ...] = ()
    outside: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """What to do before this unit counts as tested; empty where nothing is missing."""
        if self.not_read:
            return (
                f"Enter the test readings first. Not read since it was assembled: {_quoted(self.not_read)}."
            )
        if self.outside:
            return (
                f"Outside the limits: {_quoted(self.outside)}. Read it again, or record that the test failed."
            )
        return ""


def find_reading_gap(lines: Sequence[TestLine], *, readings: ReadingsRecorded | None) -> ReadingGap:
    """Return what keeps the test from being passed; nothing for a model without test lines.

    `readings` are those of this round: taken since the unit was last assembled, or None.
    """
    read = readings.readings if readings else {}
    return ReadingGap(
        not_read=tuple(line.label for line in lines if line.slug not in read),
        outside=lines_outside(lines, readings=read),
    )


def lines_outside(lines: Sequence[TestLine], *, readings: Mapping[str, float]) -> tuple[str, ...]:
    """Return the labels of the lines whose reading lies outside the limits; on a limit is within."""
    return tuple(
        line.label
        for line in lines
        if line.slug in readings and not keeps_limits(line, reading=readings[line.slug])
    )


def keeps_limits(line: TestLine, *, reading: float) -> bool:
    """Return whether a reading lies within the line's limits, the limits themselves included."""
    return (line.least is None or reading >= line.least) and (line.most is None or reading <= line.most)


def _quoted(labels: Sequence[str]) -> str:
    return ", ".join(f"“{label}”" for label in labels)
