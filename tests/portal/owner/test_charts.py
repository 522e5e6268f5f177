"""Charts: round ticks, nothing outside the picture, and the cases that break a drawing."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from portal.owner.axes import ChartError, Tick, nice_ticks, plain_number, spread_labels, wrap_words
from portal.owner.charts import Bar, Point, Series, Span, bar_chart, line_chart, range_chart

VALUES = st.floats(min_value=0, max_value=1e6, allow_subnormal=False)


@given(
    st.tuples(st.floats(-1e6, 1e6, allow_subnormal=False), st.floats(-1e6, 1e6, allow_subnormal=False)),
    st.integers(4, 9),
)
def test_ticks_hold_both_ends_and_are_equally_spaced(ends, most):
    low, high = sorted(ends)
    if 0 < high - low < 1e-6:
        high = low + 1e-6
    ticks = nice_ticks(low, high, most=most)
    slack = 1e-6 * (ticks[-1] - ticks[0])
    assert ticks[0] <= low + slack
    assert ticks[-1] >= high - slack
    assert 2 <= len(ticks) <= most
    steps = [after - before for before, after in pairwise(ticks)]
    assert steps == pytest.approx([steps[0]] * len(steps), rel=1e-6)


@pytest.mark.parametrize(
    ("low", "high", "ticks"),
    [
        (0, 0, (0, 1)),
        (0, 7, (0, 2, 4, 6, 8)),
        (0, 100, (0, 20, 40, 60, 80, 100)),
        (0, 0.03, (0, 0.01, 0.02, 0.03)),
        (-3, 4, (-4, -2, 0, 2, 4)),
        (5, 5, (0, 1, 2, 3, 4, 5)),
    ],
)
def test_ticks_are_round_numbers(low, high, ticks):
    assert nice_ticks(low, high) == pytest.approx(ticks)


@pytest.mark.parametrize(("low", "high"), [(1, 0), (0, math.inf), (math.nan, 1)])
def test_an_axis_that_cannot_be_is_refused(low, high):
    with pytest.raises(ChartError):
        nice_ticks(low, high)


@given(st.lists(VALUES, min_size=1, max_size=12))
def test_every_bar_and_its_number_stay_inside_and_are_to_scale(values):
    chart = bar_chart([Bar("x", value) for value in values], key="k", title="t", unit="u")
    assert len(chart.marks) == len(values)
    for mark, value in zip(chart.marks, values, strict=True):
        assert 0 <= mark.width <= chart.width
        assert mark.value_x + len(mark.value_text) * 7 <= chart.width + 1
        scale = chart.ticks[-1].at / chart.ticks[-1].value
        assert mark.width == pytest.approx(value * scale, abs=0.02)
        assert mark.y + mark.height <= chart.bottom


def test_bars_of_nothing_but_zero_are_drawn_with_no_length():
    chart = bar_chart([Bar("wet", 0), Bar("crushed", 0)], key="k", title="t", unit="parcels")
    assert [mark.width for mark in chart.marks] == [0, 0]
    assert [mark.value_text for mark in chart.marks] == ["0", "0"]


def test_no_bars_at_all_give_an_empty_chart_that_says_so():
    chart = bar_chart([], key="k", title="t", unit="parcels")
    assert chart.marks == ()
    assert chart.summary == "No values."


def test_a_bar_below_zero_is_refused_by_name():
    with pytest.raises(ChartError, match="wet"):
        bar_chart([Bar("wet", -1)], key="k", title="t", unit="parcels")


def test_a_long_name_takes_two_lines_and_is_cut_only_in_the_picture():
    name = (
        "Shaft bent at its end where the coupling had been left on by the sender, "
        "who had been told on the slip to take it off and keep it at home"
    )
    chart = bar_chart([Bar(name, 3)], key="k", title="t", unit="parcels")
    lines = [words for words, _ in chart.marks[0].lines]
    assert len(lines) == 2
    assert lines[1].endswith("…")
    assert all(len(words) * 7.4 <= chart.width for words in lines)
    assert chart.marks[0].bar.label == name


def test_one_word_longer_than_the_chart_is_cut():
    (line,) = wrap_words("a" * 400, width=100)
    assert line == "a" * 12 + "…"


def test_a_line_of_one_point_is_in_the_middle_and_named_once():
    chart = line_chart([Series("arrived", (Point(3, "May 2026", 4),))], key="k", title="t", unit="units")
    (mark,) = chart.marks
    assert mark.end_x == pytest.approx((chart.left + chart.right) / 2)
    assert [tick.text for tick in chart.x_ticks] == ["May 2026"]
    assert chart.rows == (("May 2026", ("4",)),)


@given(st.lists(st.floats(-1e4, 1e4, allow_subnormal=False), min_size=1, max_size=40))
def test_every_point_of_a_line_stays_inside_the_axes(values):
    points = tuple(Point(float(at), f"day {at}", value) for at, value in enumerate(values))
    chart = line_chart([Series("waiting", points)], key="k", title="t", unit="units")
    drawn = [tuple(map(float, pair.split(","))) for pair in chart.marks[0].path.split()]
    assert len(drawn) == len(values)
    assert all(chart.left - 0.01 <= x <= chart.right + 0.01 for x, _ in drawn)
    assert all(chart.top - 0.01 <= y <= chart.bottom + 0.01 for _, y in drawn)


def test_a_higher_value_is_drawn_higher():
    points = (Point(0, "Monday", 1), Point(1, "Tuesday", 9))
    chart = line_chart([Series("waiting", points)], key="k", title="t", unit="units")
    first, last = (float(pair.split(",")[1]) for pair in chart.marks[0].path.split())
    assert last < first


def test_lines_that_end_together_keep_their_names_apart():
    lines = [Series(name, (Point(0, "a", 0), Point(1, "b", 5))) for name in ("one", "two", "three")]
    places = sorted(mark.name_y for mark in line_chart(lines, key="k", title="t", unit="u").marks)
    assert min(after - before for before, after in pairwise(places)) >= 15
    assert {mark.dash for mark in line_chart(lines, key="k", title="t", unit="u").marks} == {0, 1, 2}


def test_a_reading_that_is_missing_in_one_line_leaves_its_cell_empty():
    lines = [Series("in", (Point(0, "a", 1), Point(1, "b", 2))), Series("out", (Point(1, "b", 7),))]
    assert line_chart(lines, key="k", title="t", unit="u").rows == (("a", ("1", "")), ("b", ("2", "7")))


@pytest.mark.parametrize(
    "lines",
    [
        [Series(str(number), (Point(0, "a", 1),)) for number in range(5)],
        [Series("back", (Point(1, "b", 1), Point(0, "a", 1)))],
        [Series("hole", (Point(0, "a", math.nan),))],
    ],
)
def test_lines_that_cannot_be_told_apart_or_read_are_refused(lines):
    with pytest.raises(ChartError):
        line_chart(lines, key="k", title="t", unit="u")


@given(st.integers(2, 60))
def test_labels_of_the_time_axis_never_touch(count):
    ticks = [Tick(float(at), f"{at} December 2026", 40 + at * 300 / (count - 1)) for at in range(count)]
    chosen = spread_labels(ticks)
    width = max(len(tick.text) for tick in ticks) * 7.4
    inner = [tick.at for tick in chosen]
    assert chosen[-1] == ticks[-1]
    assert len(chosen) < 4
    assert all(after - before >= width for before, after in pairwise(inner))


def test_a_range_of_one_day_is_drawn_as_one_place():
    chart = range_chart([Span("pump", 12, 12, 12)], key="k", title="t", unit="days")
    (mark,) = chart.marks
    assert mark.x_low == mark.x_likely == mark.x_high
    assert mark.x_actual is None


def test_what_really_happened_may_lie_outside_the_range_but_not_outside_the_picture():
    chart = range_chart([Span("magneto", 20, 30, 40, actual=95)], key="k", title="t", unit="days")
    (mark,) = chart.marks
    assert mark.x_high < mark.x_actual <= chart.width
    assert chart.ticks[-1].value >= 95


@pytest.mark.parametrize("span", [Span("p", 5, 4, 9), Span("p", 1, 12, 9), Span("p", 1, 2, math.inf)])
def test_a_range_out_of_order_is_refused(span):
    with pytest.raises(ChartError, match="p"):
        range_chart([span], key="k", title="t", unit="days")


@pytest.mark.parametrize(
    ("value", "text"),
    [(0, "0"), (12.0, "12"), (2.5, "2.5"), (1234567, "1,234,567"), (-3, "−3"), (-0.001, "0")],
)
def test_numbers_are_as_short_as_they_can_be_read(value, text):
    assert plain_number(value) == text
