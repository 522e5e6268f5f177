"""What is said at the carrier's counter is said to whoever stands there."""

import pytest

from tests import factories as make
from tests.portal.site import let_in

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("stage", "part"), [("signed_off", "pack/"), ("packed", "send-back/")])
def test_the_shop_takes_a_refused_parcel_back_to_the_shop(stage, part, page_of):
    page = page_of(make.make_job(stage=stage), part)
    assert "bring it back to the shop and tell the customer" in page
    assert "take it home" not in page


def test_a_customer_takes_a_refused_parcel_home():
    job = make.make_job(stage="cleared")
    page = let_in(job).get(f"/job/{job.number}/pack/").content.decode()
    assert "take it home" in page
    assert "back to the shop and" not in page
