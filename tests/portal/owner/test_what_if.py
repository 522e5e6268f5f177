"""The page “What if”: every change reachable, refusals beside their field, the way through to the result."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from jobs.domain.stages import Turn
from jobs.leadtime.change_documents import KINDS
from jobs.models import WhatIfRun
from jobs.selectors.comparisons import find_run
from jobs.services import turns, whatif_runs
from packing.selectors import catalogue
from portal.owner.comparing import is_slow
from portal.owner.whatif_form import initial_of
from tests.factories import NOW, SECOND, make_job, open_shop
from tests.portal.reading import parse

pytestmark = pytest.mark.django_db
PAGE = reverse("owner:what_if")


@pytest.fixture(autouse=True)
def _few_runs(monkeypatch):
    monkeypatch.setattr(whatif_runs, "REPLICATIONS", 20)


@pytest.fixture
def owner(db, person, client_of):
    return client_of(person("owner"))


def words_of(response):
    return " ".join(parse(response.content.decode()).text_content().split())


def chosen(job):
    """Return what is typed for each kind of change."""
    return {
        "benches": {"bench": "fuel_bench:1"},
        "person_more": {"person": "more:tobin"},
        "person_fewer": {"person": "fewer:isolde"},
        "person_away": {"away": "tobin", "away_first": "2031-03-02", "away_last": "2031-03-20"},
        "closed_week": {"closed_week": None},
        "intake_paused": {"pause_first": "2031-03-02", "pause_last": "2031-03-20"},
        "intake_capped": {"most_per_week": "3"},
        "job_first": {"job": job.number},
        "runs_per_week": {"runs": "cleaning_tank:2"},
    }


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_change_can_be_asked_for(owner, kind):
    job = make_job(stage="inspected")
    typed = chosen(job)[kind]
    if kind == "closed_week":
        page = parse(owner.get(PAGE).content.decode())
        typed["closed_week"] = page.xpath("//select[@name='closed_week']/option")[2].get("value")
    answer = owner.post(PAGE, typed)
    if kind == "person_fewer":
        assert "Nobody would be left at “Ignition bench”" in words_of(answer)
        return
    run = WhatIfRun.objects.get()
    assert answer.url == reverse("owner:what_if_run", args=[run.reference])
    assert [each["kind"] for each in run.changes] == [kind]
    assert run.changes[0]["words"]


def test_a_refusal_stands_beside_its_field(owner):
    open_shop()
    answer = owner.post(PAGE, {"bench": "pump_room:-1", "most_per_week": "3"})
    page = parse(answer.content.decode())
    (field,) = page.xpath("//div[contains(@class, 'has-error')]")
    assert field.xpath(".//select/@name") == ["bench"]
    assert "would have no bench left" in field.text_content()
    assert page.xpath("//input[@name='most_per_week']/@value") == ["3"]
    assert not WhatIfRun.objects.exists()


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({}, "Choose one change, or two"),
        ({"bench": "fuel_bench:1", "person": "more:tobin", "most_per_week": "2"}, "3 changes are chosen"),
        ({"pause_first": "2031-03-02"}, "Enter both days of the pause"),
        ({"pause_first": "2031-03-02", "pause_last": "2031-03-01"}, "swap the days"),
        ({"away": "tobin", "away_first": "2031-03-02"}, "enter both days, or none of the three"),
        ({"away_first": "2031-03-02", "away_last": "2031-03-04"}, "Say who is away"),
        ({"away": "tobin", "away_first": "2031-03-02", "away_last": "2031-03-01"}, "swap the days"),
        ({"away": "tobin", "away_first": "2031-03-02", "away_last": "2033-03-01"}, "over a year"),
        ({"most_per_week": "-1"}, "has to be 0 or more"),
        ({"bench": "nowhere:1"}, "from the list"),
    ],
)
def test_what_cannot_be_tried_is_said(owner, typed, words):
    open_shop()
    answer = owner.post(PAGE, typed)
    assert answer.status_code == 200
    assert words in words_of(answer)
    assert not WhatIfRun.objects.exists()


def test_the_way_from_the_form_through_the_work_to_the_result(owner):
    job = make_job(stage="inspected")
    address = owner.post(PAGE, {"job": job.number, "most_per_week": "2"}).url
    waiting = owner.get(address)
    assert waiting["Refresh"] == "2"
    assert "Waiting for the worker to begin" in words_of(waiting)
    whatif_runs.work_next(now=NOW + timedelta(days=6))
    done = owner.get(address)
    assert "Refresh" not in done
    said = words_of(done)
    assert "At most 2 units taken in a week and job" in said
    assert "A unit that arrives today" in said
    assert "Carburettor" in said


def result_of(owner, **typed):
    address = owner.post(PAGE, typed).url
    whatif_runs.work_next(now=NOW + timedelta(days=6))
    return owner.get(address).content.decode()


def test_what_came_of_a_job_first_leads_to_putting_it_first(owner):
    job = make_job(stage="inspected")
    way = f'href="{reverse("workshop:turn", args=[job.number])}"'
    alone = result_of(owner, job=job.number)
    assert way in alone
    assert "Put job" in alone
    assert way not in result_of(owner, job=job.number, most_per_week="2")
    assert "Put job" not in result_of(owner, most_per_week="3")


def test_a_job_that_was_put_first_since_is_not_offered_again(owner):
    job = make_job(stage="inspected")
    address = owner.post(PAGE, {"job": job.number}).url
    whatif_runs.work_next(now=NOW + timedelta(days=6))
    who = {"actor": SECOND, "now": NOW + timedelta(days=7), "expected_count": None}
    turns.change_turn(job.number, turn=Turn.FIRST, reason="A regatta", **who)
    assert "Put job" not in owner.get(address).content.decode()


def test_the_same_form_sent_twice_leads_to_one_comparison(owner):
    open_shop()
    typed = {"most_per_week": "2", "reference": str(uuid4())}
    assert owner.post(PAGE, typed).url == owner.post(PAGE, typed).url
    assert WhatIfRun.objects.count() == 1


def test_two_people_see_each_their_own(owner):
    open_shop()
    mine = owner.post(PAGE, {"most_per_week": "2"}).url
    whatif_runs.ask_comparison(
        [KINDS["intake_capped"](9)],
        words=["at most 9"], reference=uuid4(), actor=SECOND, now=NOW + timedelta(days=4000),
    )  # fmt: skip
    whatif_runs.work_next(now=NOW)
    assert "At most 2 units" in words_of(owner.get(mine))
    theirs = WhatIfRun.objects.get(asked_by=SECOND.name)
    assert "Waiting for the worker" in words_of(
        owner.get(reverse("owner:what_if_run", args=[theirs.reference]))
    )


def test_cancelling_asks_no_script_and_says_so(owner):
    open_shop()
    address = owner.post(PAGE, {"most_per_week": "2"}).url
    run = WhatIfRun.objects.get()
    answer = owner.post(reverse("owner:cancel_what_if", args=[run.reference]), follow=True)
    assert answer.redirect_chain[0][0] == address
    assert "Cancelled by" in words_of(answer)
    again = owner.post(reverse("owner:cancel_what_if", args=[run.reference]), follow=True)
    assert "nothing was cancelled" in words_of(again)


def test_a_comparison_that_nobody_works_on_says_why(owner):
    open_shop()
    address = owner.post(PAGE, {"most_per_week": "2"}).url
    WhatIfRun.objects.update(asked_at=NOW)
    assert "it has stopped" in words_of(owner.get(address))


@pytest.mark.parametrize(("state", "words"), [("failed", "met a fault"), ("expired", "kept for a week")])
def test_a_failed_and_an_expired_comparison_offer_to_ask_again(owner, state, words):
    open_shop()
    address = owner.post(PAGE, {"bench": "fuel_bench:1"}).url
    WhatIfRun.objects.update(state=state, refusal=whatif_runs.FAULT if state == "failed" else "")
    page = owner.get(address)
    assert words in words_of(page)
    again = f"{PAGE}?again={WhatIfRun.objects.get().reference}"
    assert again in page.content.decode()
    form = parse(owner.get(again).content.decode())
    assert form.xpath("//select[@name='bench']/option[@selected]/@value") == ["fuel_bench:1"]


def test_every_change_fills_the_form_it_came_from():
    monday = date(2031, 3, 3)
    changes = [
        KINDS["benches"]("fuel_bench", -1), KINDS["person_more"]("tobin"), KINDS["closed_week"](monday),
        KINDS["intake_paused"](monday, monday), KINDS["intake_capped"](0), KINDS["job_first"]("4821095"),
        KINDS["runs_per_week"]("cleaning_tank", 3),
    ]  # fmt: skip
    assert initial_of(changes) == {
        "bench": "fuel_bench:-1", "person": "more:tobin", "closed_week": "2031-03-03", "pause_first": monday,
        "pause_last": monday, "most_per_week": 0, "job": "4821095", "runs": "cleaning_tank:3",
    }  # fmt: skip
    assert initial_of([KINDS["person_fewer"]("piers")]) == {"person": "fewer:piers"}
    assert initial_of([KINDS["person_away"]("piers", monday, monday)]) == {
        "away": "piers",
        "away_first": monday,
        "away_last": monday,
    }


def test_one_that_stands_behind_another_may_wait_as_much_longer():
    first, second = (WhatIfRun.objects.create(changes=[], asked_by="Ada", asked_at=NOW) for _ in range(2))
    WhatIfRun.objects.filter(pk=second.pk).update(asked_at=NOW + timedelta(seconds=1))
    found = [find_run(run.reference, published=catalogue()) for run in (first, second)]
    assert [run.before_it for run in found] == [0, 1]
    slow = [
        [is_slow(run, now=NOW + timedelta(seconds=after_s)) for run in found] for after_s in (50, 90, 150)
    ]
    assert slow == [[False, False], [True, False], [True, True]]


def test_a_shop_without_hours_gets_a_sentence_and_no_form(owner):
    answer = owner.get(PAGE)
    assert answer.status_code == 200
    assert "No working hours are set" in words_of(answer)


def test_an_unknown_comparison_is_not_found(owner):
    assert owner.get(reverse("owner:what_if_run", args=[uuid4()])).status_code == 404
