"""A comparison asked for on a page: worked out in order, cancelled, refused, taken up again, let go."""

from datetime import date, timedelta
from uuid import uuid4

import pytest

from jobs.demo.five_people import FAMILIES
from jobs.leadtime.change_documents import KINDS, read_changes, write_changes
from jobs.leadtime.changes import (
    Benches,
    ClosedWeek,
    IntakeCapped,
    IntakePaused,
    JobFirst,
    OnePersonFewer,
    OnePersonMore,
    PersonAway,
    RunsPerWeek,
)
from jobs.leadtime.errors import ChangeRefused
from jobs.leadtime.whatif import WhatIf
from jobs.models import ForecastRun, WhatIfRun
from jobs.services import whatif_runs
from packing.plain import from_plain
from tests.factories import NOW, OWNER, SECOND, make_job, open_shop

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=6)
MONDAY = date(2026, 3, 23)
EACH = (
    Benches("fuel_bench", 1),
    OnePersonMore("tobin"),
    OnePersonFewer("wren"),
    PersonAway("tobin", MONDAY, MONDAY + timedelta(days=4)),
    ClosedWeek(MONDAY),
    IntakePaused(MONDAY, MONDAY + timedelta(days=13)),
    IntakeCapped(4),
    JobFirst("4821093"),
    RunsPerWeek("cleaning_tank", 2),
)


@pytest.fixture(autouse=True)
def _few_runs(monkeypatch):
    monkeypatch.setattr(whatif_runs, "REPLICATIONS", 20)


def ask(*changes, now=LATER, actor=OWNER, reference=None):
    words = [type(change).__name__ for change in changes]
    return whatif_runs.ask_comparison(
        changes, words=words, reference=reference or uuid4(), actor=actor, now=now
    )


def test_every_kind_of_change_is_written_and_read():
    assert {type(change) for change in EACH} == set(KINDS.values())
    assert read_changes(write_changes(EACH)) == EACH


@pytest.mark.parametrize("change", EACH, ids=lambda change: type(change).__name__)
def test_every_kind_of_change_is_worked_out_or_refused_in_words(change):
    job = make_job(stage="inspected")
    run = ask(JobFirst(job.number) if isinstance(change, JobFirst) else change)
    assert whatif_runs.work_next(now=LATER) is True
    run.refresh_from_db()
    # Only Wren strips, so the shop cannot do without her.
    wanted = "refused" if isinstance(change, OnePersonFewer) else "done"
    assert run.state == wanted, run.refusal
    if wanted == "done":
        found = from_plain(WhatIf, run.result)
        assert [row.job_number for row in found.jobs] == [job.number]
        assert len(found.newcomers) == len(FAMILIES)
        assert run.progress_share == 1.0
    else:
        assert "Nobody would be left" in run.refusal


def test_two_people_get_their_own_in_the_order_of_asking():
    open_shop()
    first = ask(IntakeCapped(2))
    second = ask(IntakeCapped(9), now=LATER + timedelta(seconds=1), actor=SECOND)
    whatif_runs.work_next(now=LATER)
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.state, second.state) == ("done", "waiting")
    whatif_runs.work_next(now=LATER)
    second.refresh_from_db()
    assert from_plain(WhatIf, second.result).changes == ("at most 9 units taken in a week",)
    assert whatif_runs.work_next(now=LATER) is False


def test_the_same_form_sent_twice_asks_once():
    reference = uuid4()
    assert ask(IntakeCapped(2), reference=reference).pk == ask(IntakeCapped(2), reference=reference).pk
    assert WhatIfRun.objects.count() == 1


def test_none_and_too_many_changes_are_refused():
    with pytest.raises(ChangeRefused, match="Choose one change"):
        ask()
    with pytest.raises(ChangeRefused, match="Choose one change"):
        ask(IntakeCapped(2), ClosedWeek(MONDAY), Benches("fuel_bench", 1))


def test_a_full_queue_of_comparisons_is_refused(monkeypatch):
    monkeypatch.setattr(whatif_runs, "MOST_OPEN", 1)
    ask(IntakeCapped(2))
    with pytest.raises(ChangeRefused, match="waiting already"):
        ask(IntakeCapped(3))


def test_a_waiting_comparison_is_cancelled_and_never_worked_out():
    run = ask(IntakeCapped(2))
    assert whatif_runs.cancel_comparison(run.reference, actor=SECOND, now=LATER) is True
    assert whatif_runs.work_next(now=LATER) is False
    run.refresh_from_db()
    assert (run.state, run.refusal) == ("cancelled", "Cancelled by Wren Castlemoor.")


def test_cancelling_while_it_is_worked_on_stops_the_work(monkeypatch):
    open_shop()
    run = ask(IntakeCapped(2))
    honest = whatif_runs.compare_change

    def cancelled_on_the_way(*args, on_progress, **more):
        whatif_runs.cancel_comparison(run.reference, actor=OWNER, now=LATER)
        return honest(*args, on_progress=on_progress, **more)

    monkeypatch.setattr(whatif_runs, "compare_change", cancelled_on_the_way)
    assert whatif_runs.work_next(now=LATER) is True
    run.refresh_from_db()
    assert (run.state, run.result) == ("cancelled", {})


def test_what_is_done_cannot_be_cancelled():
    open_shop()
    run = ask(IntakeCapped(2))
    whatif_runs.work_next(now=LATER)
    assert whatif_runs.cancel_comparison(run.reference, actor=OWNER, now=LATER) is False


def test_a_fault_is_said_and_does_not_stop_the_worker(monkeypatch):
    open_shop()
    run = ask(IntakeCapped(2))

    def broken(*_args, **_more):
        raise ZeroDivisionError

    monkeypatch.setattr(whatif_runs, "compare_change", broken)
    assert whatif_runs.work_next(now=LATER) is True
    run.refresh_from_db()
    assert (run.state, run.refusal) == ("failed", whatif_runs.FAULT)


def test_a_shop_without_hours_refuses_in_words():
    run = ask(IntakeCapped(2))
    whatif_runs.work_next(now=LATER)
    run.refresh_from_db()
    assert run.state == "refused"
    assert "No working hours are set" in run.refusal


def test_a_comparison_whose_worker_died_is_taken_up_once_more_then_given_up():
    open_shop()
    run = ask(IntakeCapped(2))
    WhatIfRun.objects.filter(pk=run.pk).update(state="running", tries=1, lease_until=LATER)
    assert whatif_runs.work_next(now=LATER - timedelta(seconds=1)) is False
    assert whatif_runs.work_next(now=LATER) is True
    run.refresh_from_db()
    assert run.state == "done"
    WhatIfRun.objects.filter(pk=run.pk).update(state="running", tries=2, lease_until=LATER)
    assert whatif_runs.work_next(now=LATER) is False
    run.refresh_from_db()
    assert (run.state, run.refusal) == ("failed", whatif_runs.STOPPED)


def test_a_result_is_let_go_after_a_week_and_the_row_later():
    open_shop()
    run = ask(IntakeCapped(2))
    whatif_runs.work_next(now=LATER)
    assert whatif_runs.expire_old(now=LATER + timedelta(days=6)) == 0
    assert whatif_runs.expire_old(now=LATER + timedelta(days=8)) == 1
    run.refresh_from_db()
    assert (run.state, run.result) == ("expired", {})
    whatif_runs.expire_old(now=LATER + timedelta(days=61))
    assert not WhatIfRun.objects.exists()


def test_a_comparison_that_takes_long_stays_with_its_worker():
    open_shop()
    run = ask(IntakeCapped(2))
    spent_s = iter(range(0, 100_000, 240))  # four minutes between any two looks, the lease is five
    others = []

    def stopwatch():
        now_s = next(spent_s)
        others.append(whatif_runs.work_next(now=LATER + timedelta(seconds=now_s)) if now_s else None)
        return float(now_s)

    assert whatif_runs.work_next(now=LATER, stopwatch=stopwatch) is True
    assert len(others) > 3
    assert not any(others)
    run.refresh_from_db()
    assert (run.state, run.tries) == ("done", 1)


def test_dates_are_compared_at_the_levels_of_the_newest_run():
    make_job(stage="inspected")
    runs = []
    for high in (0.8, 0.97):
        levels = {"low": 0.1, "likely": 0.5, "high": high, "latest": 0.98}
        record = {
            "quotes": 9, "replayed": 0, "unripe": 0, "points": [], "families": [],
            "levels": [{"family": "", "levels": levels, "quotes": 9}],
        }  # fmt: skip
        ForecastRun.objects.create(
            computed_at=LATER + timedelta(seconds=len(runs)), log_mark=0, overview={"record": record}
        )
        runs.append(ask(IntakeCapped(2), now=LATER + timedelta(seconds=len(runs))))
        whatif_runs.work_next(now=LATER)
        runs[-1].refresh_from_db()
    trusted, moved = (from_plain(WhatIf, run.result).newcomers for run in runs)
    assert all(a.high_before < b.high_before for a, b in zip(trusted, moved, strict=True))
    assert [a.likely_before for a in trusted] == [b.likely_before for b in moved]
