"""A mail that could not be sent leads to the job whose customer has to be rung."""

import pytest
from django.urls import reverse

from jobs.models import OutboxMessage
from tests.factories import NOW, make_job, open_shop
from tests.portal.reading import parse

pytestmark = pytest.mark.django_db


def test_the_job_of_a_mail_that_could_not_be_sent_is_one_click_away(person, client_of):
    open_shop()
    job = make_job(stage="booked")
    OutboxMessage.objects.create(
        job=job, kind="cleared", key="k", recipient="ada@example.com", state="given_up", tries=6,
        run_after=NOW, created_at=NOW, last_error="550 no such mailbox",
    )  # fmt: skip
    page = parse(client_of(person("owner")).get(reverse("owner:dashboard")).content.decode())
    (link,) = page.xpath("//section[@aria-labelledby='mails']//a/@href")
    assert link == reverse("workshop:job", args=[job.number])
