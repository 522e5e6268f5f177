"""A job goes before the others, or waits in its turn again, with a reason, and the forecast follows."""

from dataclasses import replace
from datetime import timedelta

import pytest

from jobs.domain.errors import IllegalTransition, MissingFact, StaleEdit
from jobs.domain.replies import reply_to_read
from jobs.domain.stages import Turn
from jobs.leadtime.forecast import forecast_shop
from jobs.leadtime.state import Priority
from jobs.models import Job, JobEvent, OutboxMessage
from jobs.selectors.logs import log_of
from jobs.selectors.shop_state import shop_state, states_of
from jobs.services import answers, forecasts, turns
from tests.factories import NOW, OWNER, WORKSHOP, make_job

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=6)
WHO = {"actor": WORKSHOP, "now": LATER, "expected_count": None}
WHY = "It is wanted for a wedding on the 28th."


def put_first(job, **more):
    return turns.change_turn(job.number, turn=Turn.FIRST, reason=WHY, **{**WHO, **more})


def put_back(job, **more):
    return turns.change_turn(job.number, turn=Turn.IN_TURN, reason="The wedding is off.", **{**WHO, **more})


def test_the_row_and_the_log_say_that_a_job_is_first_and_why():
    job = make_job(stage="inspected")
    put_first(job)
    job.refresh_from_db()
    state = states_of([job])[job.pk]
    assert (job.priority, job.stage) == (True, "inspected")
    assert (state.turn, state.turn_reason) == (Turn.FIRST, WHY)


def test_a_job_put_back_waits_in_its_turn_again():
    job = make_job(stage="inspected")
    put_first(job)
    put_back(job, actor=OWNER)
    assert Job.objects.get(pk=job.pk).priority is False
    kinds = JobEvent.objects.filter(job=job, kind="turn_changed").order_by("number")
    assert list(kinds.values_list("actor_name", flat=True)) == [WORKSHOP.name, OWNER.name]


@pytest.mark.parametrize("turn", Turn)
def test_without_a_reason_it_is_refused(turn):
    job = make_job(stage="inspected")
    with pytest.raises(MissingFact, match="Say why"):
        turns.change_turn(job.number, turn=turn, reason="  ", **WHO)
    assert not JobEvent.objects.filter(job=job, kind="turn_changed").exists()


def test_a_job_that_has_that_place_already_is_refused_in_a_sentence():
    job = make_job(stage="inspected")
    with pytest.raises(IllegalTransition, match="in its turn already"):
        put_back(job)
    put_first(job)
    with pytest.raises(IllegalTransition, match="put first already"):
        put_first(job)
    assert JobEvent.objects.filter(job=job, kind="turn_changed").count() == 1


def test_a_packed_unit_waits_in_no_queue():
    job = make_job(stage="packed")
    with pytest.raises(IllegalTransition, match="cannot be recorded now"):
        put_first(job)


def test_an_entry_drawn_before_somebody_elses_is_refused():
    job = make_job(stage="inspected")
    seen = job.event_count
    put_first(job, expected_count=seen)
    with pytest.raises(StaleEdit):
        put_back(job, expected_count=seen)
    assert Job.objects.get(pk=job.pk).priority is True


def test_the_customer_gets_no_mail_of_it():
    job = make_job(stage="inspected")
    before = OutboxMessage.objects.count()
    put_first(job)
    put_back(job)
    assert OutboxMessage.objects.count() == before


def test_an_answer_is_still_to_be_read_after_the_owner_put_the_job_first():
    job = make_job(stage="inspected")
    answers.ask_question(job.number, text="Which jet?", **WHO)
    answers.answer_question(job.number, text="The 135", actor=WORKSHOP, now=LATER)
    put_first(job, actor=OWNER)
    assert reply_to_read(log_of(job)).answer == "The 135"


def mean_hours():
    # Without newcomers, whose share of urgent ones, and so whose luck, is another once a job was put first.
    state = replace(shop_state(now=LATER), arrivals=())
    found = forecast_shop(state, now=LATER, replications=60)
    return {each.job_number: sum(each.quantile_hours) / len(each.quantile_hours) for each in found.jobs}


def test_a_job_put_first_is_forecast_earlier_and_back_in_turn_where_it_was():
    for at in range(12):
        make_job(stage="inspected", name=f"Customer {at}")
    job = make_job(stage="inspected", name="Late Comer")
    before = mean_hours()
    put_first(job)
    (mine,) = [each for each in shop_state(now=LATER).jobs if each.priority is Priority.URGENT]
    assert mine.job_number == job.number
    first = mean_hours()
    assert first[job.number] < before[job.number] - 0.5
    assert max(first[number] - before[number] for number in before if number != job.number) > 0.0
    put_back(job)
    assert mean_hours() == before


def test_the_worker_forecasts_anew_once_a_job_was_put_first(monkeypatch):
    monkeypatch.setattr(forecasts, "REPLICATIONS", 40)
    job = make_job(stage="inspected")
    soon = LATER + timedelta(hours=1)
    for now in (LATER, soon - timedelta(minutes=1)):
        forecasts.refresh(now=now)  # the first one records a promise, which is a change of its own
    assert not forecasts.refresh_if_stale(now=soon)
    put_first(job)
    assert forecasts.refresh_if_stale(now=soon)
