"""A promise whose job was refused a date stands among those at risk, with why no date can be told."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.leadtime.errors import QueueTooLong
from jobs.leadtime.ranges import Refusal
from jobs.models import ForecastRun, Job
from jobs.selectors import reports
from jobs.selectors.outlook import Chances
from jobs.selectors.promises_at_risk import RiskKind
from packing import selectors as catalogue
from packing.plain import to_plain
from portal.owner.risks import risk_lines
from portal.templatetags.portal_format import job_number
from tests.factories import NOW, make_job
from tests.portal.owner.test_dashboard import open_now, owner, promise  # noqa: F401
from tests.portal.reading import parse, words_of

pytestmark = pytest.mark.django_db
SENTENCE = str(QueueTooLong("carburettor"))
NO_CHANCES = Chances({})


def promised(day):
    job = make_job(stage="stripped")
    Job.objects.filter(pk=job.pk).update(
        promise_earliest_on=day, promise_likely_on=day, promise_latest_on=day
    )
    return job


def test_a_promise_without_a_date_is_told_with_the_reason(owner):  # noqa: F811
    job = promised(timezone.localdate() + timedelta(days=20))
    refusal = Refusal("carburettor", SENTENCE, job.number)
    ForecastRun.objects.create(
        computed_at=timezone.now(), log_mark=0, overview={"refusals": to_plain((refusal,))}
    )
    page = words_of(parse(owner.get(reverse("owner:dashboard")).content.decode())).replace("\xa0", " ")
    section = page[page.rindex("What takes the time") : page.rindex("Where the jobs stand")]
    assert job_number(job.number).replace("\xa0", " ") in section
    assert "no date can be told" in section
    assert SENTENCE in section
    assert "For 1 promised unit no date can be told any more." in page
    assert "safe as things stand" not in page


def test_the_newest_run_names_the_jobs_it_refused_and_not_the_families():
    refusals = (Refusal("carburettor", SENTENCE, "4821095"), Refusal("magneto", "No route."))
    ForecastRun.objects.create(computed_at=NOW, log_mark=0, overview={"refusals": to_plain(refusals)})
    now = reports.forecast_now(published=catalogue.catalogue())
    assert now.refused_jobs == {"4821095": SENTENCE}


def test_no_date_comes_behind_a_day_that_is_over_and_before_a_likely_miss():
    over, untold, likely = promised(date(2026, 3, 1)), promised(date(2026, 4, 1)), make_job(stage="stripped")
    promise(likely, promised=date(2026, 4, 1), likely=date(2026, 4, 5), latest=date(2026, 4, 9))
    refused = {over.number: SENTENCE, untold.number: SENTENCE}
    risks = open_now(now=NOW.replace(month=3, day=20), refused=refused).risks
    assert [(risk.number, risk.kind) for risk in risks] == [
        (over.number, RiskKind.PASSED),
        (untold.number, RiskKind.UNTOLD),
        (likely.number, RiskKind.LIKELY),
    ]


def test_a_passed_promise_without_a_date_is_not_said_to_have_no_forecast_yet():
    job = promised(date(2026, 3, 1))
    risks = open_now(now=NOW.replace(month=3, day=20), refused={job.number: SENTENCE}).risks
    (line,) = risk_lines(risks, chances=NO_CHANCES)
    assert (line.words, line.forecast_words) == ("was promised 19 days ago", "no date can be told")
