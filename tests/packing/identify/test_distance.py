"""Promises of the weighted distance: the fast search equals the plain table, and differences add up."""

from functools import cache

from hypothesis import given, settings
from hypothesis import strategies as st

from packing.identify.confusion import GAP_TENTHS, PAIRS, SWAP_TENTHS, change_cost_tenths
from packing.identify.distance import Misreading, differences, distance_tenths, near

STAMPED = st.text(alphabet="018BDIA4K", max_size=7)
READ = st.text(alphabet="018BDIA4K?", max_size=7)


def by_definition(read, stamped):
    """Return the restricted Damerau-Levenshtein distance straight from its recursive definition."""

    @cache
    def between(row, column):
        if row == 0 or column == 0:
            return GAP_TENTHS * (row + column)
        sign, other = read[row - 1], stamped[column - 1]
        ways = [
            between(row - 1, column - 1) + change_cost_tenths(sign, stamped=other),
            between(row - 1, column) + GAP_TENTHS,
            between(row, column - 1) + GAP_TENTHS,
        ]
        if row > 1 and column > 1 and (read[row - 2], sign) == (other, stamped[column - 2]):
            ways.append(between(row - 2, column - 2) + SWAP_TENTHS)
        return min(ways)

    return between(len(read), len(stamped))


@settings(max_examples=300)
@given(
    read=READ,
    numbers=st.lists(STAMPED, min_size=1, max_size=12),
    cutoff_tenths=st.sampled_from([0, 6, 10, 16, 25]),
)
def test_fast_search_equals_the_definition(read, numbers, cutoff_tenths):
    wanted = {number: far for number in numbers if (far := by_definition(read, number)) <= cutoff_tenths}
    assert near(read, stamped=numbers, cutoff_tenths=cutoff_tenths) == wanted


@given(one=STAMPED, two=STAMPED)
def test_distance_is_the_same_both_ways(one, two):
    assert distance_tenths(one, stamped=two, cutoff_tenths=70) == distance_tenths(
        two, stamped=one, cutoff_tenths=70
    )


@given(number=STAMPED)
def test_a_number_is_no_way_from_itself(number):
    assert distance_tenths(number, stamped=number, cutoff_tenths=0) == 0


@given(read=READ, stamped=STAMPED)
def test_differences_cost_as_much_as_the_distance(read, stamped):
    cost_tenths = 0
    for each in differences(read, stamped=stamped):
        if each.kind is Misreading.SWAPPED:
            cost_tenths += SWAP_TENTHS
        elif each.kind in {Misreading.MISSING, Misreading.ADDED}:
            cost_tenths += GAP_TENTHS
        else:
            cost_tenths += change_cost_tenths(each.read, stamped=each.stamped)
    assert cost_tenths == by_definition(read, stamped)


def test_each_pair_is_listed_once():
    keys = [frozenset((pair.first, pair.second)) for pair in PAIRS]
    assert len(keys) == len(set(keys)) > 20


def test_of_two_equally_cheap_readings_the_end_is_missing_and_the_unread_character_stands_in_its_place():
    found = differences("KV408?", stamped="KV4081B")
    assert [(each.kind, each.stamped) for each in found] == [
        (Misreading.UNREADABLE, "1"),
        (Misreading.MISSING, "B"),
    ]
