"""Words for figures and dates: months spelled out, both units, no digits-only dates."""

import html
import re
from datetime import UTC, date, datetime

import pytest
from django.template import Context, Template
from django.utils.translation import override
from hypothesis import given
from hypothesis import strategies as st

from packing.quantities import UnitChoice
from portal.templatetags.portal_format import (
    age,
    breakable,
    day,
    day_near,
    day_range,
    day_short,
    job_number,
    length,
    limits,
    mass,
    moment,
    moment_short,
    pence,
    price_range,
    weeks_about,
)  # fmt: skip


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (date(2026, 5, 12), date(2026, 5, 22), "between Tuesday 12 May and Friday 22 May 2026"),
        (date(2026, 12, 28), date(2027, 1, 8), "between Monday 28 December 2026 and Friday 8 January 2027"),
        (date(2026, 5, 12), date(2026, 5, 12), "on Tuesday 12 May 2026"),
        (date(2026, 5, 22), date(2026, 5, 12), "between Tuesday 12 May and Friday 22 May 2026"),
    ],
)
def test_a_range_of_days_is_told_in_words(first, last, words):
    assert day_range(first, last) == words


@given(st.dates(date(2000, 1, 1), date(2100, 1, 1)), st.dates(date(2000, 1, 1), date(2100, 1, 1)))
def test_no_date_is_digits_with_strokes_or_dashes(first, last):
    for words in (day(first), day_short(last), day_range(first, last)):
        assert not re.search(r"\d[/.-]\d", words)
        assert re.search(r"[A-Z][a-z]+day|[A-Z][a-z]{2}\s", words)


def test_a_moment_late_in_the_evening_stays_on_its_local_day():
    assert day(datetime(2026, 7, 1, 22, 30, tzinfo=UTC)) == "Wednesday 1 July 2026"
    assert day(datetime(2026, 7, 1, 23, 30, tzinfo=UTC)) == "Thursday 2 July 2026"
    assert moment(datetime(2026, 7, 1, 23, 30, tzinfo=UTC)) == "Thursday 2 July 2026, 00:30"


def test_a_moment_of_a_table_breaks_before_its_time_only():
    words = "Thu\u00a02\u00a0Jul\u00a02026, 00:30"
    assert (moment_short(datetime(2026, 7, 1, 23, 30, tzinfo=UTC)), moment_short(None)) == (words, "")


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (date(2026, 6, 10), date(2026, 6, 22), "about 4 to 6 weeks"),
        (date(2026, 6, 8), date(2026, 6, 10), "about 4 weeks"),
        (date(2026, 5, 15), date(2026, 5, 20), "about 3 to 8 days"),
        (date(2026, 5, 13), date(2026, 5, 13), "about 1 day"),
        (date(2026, 5, 1), date(2026, 5, 2), "about 1 day"),
    ],
)
def test_how_far_off_is_told_roughly(first, last, words):
    assert weeks_about(first, last, date(2026, 5, 12)) == words


@pytest.mark.parametrize(
    ("since", "words"),
    [
        (date(2026, 5, 12), "today"),
        (date(2026, 5, 11), "1\u00a0day"),
        (date(2026, 5, 9), "3\u00a0days"),
        (date(2026, 5, 14), "in\u00a02\u00a0days"),
        (None, ""),
    ],
)
def test_an_age_counts_whole_days(since, words):
    assert age(since, date(2026, 5, 12)) == words


@pytest.mark.parametrize(
    ("on", "words"),
    [
        (date(2026, 12, 14), "Mon 14 December"),
        (date(2027, 9, 25), "Sat 25 September"),
        (date(2027, 9, 26), "Sun 26 September 2027"),
        (date(2026, 9, 30), "Wed 30 September"),
        (date(2026, 9, 29), "Tue 29 September 2026"),
    ],
)
def test_a_year_stands_in_a_table_only_where_another_could_be_meant(on, words):
    assert day_near(on, date(2026, 11, 29)) == words.replace(" ", "\u00a0")


def test_no_date_in_a_table_is_no_words():
    assert day_near(None, date(2026, 11, 29)) == ""


def test_a_date_in_a_table_stays_on_one_line():
    assert day_short(date(2026, 12, 30)) == "Wed\u00a030\u00a0December\u00a02026"


@pytest.mark.parametrize(
    ("amount_pence", "words"),
    [(12000, "£120.00"), (5, "£0.05"), (-1250, "−£12.50"), (123456789, "£1,234,567.89"), (None, "")],
)
def test_money_is_exact(amount_pence, words):
    assert pence(amount_pence) == words


def test_the_sign_of_the_money_is_the_shops(settings):
    settings.SHOP_CURRENCY = "$"
    assert pence(100) == "$1.00"


@pytest.mark.parametrize("number", ["4821093", 4821093, "482 109-3", "482-1093"])
def test_a_job_number_is_written_as_on_the_slip(number):
    assert job_number(number) == "482\u00a0109-3"


def test_what_is_no_job_number_stays_as_it_is():
    assert job_number("draft") == "draft"


def test_lengths_and_masses_show_the_readers_choice_first():
    assert length(88.9, "imperial") == "3 1/2 in (89 mm)"
    assert length(88.9, UnitChoice.METRIC) == "89 mm (3 1/2 in)"
    assert mass(2.4, "metric") == "2.40 kg (5 lb 5 oz)"


def test_sizes_are_written_by_a_tag():
    html = Template("{% load portal_format %}{% size 230 180 140 'imperial' %}").render(Context())
    assert html == "9 × 7 1/8 × 5 1/2 in (230 × 180 × 140 mm)"


@pytest.mark.parametrize(
    ("least_pence", "most_pence", "words"),
    [
        (24400, 31600, "£244 to £316"),
        (24450, 31600, "£244.50 to £316.00"),
        (8000, 8000, "£80"),
        (98000, 124000, "£980 to £1,240"),
    ],
)
def test_a_usual_price_tells_no_pence_unless_one_end_has_some(least_pence, most_pence, words):
    assert price_range(least_pence, most_pence) == words


@pytest.mark.parametrize(
    ("least", "most", "words"),
    [
        (14.5, 15.5, "14.5 to 15.5 mm"),
        (None, 120.0, "at most 120 mm"),
        (5.5, None, "at least 5.5 mm"),
        (None, None, "mm"),
        (0.0, 0.05, "0 to 0.05 mm"),
    ],
)
def test_limits_say_which_end_they_are(least, most, words):
    assert limits(least, most, "mm") == words


def test_an_address_may_go_on_in_the_next_line_and_is_whole_when_it_is_copied():
    address = "https://bench.quillfeather.example/open/zYRjJErsZDRROvdJGu5HEhLQqvTQ6lpTrPRETFDqp2g/?a=1&b=2"
    pieces = breakable(address).split("<wbr>")
    assert max(len(html.unescape(piece)) for piece in pieces) == 12
    assert html.unescape("".join(pieces)) == address
    assert breakable("<b>") == "&lt;b&gt;"


def test_a_day_of_a_table_is_told_in_the_language_that_is_active():
    on, now = date(2026, 12, 24), date(2026, 11, 29)
    with override("en-gb"):
        english = day_near(on, now)
    with override("de"):
        german = day_near(on, now)
    with override("en-gb"):
        assert (english, day_near(on, now)) == ("Thu\u00a024\u00a0December", english)
    assert german != english
