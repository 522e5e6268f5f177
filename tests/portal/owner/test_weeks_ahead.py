"""The weeks ahead: bands and their table agree, the calendar speaks in words, odd shops get a sentence."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.domain.shop import ShopKind
from jobs.leadtime.closures import Shut
from jobs.leadtime.intake import Sending, SendingAdvice
from jobs.leadtime.newcomers import NewcomerCurve, NewcomerDay
from jobs.leadtime.routes import Absence
from jobs.leadtime.usual_shop import usual_shop
from jobs.models import ForecastRun, OutlookPart
from jobs.selectors.outlook import FamilyIntake, IntakeCalendar
from jobs.selectors.shop import documents
from jobs.services import forecasts, outlooks
from portal.owner.ahead import (
    FamilyRow,
    advice_by_sentence,
    calendar_rows,
    closed_stretches,
    is_behind,
)
from portal.owner.axes import ChartError
from portal.owner.fans import FanPoint, fan_chart
from tests.factories import NOW, make_job, open_shop, publish
from tests.portal.reading import parse

pytestmark = pytest.mark.django_db
PAGE = reverse("owner:weeks_ahead")
LATER = NOW + timedelta(days=6)


@pytest.fixture(autouse=True)
def _few_runs(monkeypatch):
    monkeypatch.setattr(forecasts, "REPLICATIONS", 40)
    for name in ("WEEKS", "CURVE", "CONTRIBUTION", "START"):
        monkeypatch.setattr(outlooks, f"{name}_REPLICATIONS", 20)


@pytest.fixture
def owner(db, person, client_of):
    return client_of(person("owner"))


def words_of(response):
    return " ".join(parse(response.content.decode()).text_content().split())


def test_a_band_holds_its_line_and_its_table_has_the_same_numbers():
    chart = fan_chart(
        [FanPoint("now", 4, 4, 4), FanPoint("later", 1, 5, 9.5)], key="k", title="Work", unit="units"
    )
    assert chart.rows == (("now", ("4", "4", "4")), ("later", ("1", "5", "9.5")))
    band = [tuple(map(float, pair.split(","))) for pair in chart.band.split()]
    line = [tuple(map(float, pair.split(","))) for pair in chart.line.split()]
    assert len(band) == 4
    # Down the page is less: the upper edge, the line and the lower edge of the last week.
    assert band[1][1] < line[1][1] < band[2][1]
    assert "between 1 and 9.5" in chart.summary


def test_a_band_out_of_order_is_refused_and_an_empty_one_is_drawn_empty():
    with pytest.raises(ChartError, match="low, likely, high"):
        fan_chart([FanPoint("now", 4, 3, 5)], key="k", title="Work", unit="units")
    assert fan_chart([], key="k", title="Work", unit="units").summary == "No values."


def test_the_page_shows_twelve_weeks_for_every_family(owner):
    make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    outlooks.refresh_all(now=LATER)
    page = parse(owner.get(PAGE).content.decode())
    (calendar,) = page.xpath("//div[@aria-label='Intake calendar by family']/table")
    assert len(calendar.xpath(".//tbody/tr")) == 12
    assert len(calendar.xpath(".//thead/tr/th")) == 7
    cells = calendar.xpath(".//tbody/tr/td")
    said = {cell.text_content().split(",")[0] for cell in cells}
    assert said <= {"quiet", "busy", "full"}
    # On a phone a week is a block, and each of its lines names its family.
    families = [head.text for head in calendar.xpath(".//thead/tr/th")[1:]]
    assert [cell.get("data-label") for cell in cells[:6]] == families
    assert len(page.xpath("//polygon[@class='band']")) == 2
    # Now and the end of each week; and each week.
    assert [len(figure.xpath(".//tbody/tr")) for figure in page.xpath("//figure")] == [13, 12]


def test_who_is_away_is_said_until_it_is_over(owner):
    open_shop()
    today = timezone.now().date()
    tobin = documents(ShopKind.PERSON)["tobin"]
    absences = tuple(
        Absence(today + timedelta(days=first), today + timedelta(days=first + 3), note)
        for first, note in ((-9, "long over"), (-1, "at a fair"), (300, "far ahead"))
    )
    publish(ShopKind.PERSON, replace(tobin, absences=absences))
    forecasts.refresh(now=LATER)
    outlooks.refresh_all(now=LATER)
    said = words_of(owner.get(PAGE))
    assert "Away: Tobin Ashgrove from" in said
    assert "at a fair" in said
    assert "long over" not in said
    assert "far ahead" not in said


def test_before_the_worker_has_looked_ahead_the_page_says_when_it_will(owner):
    open_shop()
    assert "The worker has not looked ahead yet" in words_of(owner.get(PAGE))


def test_a_shop_that_cannot_be_forecast_says_why(owner):
    forecasts.refresh(now=LATER)
    assert "No working hours are set" in words_of(owner.get(PAGE))


@pytest.mark.parametrize("address", ["owner:weeks_ahead", "owner:what_if"])
@pytest.mark.parametrize(
    ("there", "link"),
    [
        ((), reverse("owner:edit", args=["hours", "hours"])),
        ((ShopKind.HOURS,), reverse("owner:entries", args=["work_centre"])),
        ((ShopKind.HOURS, ShopKind.WORK_CENTRE), reverse("owner:entries", args=["route"])),
    ],
)
def test_an_empty_shop_links_to_what_has_to_be_set_up_first(owner, address, there, link):
    usual = usual_shop()
    documents = {ShopKind.HOURS: usual.working_hours, ShopKind.WORK_CENTRE: usual.centres[0]}
    for kind in there:
        publish(kind, documents[kind])
    forecasts.refresh(now=LATER)
    (main,) = parse(owner.get(reverse(address)).content.decode()).xpath("//main")
    assert main.xpath(f".//a[@href='{link}']")
    for other in ("work_centre", "route"):
        place = reverse("owner:entries", args=[other])
        assert place == link or not main.xpath(f".//a[@href='{place}']")


@pytest.mark.parametrize("address", ["owner:weeks_ahead", "owner:what_if"])
def test_a_shop_that_is_set_up_is_not_sent_to_set_anything_up(owner, address):
    open_shop()
    (main,) = parse(owner.get(reverse(address)).content.decode()).xpath("//main")
    assert not main.xpath(f".//a[starts-with(@href, '{reverse('owner:data')}')]")


def test_the_page_is_read_and_nothing_is_worked_out_in_a_request(owner, django_assert_max_num_queries):
    make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    outlooks.refresh_all(now=LATER)
    before = list(OutlookPart.objects.values_list("pk", "computed_at"))
    with django_assert_max_num_queries(15):
        owner.get(PAGE)
    assert list(OutlookPart.objects.values_list("pk", "computed_at")) == before


def test_weeks_from_before_a_refusal_are_not_shown(owner):
    make_job(stage="inspected")
    forecasts.refresh(now=LATER)
    outlooks.refresh_all(now=LATER)
    ForecastRun.objects.create(
        computed_at=LATER + timedelta(hours=1), log_mark=0, overview={"refusal": "No bench is left."}
    )
    page = parse(owner.get(PAGE).content.decode())
    assert "No bench is left." in page.text_content()
    assert page.xpath("//figure | //table") == []


def test_an_old_calendar_is_called_old_though_the_bands_are_new():
    fresh, old = NOW - timedelta(hours=1), NOW - timedelta(hours=9)
    assert not is_behind(fresh, fresh, now=NOW)
    assert is_behind(fresh, old, now=NOW)
    assert is_behind(old, None, now=NOW)


@pytest.mark.parametrize(
    ("shelf_days", "words"),
    [
        (2.4, "quiet, 2 days"),
        (2.6, "busy, 3 days"),
        (5.4, "busy, 5 days"),
        (5.6, "full, 6 days"),
        (0.2, "quiet, no wait"),
    ],
)
def test_the_class_of_a_week_fits_the_days_beside_it(shelf_days, words):
    monday = date(2026, 3, 16)
    day = NewcomerDay(monday, monday, monday, monday, monday, (8.0,) * 4, shelf_days, 300)
    family = FamilyIntake("magneto", "Magneto", None, NewcomerCurve("magneto", NOW, (day,)))
    (row,) = calendar_rows(IntakeCalendar((family,), NOW, ""), closed=(), opens_on=NOW.date())
    (cell,) = row.cells
    assert f"{cell.word}, {cell.shelf}" == words


def test_a_week_in_a_closure_is_called_closed_and_not_quiet():
    monday = date(2026, 3, 16)
    shut = Shut(10, date(2026, 3, 30))
    day = NewcomerDay(monday, monday, monday, monday, monday, (8.0,) * 4, 0.2, 300, shut)
    family = FamilyIntake("magneto", "Magneto", None, NewcomerCurve("magneto", NOW, (day,)))
    (row,) = calendar_rows(IntakeCalendar((family,), NOW, ""), closed=[monday], opens_on=NOW.date())
    (cell,) = row.cells
    assert (cell.word, cell.shelf, cell.is_quiet) == ("closed", "until 30 Mar", False)


def test_a_week_with_work_in_it_from_which_a_unit_lies_through_a_closure_is_not_called_closed():
    monday = date(2026, 3, 16)
    day = NewcomerDay(
        monday, monday, monday, monday, monday, (8.0,) * 4, 0.2, 300, Shut(10, date(2026, 4, 6))
    )
    family = FamilyIntake("magneto", "Magneto", None, NewcomerCurve("magneto", NOW, (day,)))
    calendar = IntakeCalendar((family,), NOW, "")
    (row,) = calendar_rows(calendar, closed=[date(2026, 3, 23)], opens_on=NOW.date())
    assert (row.cells[0].word, row.cells[0].shelf) == ("waits", "until 6 Apr")


def test_closed_weeks_that_follow_each_other_are_said_as_one_stretch():
    mondays = [date(2026, 8, 3), date(2026, 8, 10), date(2026, 12, 28)]
    assert closed_stretches(mondays) == (
        (date(2026, 8, 3), date(2026, 8, 16)),
        (date(2026, 12, 28), date(2027, 1, 3)),
    )


def test_families_that_are_told_the_same_are_told_it_once():
    def row(name, sentence):
        monday = date(2026, 3, 16)
        return FamilyRow(
            name, SendingAdvice(name, Sending.NOW, monday, 1.0, 1.0, monday, monday, sentence), ()
        )

    rows = [row("Magneto", "Send it."), row("Injector", "Hold on."), row("Carburettor", "Send it.")]
    assert advice_by_sentence(rows) == (
        (("Magneto", "Carburettor"), "Send it."),
        (("Injector",), "Hold on."),
    )
