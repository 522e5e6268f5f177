"""An unlikely day of draining is asked about once more: it is declared on the slip as it was typed."""

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.domain.stages import EventKind
from jobs.models import JobEvent
from tests.factories import make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def send(shop, let_in):
    """Return a function that says on which day a unit booked five days ago was drained."""
    job = make_job(stage="cleared", now=timezone.now() - timedelta(days=5))
    browser = let_in(job)

    def post(day, *, follow=False, **more):
        answers = {"drained_on": f"{day:%Y-%m-%d}", "drained_time": "00:01", **more}
        return browser.post(f"/job/{job.number}/drained/", answers, follow=follow)

    return post


def days_ago(days):
    return timezone.localdate() - timedelta(days=days)


def is_recorded():
    return JobEvent.objects.filter(kind=EventKind.DRAINED.value).exists()


@pytest.mark.parametrize(
    ("ago", "why"),
    [
        (6, "is before the day you booked"),
        (61, "is more than 60 days ago"),
        (9500, "is more than 60 days ago"),
    ],
)
def test_an_unlikely_day_is_asked_about_and_what_was_typed_stays(send, ago, why):
    page = send(days_ago(ago), follow=True).content.decode()
    assert why in page
    assert f'value="{days_ago(ago):%Y-%m-%d}"' in page
    assert 'value="00:01"' in page
    assert 'name="sure"' in page
    assert not is_recorded()


@pytest.mark.parametrize("ago", [6, 61])
def test_a_day_that_was_said_to_be_right_is_taken(send, ago):
    assert send(days_ago(ago), sure="on").status_code == 302
    assert is_recorded()


@pytest.mark.parametrize("ago", [0, 5])
def test_a_usual_day_is_taken_without_asking(send, ago):
    assert send(days_ago(ago)).status_code == 302
    assert is_recorded()


def test_nothing_is_asked_before_a_day_is_given(shop, let_in):
    job = make_job(stage="cleared")
    assert 'name="sure"' not in let_in(job).get(f"/job/{job.number}/pack/").content.decode()
