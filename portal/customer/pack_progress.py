"""How far is the customer with stripping and packing, and where do they go on?"""

from collections.abc import Sequence
from dataclasses import dataclass

from packing.strip.gate import GateState
from portal.customer.pack_steps import StepGroup, TickStep

GATE, SEND = "gate", "send"


@dataclass(frozen=True, slots=True)
class PartProgress:
    """One part of the page that is ticked: how much of it is done, and whether it is unfolded."""

    count: int
    done_count: int
    is_open: bool

    @property
    def is_done(self) -> bool:
        """Whether every step is ticked."""
        return self.done_count == self.count


@dataclass(frozen=True, slots=True)
class PackProgress:
    """The parts, and where to go on: `next_key` is the id of a step, `gate` or `send`."""

    strip: PartProgress
    draining: PartProgress
    packing: PartProgress
    next_key: str
    next_number: int

    @property
    def count(self) -> int:
        """The steps of all parts."""
        return self.strip.count + self.draining.count + self.packing.count

    @property
    def done_count(self) -> int:
        """The ticked steps of all parts."""
        return self.strip.done_count + self.draining.done_count + self.packing.done_count


def pack_progress(
    groups: Sequence[StepGroup],
    packing: Sequence[TickStep],
    *,
    draining: Sequence[StepGroup],
    gate: GateState,
    drained: bool,
) -> PackProgress:
    """Return the parts with the one that is being worked on unfolded; nobody has to tick to get on.

    Stripping is unfolded until it is all ticked, or until something later was begun without ticks. Draining
    stands open until it is all ticked, or the gate has opened. Packing is unfolded once it was begun, or all
    before it is done.
    """
    strip = tuple(step for group in groups for step in group.steps)
    wet = tuple(step for group in draining for step in group.steps)
    strip_done, wet_done, packing_done = (sum(step.ticked for step in part) for part in (strip, wet, packing))
    went_on = packing_done > 0 or wet_done > 0 or drained
    strip_open = strip_done < len(strip) and (strip_done > 0 or not went_on)
    # Only a unit without smell is bagged, so the smell test comes before the packing.
    ready = gate is GateState.OPEN and (drained or strip_done == len(strip))
    packing_open = packing_done < len(packing) and (packing_done > 0 or ready)
    next_step = _first_open(strip) if strip_open else None
    if next_step is None and (gate is GateState.OPEN or packing_open):
        next_step = _first_open(packing)
    elsewhere = SEND if gate is GateState.OPEN else GATE
    part = strip if next_step in strip else packing
    return PackProgress(
        strip=PartProgress(len(strip), strip_done, strip_open),
        draining=PartProgress(len(wet), wet_done, wet_done < len(wet) and gate is not GateState.OPEN),
        packing=PartProgress(len(packing), packing_done, packing_open or next_step in packing),
        next_key=next_step.key if next_step else elsewhere,
        next_number=part.index(next_step) + 1 if next_step else 0,
    )


def _first_open(steps: Sequence[TickStep]) -> TickStep | None:
    return next((step for step in steps if not step.ticked), None)
