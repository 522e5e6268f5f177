"""The log on a job's page: the newest entries at once, the older ones folded away and all there."""

import pytest
from django.utils import timezone

from jobs.services import answers
from tests.factories import WORKSHOP, make_job
from tests.portal.reading import parse

pytestmark = pytest.mark.django_db
SHOWN = 8


def log_of(page):
    section = parse(page).xpath("//section[@aria-labelledby='log']")[0]
    return section.xpath("./ol/li"), section.xpath("./details//li")


def test_a_short_log_is_not_folded(page_of):
    shown, folded = log_of(page_of(make_job(stage="cleared")).encode())
    assert len(shown) >= 2
    assert folded == []


def test_of_a_long_log_the_newest_stand_open_and_the_rest_is_folded_and_complete(page_of):
    job = make_job(stage="cleared")
    for at in range(12):
        answers.add_note(job.number, text=f"Note {at}", actor=WORKSHOP, now=timezone.now())
    job.refresh_from_db()
    page = page_of(job)
    shown, folded = log_of(page.encode())
    assert len(shown) == SHOWN
    assert len(shown) + len(folded) == job.event_count
    assert "Note 11" in shown[0].text_content()
    assert "Note 3" in folded[0].text_content()
    assert f'start="{job.event_count}"' in page
    assert f"{len(folded)} entries before these" in page
