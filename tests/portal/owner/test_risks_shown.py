"""Of many promises at risk the page shows the worst and counts the others."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from portal.owner import risks
from portal.templatetags.portal_format import job_number
from tests.factories import make_job
from tests.portal.owner.test_dashboard import owner, promise  # noqa: F401
from tests.portal.reading import parse, words_of

pytestmark = pytest.mark.django_db


def test_the_worst_promises_are_shown_and_the_others_counted(owner, monkeypatch):  # noqa: F811
    monkeypatch.setattr(risks, "SHOWN_MOST", 1)
    jobs = [make_job(stage="stripped") for _ in range(2)]
    today: date = timezone.localdate()
    for job, days_ago in zip(jobs, (3, 30), strict=True):
        promised = today - timedelta(days=days_ago)
        promise(job, promised=promised, likely=today, latest=today)
    page = words_of(parse(owner.get(reverse("owner:dashboard")).content.decode()))
    section = page[page.rindex("What takes the time") : page.rindex("Where the jobs stand")]
    shown = [job_number(job.number).replace("\xa0", " ") in section.replace("\xa0", " ") for job in jobs]
    assert shown == [False, True]
    assert "1 more stands behind these" in section
