"""When one station serves its visits, for all replications at once.

Given when each visit is ready, the starts follow from a recursion over the visits in the order of service,
each step one numpy operation over the replications. Rows are visits in the order of their job numbers,
columns are replications; a visit that does not take place in a replication is ready at infinity.

Sources: D. V. Lindley 1952 (one bench: start = max(ready, last end)); J. Kiefer and J. Wolfowitz 1955
(several: the ends of the benches are kept in rising order, the next visit takes the first).
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from jobs.leadtime.floor import Array
from jobs.leadtime.routes import Batch

IntArray = npt.NDArray[np.int64]
BEGUN = -1  # the class of work that holds a bench at hour 0, in front of every other


def serve(
    ready: Array, service: Array, *, classes: Sequence[int], hands: int, batch: Batch | None
) -> tuple[Array, Array]:
    """Return start and end of every visit at a station that `hands` visits, or runs, can use at once.

    `classes` has one number per row, the lowest first; rows of class `BEGUN` start at hour 0 if a bench is
    left for them. Ties go to the earlier ready, then to the earlier row. Absent visits start at infinity.
    """
    ranks = np.asarray(classes)
    begun = np.flatnonzero(ranks == BEGUN)
    if batch is not None:
        return _serve_runs(ready, service, ranks=ranks, hands=hands, batch=batch)
    if hands >= len(ready):
        start = np.maximum(ready, 0.0)
        start[begun] = np.where(ready[begun] < np.inf, 0.0, np.inf)
        return start, start + service
    free = [np.zeros(ready.shape[1]) for _ in range(hands)]
    start = np.full(ready.shape, np.inf)
    if 0 < len(begun) <= hands:
        free = _seat(ready[begun], service[begun], free=free)
        start[begun] = np.where(ready[begun] < np.inf, 0.0, np.inf)
        ranks, rest = ranks[ranks != BEGUN], np.flatnonzero(ranks != BEGUN)
        start[rest] = _start_all(ready[rest], service[rest], ranks=ranks, free=free)
    else:
        start = _start_all(ready, service, ranks=ranks, free=free)
    return start, start + service


def _start_all(ready: Array, service: Array, *, ranks: IntArray, free: list[Array]) -> Array:
    kinds = np.unique(ranks)
    if len(kinds) <= 1 and BEGUN not in kinds:
        return _serve_in_turn(ready, service, free=free)
    return _serve_classes(ready, service, ranks=ranks, free=free)


def _seat(ready: Array, service: Array, *, free: list[Array]) -> list[Array]:
    """Return when the benches are free of the work that has begun on them, the first free first."""
    taken = np.zeros((len(free), ready.shape[1]))
    taken[: len(ready)] = np.where(ready < np.inf, service, 0.0)
    return list(np.sort(taken, axis=0))


def _sort(ready: Array) -> tuple[IntArray, Array]:
    """Return the flat positions in the order of readiness, and the hours in that order.

    Down to the last visit of the replication with the most; later places are absent in all.
    """
    most = int((ready < np.inf).sum(axis=0).max(initial=0))
    order = _pack_keys(ready)[:most]
    in_turn = ready.take(order)
    if (in_turn[1:] < in_turn[:-1]).any():  # two hours that differ in their last bits alone
        order = np.argsort(ready, axis=0, kind="stable")[:most]
        order *= ready.shape[1]
        order += np.arange(ready.shape[1])
        in_turn = ready.take(order)
    return order, in_turn


def _pack_keys(ready: Array) -> IntArray:
    """Return the flat positions in the order of readiness, as near as the leading bits tell it.

    One whole number is sorted for each visit, its hour in the leading bits (IEEE 754: the bits of positive
    numbers rise as they do) and its row in the last: half the time of sorting positions by hours. Equal hours
    come in the order of their rows.
    """
    rows, width = ready.shape
    last_bits = (1 << max(rows - 1, 0).bit_length()) - 1
    keys = (ready + 0.0).view(np.int64)  # no minus zero, whose bits are not those of zero
    keys ^= (keys >> 63) & np.iinfo(np.int64).max  # negative numbers fall as their bits rise
    keys &= ~last_bits
    keys |= np.arange(rows)[:, None]
    keys.sort(axis=0)
    keys &= last_bits
    keys *= width
    keys += np.arange(width)
    return keys


def _take_bench(free: list[Array], end: Array) -> Array:
    """Replace the first free bench by one that is free at `end`; return a spare array."""
    for at in range(1, len(free)):
        np.minimum(free[at], end, out=free[at - 1])
        np.maximum(free[at], end, out=end)
    free[-1], spare = end, free[-1]
    return spare


def _serve_in_turn(ready: Array, service: Array, *, free: list[Array]) -> Array:
    """One class: served in the order of readiness."""
    order, ready_in_turn = _sort(ready)
    service_in_turn = service.take(order)
    begin = np.empty_like(ready_in_turn)
    spare = np.empty(ready.shape[1])
    for at in range(len(order)):
        np.maximum(free[0], ready_in_turn[at], out=begin[at])
        np.add(begin[at], service_in_turn[at], out=spare)
        spare = _take_bench(free, spare)
    start = np.full(ready.size, np.inf)
    start[order] = begin
    return start.reshape(ready.shape)


class _Queues:
    """The visits of every class in order of readiness, with one pointer per class and replication.

    `padding` rows at infinity stand behind each class, so that a pointer may look that far ahead.
    """

    __slots__ = ("heads", "pointers", "ready", "service", "steps", "to", "width")

    def __init__(self, ready: Array, service: Array, *, ranks: IntArray, padding: int) -> None:
        self.width = ready.shape[1]
        columns = np.arange(self.width)
        pad = np.full((padding, self.width), np.inf)
        rows_ready: list[Array] = []
        rows_service: list[Array] = []
        rows_to: list[IntArray] = []
        self.pointers: list[IntArray] = []
        self.steps, behind = 0, 0
        for kind in np.unique(ranks):
            group = np.flatnonzero(ranks == kind)
            local, in_turn = _sort(ready[group])
            self.steps += len(local)
            if kind == BEGUN:  # it is there now, whenever it was ready
                np.minimum(in_turn, 0.0, out=in_turn, where=in_turn < np.inf)
            rows_ready += [in_turn, pad]
            rows_service += [service[group].take(local), np.zeros_like(pad)]
            absent = np.full((padding, self.width), ready.size, dtype=np.int64)
            rows_to += [group[local // self.width] * self.width + columns, absent]
            self.pointers.append(behind * self.width + columns)
            behind += len(local) + padding
        self.ready = np.concatenate(rows_ready).ravel()
        self.service = np.concatenate(rows_service).ravel()
        self.to = np.concatenate(rows_to).ravel()
        self.heads = [self.ready.take(pointer) for pointer in self.pointers]


def _serve_classes(ready: Array, service: Array, *, ranks: IntArray, free: list[Array]) -> Array:
    """Several classes: when a bench is free, the first class with a visit that is ready goes."""
    queues = _Queues(ready, service, ranks=ranks, padding=1)
    width, pointers, heads = queues.width, queues.pointers, queues.heads
    begin = np.empty((queues.steps, width))
    chosen = np.empty((queues.steps, width), dtype=np.int64)
    spare, hours = np.empty(width), np.empty(width)
    goes = [np.empty(width, dtype=bool) for _ in pointers]
    ahead = np.empty(width, dtype=np.int64)
    columns = list(zip(pointers, heads, goes, strict=True))
    for step in range(queues.steps):
        now, pick = begin[step], chosen[step]
        np.minimum(heads[0], heads[-1], out=now)
        for head in heads[1:-1]:
            np.minimum(now, head, out=now)
        np.maximum(now, free[0], out=now)
        # The last class goes where no other does; a replication in which nobody is left goes nowhere, or its
        # pointers would leave their class.
        rest = goes[-1]
        np.less(now, np.inf, out=rest)
        np.copyto(pick, pointers[-1])
        for kind in range(len(heads) - 1):
            np.less_equal(heads[kind], now, out=goes[kind])
            goes[kind] &= rest
            rest ^= goes[kind]
            np.copyto(pick, pointers[kind], where=goes[kind])
        queues.service.take(pick, out=hours, mode="clip")
        np.add(now, hours, out=spare)
        spare = _take_bench(free, spare)
        for pointer, head, moves in columns:
            np.multiply(moves, width, out=ahead)
            np.add(pointer, ahead, out=pointer)
            queues.ready.take(pointer, out=head, mode="clip")
    start = np.full(ready.size + 1, np.inf)
    start[queues.to.take(chosen)] = begin
    return start[:-1].reshape(ready.shape)


def _serve_runs(
    ready: Array, service: Array, *, ranks: IntArray, hands: int, batch: Batch
) -> tuple[Array, Array]:
    """Return start and end of visits that are worked in runs, several at a time."""
    width = ready.shape[1]
    free = [np.zeros(width) for _ in range(hands)]
    start, end = np.full(ready.size + 1, np.inf), np.full(ready.size + 1, np.inf)
    begun = np.flatnonzero(ranks == BEGUN)
    if len(begun):
        present = ready[begun] < np.inf
        longest = np.where(present, service[begun], 0.0).max(axis=0)
        flat = begun[:, None] * width + np.arange(width)
        start[flat] = np.where(present, 0.0, np.inf)
        end[flat] = np.where(present, longest, np.inf)
        _take_bench(free, longest.copy())
    rest = np.flatnonzero(ranks != BEGUN)
    if len(rest):
        queues = _Queues(ready[rest], service[rest], ranks=ranks[rest], padding=batch.most_jobs)
        own_start, own_end = np.full(ready[rest].size + 1, np.inf), np.full(ready[rest].size + 1, np.inf)
        _work_runs(queues, free, batch, own_start, own_end)
        start[:-1].reshape(ready.shape)[rest] = own_start[:-1].reshape(-1, width)
        end[:-1].reshape(ready.shape)[rest] = own_end[:-1].reshape(-1, width)
    return start[:-1].reshape(ready.shape), end[:-1].reshape(ready.shape)


def _work_runs(queues: _Queues, free: list[Array], batch: Batch, start: Array, end: Array) -> None:
    """Work run after run until nobody is left in any replication; fills `start` and `end`."""
    width, least, most = queues.width, batch.least_jobs, batch.most_jobs
    steps = (np.arange(most) * width)[:, None]
    while True:
        ahead = [queues.ready.take(pointer + steps) for pointer in queues.pointers]
        oldest = np.minimum.reduce([rows[0] for rows in ahead])
        alive = oldest < np.inf
        if not alive.any():
            return
        first = np.concatenate([rows[:least] for rows in ahead])
        enough = np.partition(first, least - 1, axis=0)[least - 1]
        now = np.maximum(free[0], np.minimum(enough, oldest + batch.longest_wait_hours))
        left = np.full(width, most)
        longest = np.zeros(width)
        members: list[IntArray] = []
        for rows, pointer in zip(ahead, queues.pointers, strict=True):
            joining = np.minimum((rows <= now).sum(axis=0), left)
            joining[~alive] = 0
            left -= joining
            goes = np.arange(most)[:, None] < joining
            flat = (pointer + steps)[goes]
            own = np.zeros((most, width))
            own[goes] = queues.service[flat]
            np.maximum(longest, own.max(axis=0), out=longest)
            to = np.full((most, width), len(start) - 1)
            to[goes] = queues.to[flat]
            members.append(to)
            np.add(pointer, joining * width, out=pointer)
        over = now + longest
        for to in members:
            start[to], end[to] = now, over
        start[-1] = end[-1] = np.inf
        _take_bench(free, np.where(alive, over, np.inf))
