"""One clock: the zone of the published working hours counts, whatever the site was installed with."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from jobs.demo.five_people import five_people_shop
from jobs.domain.shop import ShopKind
from jobs.management.commands.worker import Work, do_round
from jobs.selectors.shop import shop_clock
from jobs.selectors.shop_state import states_of
from tests.factories import publish
from tests.portal.customer.cleared import cleared
from tests.portal.reading import parse

pytestmark = pytest.mark.django_db
FAR = "Pacific/Auckland"  # eleven to thirteen hours ahead of the site of the tests


@pytest.fixture
def far_shop(shop):
    publish(ShopKind.HOURS, replace(five_people_shop().working_hours, time_zone=FAR), now=timezone.now())


def test_the_hour_of_draining_is_the_hour_the_page_names(far_shop, let_in):
    job = cleared()
    browser = let_in(job)
    page = parse(browser.get(f"/job/{job.number}/pack/").content)
    assert f"In {FAR} time." in page.text_content()
    filled = {
        name: page.xpath(f"//input[@name='{name}']/@value")[0] for name in ("drained_on", "drained_time")
    }
    assert browser.post(f"/job/{job.number}/drained/", filled).status_code == 302
    drained_at = states_of([job])[job.pk].drained_at
    assert timedelta(0) <= timezone.now() - drained_at < timedelta(minutes=2)


def test_today_is_the_shops_day():
    publish(ShopKind.HOURS, replace(five_people_shop().working_hours, time_zone=FAR), now=timezone.now())
    evening = datetime(2026, 3, 2, 20, 0, tzinfo=UTC)
    with shop_clock():
        assert timezone.localdate(evening) == evening.astimezone(ZoneInfo(FAR)).date()
    assert timezone.localdate(evening) == evening.date()


def test_background_work_goes_by_the_shops_clock(far_shop):
    seen = []
    look = Work("look", lambda now: bool(seen.append(timezone.get_current_timezone_name())))
    do_round([look], clock=timezone.now)
    assert seen == [FAR]
