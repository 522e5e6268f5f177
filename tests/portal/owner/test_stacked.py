"""Stacked bars show the counts they are given, in order and to one scale."""

import pytest

from portal.owner.axes import ChartError
from portal.owner.stacked import Stack, stacked_chart


def chart(*stacks, parts=("young", "old")):
    return stacked_chart(stacks, parts=parts, key="k", title="T", unit="jobs")


def test_parts_follow_each_other_without_a_gap():
    (mark,) = chart(Stack("Arrived", (3, 2))).marks
    first, second = mark.parts
    assert second.x == pytest.approx(first.x + first.width, abs=0.02)


def test_widths_are_to_one_scale():
    one, two = chart(Stack("A", (4, 0)), Stack("B", (0, 2))).marks
    assert one.parts[0].width == pytest.approx(2 * two.parts[0].width, abs=0.02)


def test_a_part_that_counts_nothing_is_not_drawn():
    (mark,) = chart(Stack("A", (0, 2))).marks
    assert [part.part for part in mark.parts] == [1]


def test_every_bar_stays_inside_the_drawing():
    drawn = chart(Stack("A", (900, 99)), Stack("B", (1, 0)))
    assert all(part.x + part.width <= drawn.width for mark in drawn.marks for part in mark.parts)
    assert drawn.marks[-1].y + 14 <= drawn.bottom


def test_the_description_says_the_same_numbers():
    assert "Arrived: 5 jobs (3 young, 2 old)." in chart(Stack("Arrived", (3, 2))).summary


@pytest.mark.parametrize(("most", "ticks"), [(1, [0, 1]), (2, [0, 1, 2]), (7, [0, 2, 4, 6, 8])])
def test_no_tick_stands_between_two_jobs(most, ticks):
    assert [tick.value for tick in chart(Stack("A", (most, 0))).ticks] == ticks


def test_no_bars_make_an_empty_chart():
    assert chart().marks == ()


@pytest.mark.parametrize("values", [(1,), (1, -1)])
def test_counts_that_do_not_fit_the_key_are_refused(values):
    with pytest.raises(ChartError):
        chart(Stack("A", values))
