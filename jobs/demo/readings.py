"""What is read at the demo shop's test stand: figures within a model's limits, or one of them outside."""

from collections.abc import Sequence
from random import Random

from jobs.domain.facts import ReadingsRecorded
from jobs.domain.readings import lines_outside
from packing.catalogue.schema import TestLine


def good_readings(lines: Sequence[TestLine], *, dice: Random) -> ReadingsRecorded:
    """Return a reading within its limits for every line."""
    return _judged(lines, values={line.slug: _within(line, dice=dice) for line in lines})


def bad_readings(lines: Sequence[TestLine], *, dice: Random) -> ReadingsRecorded:
    """Return readings of which the first lies outside its limits; `lines` may not be empty."""
    values = {line.slug: _within(line, dice=dice) for line in lines}
    first = lines[0]
    beyond = first.most * 1.3 + 0.1 if first.most is not None else _least(first) * 0.7
    values[first.slug] = round(beyond, _decimals(first))
    return _judged(lines, values=values)


def _judged(lines: Sequence[TestLine], *, values: dict[str, float]) -> ReadingsRecorded:
    outside = lines_outside(lines, readings=values)
    return ReadingsRecorded(readings=values, passed=not outside, outside=outside)


def _within(line: TestLine, *, dice: Random) -> float:
    most = line.most if line.most is not None else _least(line) * 1.4
    least = line.least if line.least is not None else most * 0.6
    read = round(least + (most - least) * dice.uniform(0.2, 0.8), _decimals(line))
    return min(max(read, least), most)


def _decimals(line: TestLine) -> int:
    """Return how finely such a line is read: to a whole unit from a span of 20, to a tenth from one of 2."""
    limits = [limit for limit in (line.least, line.most) if limit is not None]
    span = max(limits) - min(limits) if len(limits) > 1 else max(limits, default=1.0)
    if span >= 20:
        return 0
    return 1 if span >= 2 else 2


def _least(line: TestLine) -> float:
    return line.least if line.least is not None else 1.0
