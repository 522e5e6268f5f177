"""The photo of a finding is kept with the finding it shows, and with nothing else."""

import pytest

from jobs.domain.stages import EventKind
from jobs.models import JobEvent, Photo
from tests import factories as make
from tests.portal.workshop.conftest import a_photo

pytestmark = pytest.mark.django_db
CRACK = {"text": "Crack 12 mm long at the base ear", "severity": "3"}


def findings(job):
    return JobEvent.objects.filter(job=job, kind=EventKind.FINDING_RECORDED.value)


def test_a_stale_finding_keeps_no_photo_and_sent_again_it_keeps_one(send):
    job = make.make_job(stage="stripped")
    stale = send(job, "finding", seen=job.event_count - 1, photo=a_photo(), **CRACK)
    assert (stale.status_code, findings(job).count(), Photo.objects.count()) == (409, 0, 0)
    assert "Choose the photo again" in stale.content.decode()
    assert send(job, "finding", photo=a_photo(), **CRACK).status_code == 302
    assert (findings(job).count(), Photo.objects.count()) == (1, 1)


def test_a_finding_that_is_refused_keeps_no_photo(send):
    job = make.make_job(stage="closed")
    assert send(job, "finding", photo=a_photo(), **CRACK).status_code == 422
    assert (findings(job).count(), Photo.objects.count()) == (0, 0)


def test_the_photo_names_its_finding_and_goes_with_it_when_that_is_taken_back(send):
    job = make.make_job(stage="stripped")
    send(job, "finding", photo=a_photo(), **CRACK)
    send(job, "finding", photo=a_photo(), text="Bowl seam weeps", severity="1")
    first, second = findings(job).order_by("number")
    shots = [f"finding_{found.number}" for found in (first, second)]
    assert list(Photo.objects.order_by("pk").values_list("shot", flat=True)) == shots
    send(job, "take-back", text="Another unit's bowl")
    assert list(Photo.objects.filter(withdrawn_at__isnull=True).values_list("shot", flat=True)) == shots[:1]
