"""The owner sees how past quotes came true: with none, few and many, in a chart, a table and a file."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.domain.stages import Turn
from jobs.leadtime.drift import Direction, Drift
from jobs.leadtime.routes import BenchStep
from jobs.models import ForecastRun, KeptQuote
from jobs.services import forecasts, turns
from packing.plain import to_plain
from portal.owner.axes import ChartError
from portal.owner.diagonal import Kept, diagonal_chart
from tests.factories import NOW, OWNER, make_job, open_shop, walk_to

pytestmark = pytest.mark.django_db
URL = "owner:quotes"
LATE = [0.01 * step for step in range(1, 20)]
EARLY = [900.0 + step for step in range(1, 20)]


@pytest.fixture(autouse=True)
def _few_runs(monkeypatch):
    monkeypatch.setattr(forecasts, "REPLICATIONS", 40)


@pytest.fixture
def owner(db, person, client_of):
    return client_of(person("owner"))


def keep(count, *, hours, first=0):
    for at in range(count):
        booked_at = NOW - timedelta(days=60 - at)
        job = make_job(stage="booked" if at < first else "packed", name=f"=Thornby {at}", now=booked_at)
        if at < first:
            who = {"actor": OWNER, "now": booked_at, "expected_count": None}
            turns.change_turn(job.number, turn=Turn.FIRST, reason="A regatta", **who)
            job = walk_to(job, stage="packed", now=booked_at)
        KeptQuote.objects.create(
            job=job, moment="arrival", family=job.family, computed_at=job.arrived_at - timedelta(days=7),
            earliest_on=NOW.date(), likely_on=NOW.date(), latest_on=NOW.date(), based_on="seed",
            quantile_hours=list(hours), quoted_levels=[0.1, 0.5, 0.8, 0.9],
        )  # fmt: skip


def read(owner):
    return owner.get(reverse(URL)).content.decode()


def test_without_a_quote_the_page_says_when_there_will_be_one(owner):
    assert "No quote is kept yet" in read(owner)
    open_shop()
    forecasts.refresh(now=NOW)
    page = read(owner)
    assert "No quote is kept yet" in page
    assert "No step takes longer" in page


def test_a_quote_that_is_too_young_is_counted_and_not_judged(owner):
    keep(1, hours=EARLY)
    forecasts.refresh(now=NOW)
    page = read(owner)
    assert "too young to be judged" in page
    assert '<figure class="chart"' not in page


def test_few_late_quotes_are_judged_and_said_to_be_few(owner):
    keep(4, hours=LATE)
    forecasts.refresh(now=NOW)
    page = read(owner)
    assert "Of 4 that can be judged, 0 were: 0 in 100." in page
    assert "4 quotes are few" in page
    assert "too few for a verdict" in page
    assert "Too few to tell whether dates come true" in page
    assert "later dates are told" not in page
    chart = page.split('<figure class="chart"')[1].split("</figure>")[0]
    assert chart.count('class="span"') == 19
    assert chart.count('class="head-mark"') == 3
    assert chart.count("<tr>") == 20


@pytest.mark.parametrize(
    ("first", "rows", "sentence"),
    [
        (0, 0, "all of these waited in their turn"),
        (2, 2, "some were put there only after their quote was made"),
        (4, 0, "none of these waited in its turn"),
    ],
)
def test_both_places_in_the_queue_have_a_row_once_there_are_quotes_of_both(owner, first, rows, sentence):
    keep(4, hours=LATE, first=first)
    forecasts.refresh(now=NOW)
    page = read(owner)
    named = ("In their turn, whole shop", "Put first, whole shop")
    assert sum(f'<th scope="row">{name}' in page for name in named) == rows
    assert sentence in page


def test_a_run_that_did_not_judge_the_places_in_the_queue_says_nothing_of_them(owner):
    keep(4, hours=LATE)
    forecasts.refresh(now=NOW)
    run = ForecastRun.objects.get()
    del run.overview["record"]["in_turn"]
    run.save()
    page = read(owner)
    assert "Of 4 that can be judged" in page
    assert "in their turn" not in page


def test_the_page_says_how_many_quotes_are_still_being_worked_out(owner):
    ForecastRun.objects.create(
        computed_at=NOW, log_mark=0, overview={"replays": {"done": 45, "wanted": 120}, "drifts": []}
    )
    page = read(owner)
    assert "45 of 120 so far" in page
    assert "could be worked out" not in page
    run = ForecastRun.objects.get()
    run.overview["replays"]["refused"] = 2
    run.save()
    assert "For 2 units of that time no quote could be worked out" in read(owner)


def test_a_step_that_has_changed_is_told_in_words(owner):
    open_shop()
    forecasts.refresh(now=NOW)
    run = ForecastRun.objects.get()
    drift = Drift(
        BenchStep.CLEAN, Direction.SLOWER, NOW.date(), NOW.date(), 1.2, 30, "The step “clean” takes longer."
    )
    run.overview["drifts"] = [to_plain(drift)]
    run.save()
    page = read(owner)
    assert "The step “clean” takes longer." in page
    assert "Found on 10 March 2026." in page


def test_every_kept_quote_leaves_as_a_row_of_csv(owner):
    keep(3, hours=LATE)
    KeptQuote.objects.update(computed_at=timezone.now() - timedelta(days=5))
    answer = owner.get(reverse(URL), {"as": "csv"})
    lines = b"".join(answer.streaming_content).decode("utf-8-sig").splitlines()
    assert len(lines) == 4
    assert "on arrival" in lines[1]
    assert lines[0].startswith("job,family,moment,quoted_at")
    assert answer.headers["Content-Disposition"].startswith('attachment; filename="quotes-')


def test_the_page_asks_as_often_with_many_quotes_as_with_few(owner, django_assert_max_num_queries):
    keep(2, hours=LATE)
    forecasts.refresh(now=NOW)
    read(owner)
    with django_assert_max_num_queries(12) as few:
        read(owner)
    keep(4, hours=LATE)
    forecasts.refresh(now=NOW)
    with django_assert_max_num_queries(12) as many:
        read(owner)
    assert len(few) == len(many)


def test_a_point_on_the_diagonal_is_drawn_there_and_one_that_came_late_below_it():
    chart = diagonal_chart(
        [Kept(50, 50, 40, 60), Kept(80, 60, 50, 70, named=True)],
        key="k", title="t", summary="s", x_unit="x", y_unit="y",
    )  # fmt: skip
    honest, late = chart.marks
    assert honest.x - chart.left == pytest.approx(chart.bottom - honest.y, abs=0.02)
    assert late.x - chart.left > chart.bottom - late.y
    assert late.y_high < late.y < late.y_low
    assert (bool(honest.diamond), bool(late.diamond)) == (False, True)


@pytest.mark.parametrize("point", [Kept(101, 50, 40, 60), Kept(50, 50, 51, 60), Kept(50, float("nan"), 0, 1)])
def test_a_point_that_cannot_be_is_refused(point):
    with pytest.raises(ChartError):
        diagonal_chart([point], key="k", title="t", summary="s", x_unit="x", y_unit="y")
