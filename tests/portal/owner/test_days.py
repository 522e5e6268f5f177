"""A date is chosen in the browser's own input or typed in words, and is always said in words."""

from dataclasses import replace
from datetime import date

import pytest
from django.urls import reverse

from jobs.domain.shop import ClosedDay, ShopKind
from jobs.leadtime.clock import Closure
from jobs.leadtime.routes import Absence
from packing.plain import to_plain
from portal.owner import kinds
from portal.owner.changes import find_changes
from portal.owner.references import references
from tests.factories import open_shop, publish
from tests.portal.owner.test_editing import edit_url, preview_url, sent_for
from tests.portal.reading import parse

pytestmark = pytest.mark.django_db
AWAY = Absence(date(2026, 12, 20), date(2026, 12, 24), "at the sea")


@pytest.fixture
def owner(db, person, client_of):
    open_shop()
    tobin = kinds.published(kinds.BY_KEY["person"])["tobin"]
    publish(ShopKind.PERSON, replace(tobin, absences=(AWAY,)))
    return client_of(person("owner"))


@pytest.mark.parametrize(
    ("kind", "slug", "name"),
    [
        ("person", "tobin", "absences-0-first"),
        ("person", "tobin", "absences-0-last"),
        ("carrier", "dpd-eu", "source-read_on"),
        ("carrier", "dpd-eu", "side_rounding_from"),
    ],
)
def test_every_date_of_an_editor_has_the_browsers_own_input(owner, kind, slug, name):
    page = parse(owner.get(edit_url(kind, slug)).content.decode())
    assert page.xpath(f"//input[@name='{name}']/@type") == ["date"]


def test_a_closed_day_is_chosen_with_the_browsers_own_input(owner):
    page = parse(owner.get(reverse("owner:new", args=["closed_day"])).content.decode())
    assert page.xpath("//input[@name='on']/@type") == ["date"]


def test_a_date_that_cannot_be_read_is_kept_and_refused_with_an_example(owner):
    sent = sent_for("person", "tobin", **{"absences-0-last": "3/4/2027"})
    page = parse(owner.post(edit_url("person", "tobin"), sent).content.decode())
    assert page.xpath("//input[@name='absences-0-last']/@value") == ["3/4/2027"]
    said = page.get_element_by_id("error-summary").text_content()
    assert "“3/4/2027” cannot be read as a date; type it like 20 December 2026." in said


def test_a_date_typed_in_words_is_published_as_that_day(owner):
    owner.post(edit_url("person", "tobin"), sent_for("person", "tobin", **{"absences-0-last": "26 Dec 2026"}))
    owner.post(preview_url("person", "tobin"), {"note": "longer"})
    (away,) = kinds.published(kinds.BY_KEY["person"])["tobin"].absences
    assert away.last == date(2026, 12, 26)


def test_headings_and_errors_about_days_say_them_in_words(owner):
    sent = sent_for("person", "tobin", **{"absences-0-last": "2026-12-10"})
    page = parse(owner.post(edit_url("person", "tobin"), sent).content.decode())
    (row,) = page.xpath("//*[@id='row-absences-0']/summary")
    days = "Sunday 20 December 2026 to Thursday 10 December 2026"
    assert row.text_content() == f"Stretch of days 1: {days}"
    said = page.get_element_by_id("error-summary").text_content()
    assert "it ends before it begins; swap the two days" in said
    assert "2026-12" not in page.text_content()


def test_a_taken_closed_day_is_named_in_words(owner):
    publish(ShopKind.CLOSED_DAY, ClosedDay("2026-12-25", date(2026, 12, 25), "Christmas Day"))
    sent = {"on": "2026-12-25", "name": "Christmas"}
    page = parse(owner.post(reverse("owner:new", args=["closed_day"]), sent).content.decode())
    assert "Friday 25 December 2026 is a closed day already" in page.text_content()


def test_the_page_of_a_closed_day_says_its_date_in_words_only(owner):
    publish(ShopKind.CLOSED_DAY, ClosedDay("2026-12-25", date(2026, 12, 25), "Christmas Day"))
    page = parse(owner.get(edit_url("closed_day", "2026-12-25")).content.decode())
    assert "2026-12-25" not in page.text_content()


def told(key, before, after):
    kind = kinds.BY_KEY[key]
    return find_changes(before, to_plain(after), shapes=kind.shapes, owner=kind.cls, known=references())


def test_a_stretch_of_days_is_told_from_its_first_to_its_last(owner):
    person = kinds.published(kinds.BY_KEY["person"])["tobin"]
    away = told("person", {}, person)[-1]
    assert away.where == "Days away, Sunday 20 December 2026"
    assert away.after == "Sunday 20 December 2026 to Thursday 24 December 2026, at the sea"


def test_a_single_day_away_is_told_once(owner):
    person = kinds.published(kinds.BY_KEY["person"])["tobin"]
    single = replace(person, absences=(Absence(AWAY.first, AWAY.first),))
    assert told("person", {}, single)[-1].after == "Sunday 20 December 2026"


def test_hours_and_closures_are_told_from_to(owner):
    hours = kinds.published(kinds.BY_KEY["hours"])["hours"]
    closed = replace(hours, closures=(Closure(AWAY.first, AWAY.last, "stocktaking"),))
    said = [change.after for change in told("hours", {}, closed)]
    assert "08:00 to 12:30" in said
    assert said[-1] == "Sunday 20 December 2026 to Thursday 24 December 2026, stocktaking"


def test_a_row_that_was_emptied_is_told_as_removed(owner):
    emptied = {f"absences-0-{name}": "" for name in ("first", "last", "note")}
    answer = owner.post(edit_url("person", "tobin"), sent_for("person", "tobin", **emptied), follow=True)
    (row,) = parse(answer.content.decode()).xpath("//table[contains(@class, 'changes')]/tbody/tr")
    assert row.xpath("th")[0].text_content() == "Removed: Days away, Sunday 20 December 2026"
    assert row.xpath(".//del")[0].text_content().endswith("at the sea")


def test_the_emptied_one_of_several_spans_is_the_one_told_as_removed(owner):
    hours = kinds.published(kinds.BY_KEY["hours"])["hours"]
    (change,) = told("hours", to_plain(hours), replace(hours, monday=hours.monday[1:]))
    assert (change.where, change.before, change.after) == ("Removed: Monday, 1", "08:00 to 12:30", "")


def test_the_dates_of_a_filter_mean_one_day_and_stay_as_typed(owner):
    answer = owner.get(reverse("owner:jobs"), {"since": "10/12/2026", "until": "12 Dec 2026"})
    page = parse(answer.content.decode())
    assert page.xpath("//input[@name='since' or @name='until']/@value") == ["10/12/2026", "2026-12-12"]
    assert "Enter the first day as a date, like 12 May 2027" in page.text_content()


@pytest.mark.parametrize("name", ["away_first", "away_last", "pause_first", "pause_last"])
def test_the_dates_of_a_comparison_mean_one_day_and_stay_as_typed(owner, name):
    page = parse(owner.post(reverse("owner:what_if"), {name: "10/12/2026"}).content.decode())
    assert page.xpath(f"//input[@name='{name}']/@value") == ["10/12/2026"]
    assert "as a date, like 12 May 2027" in page.get_element_by_id("error-summary").text_content()
