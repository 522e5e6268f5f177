"""Where a customer goes on with stripping and packing, whatever was ticked."""

import pytest

from packing.strip.gate import GateState
from portal.customer.pack_progress import pack_progress
from portal.customer.pack_steps import StepGroup, TickStep

G = GateState


def steps(kind, *, ticked, count=3):
    return tuple(TickStep(f"{kind}-{at}", "Do it.", "", "", "", at < ticked) for at in range(count))


def progress(*, strip=0, wet=0, packing=0, gate=G.NOT_DRAINED, drained=False):
    groups = (StepGroup("Leave on", steps("strip", ticked=strip)),)
    draining = (StepGroup("Drain and air", steps("wet", ticked=wet)),)
    done = steps("pack", ticked=packing)
    return pack_progress(groups, done, draining=draining, gate=gate, drained=drained)


@pytest.mark.parametrize(
    ("told", "next_key", "unfolded"),
    [
        (progress(), "strip-0", "strip"),
        (progress(strip=2), "strip-2", "strip"),
        (progress(strip=3), "gate", ""),
        (progress(strip=3, gate=G.AIRING, drained=True), "gate", ""),
        (progress(gate=G.AIRING, drained=True), "gate", ""),
        (progress(strip=1, gate=G.AIRING, drained=True), "strip-1", "strip"),
        (progress(strip=3, gate=G.SMELL_TEST_DUE, drained=True), "gate", ""),
        (progress(strip=3, gate=G.SMELLS, drained=True), "gate", ""),
        (progress(gate=G.OPEN, drained=True), "pack-0", "packing"),
        (progress(strip=3, packing=1, gate=G.OPEN, drained=True), "pack-1", "packing"),
        (progress(strip=3, packing=3, gate=G.OPEN, drained=True), "send", ""),
        (progress(strip=3, packing=3, gate=G.SMELL_TEST_DUE, drained=True), "gate", ""),
        (progress(packing=1), "pack-1", "packing"),
        (progress(wet=1), "gate", ""),
        (progress(strip=3, wet=2), "gate", ""),
    ],
)
def test_the_part_being_worked_on_is_unfolded_and_its_first_open_step_comes_next(told, next_key, unfolded):
    parts = {"strip": told.strip, "packing": told.packing}
    assert told.next_key == next_key
    assert [name for name, part in parts.items() if part.is_open] == ([unfolded] if unfolded else [])


def test_draining_stands_open_and_counts_until_it_is_all_ticked():
    told = [progress(strip=3, wet=wet, packing=1, gate=G.AIRING, drained=True) for wet in (0, 2, 3)]
    assert [each.draining.is_open for each in told] == [True, True, False]
    assert [(each.done_count, each.count) for each in told] == [(4, 9), (6, 9), (7, 9)]


def test_draining_is_folded_once_the_gate_has_opened():
    assert not progress(strip=3, wet=0, packing=1, gate=G.OPEN, drained=True).draining.is_open


def test_a_unit_that_never_held_fuel_is_stripped_before_it_is_packed():
    told = progress(gate=G.OPEN)
    assert (told.next_key, told.next_number) == ("strip-0", 1)
    assert not told.packing.is_open
