"""One unit through every stage, by the services alone."""

import pytest

from jobs.domain.errors import IllegalTransition, StaleEdit
from jobs.models import Job, JobEvent, OutboxMessage
from jobs.selectors.shop_state import states_of
from jobs.services import bench
from jobs.services._steps import CACHED, set_cache
from tests.factories import NOW, STAGES_IN_ORDER, WORKSHOP, make_booking, make_box, make_job

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("stage", [*STAGES_IN_ORDER, "declined"])
def test_a_job_reaches_the_stage_by_services_alone(stage):
    assert make_job(stage=stage).stage == stage


def test_the_cache_equals_the_log():
    job = make_job(stage="closed")
    kept = {name: getattr(job, name) for name in CACHED}
    set_cache(job, state=states_of([job])[job.pk])
    assert {name: getattr(job, name) for name in CACHED} == kept


def test_sending_the_same_booking_twice_gives_one_job():
    from jobs.services.bookings import send_booking

    booking = make_booking()
    first = send_booking(booking.reference, now=NOW)
    second = send_booking(booking.reference, now=NOW)
    assert first == second
    assert Job.objects.count() == 1


def test_the_customer_is_mailed_once_for_each_telling_event():
    job = make_job(stage="closed")
    kinds = list(OutboxMessage.objects.filter(job=job).order_by("pk").values_list("kind", flat=True))
    assert kinds == [
        "booking_received",
        "cleared",
        "arrived",
        "inspected",
        "ready",
        "sent_back",
        "closed",
    ]


def test_a_log_row_is_never_changed():
    from jobs.models.event import AppendOnlyError

    job = make_job()
    event = JobEvent.objects.get(job=job, number=1)
    event.actor_name = "somebody else"
    with pytest.raises(AppendOnlyError):
        event.save()


def test_an_edit_on_an_old_page_is_refused():
    job = make_job(stage="inspected")
    with pytest.raises(StaleEdit):
        bench.pause_work(job.number, note="", actor=WORKSHOP, now=NOW, expected_count=job.event_count - 1)


def test_a_step_that_is_not_next_on_the_route_is_refused():
    from jobs.domain.facts import BenchWork

    job = make_job(stage="inspected")
    with pytest.raises(IllegalTransition, match="not next"):
        bench.finish_work(
            job.number, work=BenchWork(step="test"), actor=WORKSHOP, now=NOW, expected_count=None
        )


def test_a_box_nobody_announced_is_a_job_at_once():
    assert make_box().stage == "arrived"
