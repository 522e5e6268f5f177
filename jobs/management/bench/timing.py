"""How long does something take here, and how does that grow? Medians of one run, shown beside each other.

CPython 3.11 keeps the frames of its calls in pieces of 16 kB (`DATA_STACK_CHUNK_SIZE` in its source): a loop
that happens to call over the edge of one takes a piece from the system and gives it back at every turn. The
same page then costs 33 ms or 65, by nothing but how deep its caller stands. So each repeat stands at another
depth, spread over one piece, and the median is that of a usual depth, as a web server's is.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import median
from time import perf_counter

FRAMES_OF_A_PIECE = 130  # of `_time_ms`, whose frame is about 125 bytes; measured, not published


@dataclass(frozen=True, slots=True)
class Timing:
    """Milliseconds of one call: the middle of all, and what 19 in 20 stay below."""

    median_ms: float
    p95_ms: float


def measure(task: Callable[[], object], *, repeats: int, clock: Callable[[], float] = perf_counter) -> Timing:
    """Return the timing of `repeats` calls after one that warms up caches and is not counted.

    Each call stands at another depth of the stack (see the top of this module). With `process_time` as the
    clock, what else the machine does at the time hardly counts.
    """
    task()
    times_ms = []
    for repeat in range(repeats):
        times_ms.append(_time_ms(task, clock=clock, frames_deeper=repeat * FRAMES_OF_A_PIECE // repeats))
    times_ms.sort()
    return Timing(
        median_ms=median(times_ms), p95_ms=times_ms[min(len(times_ms) - 1, len(times_ms) * 19 // 20)]
    )


def _time_ms(task: Callable[[], object], *, clock: Callable[[], float], frames_deeper: int) -> float:
    """Return the milliseconds of one call of `task`, from under so many frames more."""
    if frames_deeper:
        return _time_ms(task, clock=clock, frames_deeper=frames_deeper - 1)
    began = clock()
    task()
    return (clock() - began) * 1000


def lay_out(heads: Sequence[str], *, rows: Sequence[Sequence[str]]) -> str:
    """Return a table in plain text, the first column on the left and figures on the right."""
    widths = [max(len(row[at]) for row in (heads, *rows)) for at in range(len(heads))]
    lines = [
        "  ".join(
            cell.ljust(width) if at == 0 else cell.rjust(width) for at, (cell, width) in enumerate(pairs)
        )
        for pairs in (list(zip(row, widths, strict=True)) for row in (heads, *rows))
    ]
    return "\n".join([lines[0], "-" * len(lines[0]), *lines[1:]])


def growth(amount: float, *, first: float) -> str:
    """Return how many times as much as the first measured one.

    >>> growth(30.0, first=12.0)
    '2.5 x'
    """
    return f"{amount / first:.1f} x" if first > 0 else "-"
