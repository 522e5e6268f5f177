"""No form of a customer is answered where it was sent: loading again and going back ask nothing."""

import pytest

from tests.portal.samples import pages
from tests.portal.test_permissions import ONLY_READ

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
SENT = tuple(
    page
    for page in pages()
    if page.route.name.startswith("customer:") and page.route.name not in ONLY_READ and not page.sample.query
)


@pytest.mark.parametrize("page", SENT, ids=lambda page: page.label)
def test_a_form_that_is_sent_empty_leads_on_to_a_page_of_its_own(page, seeded):
    browser = page.open_as_reader(seeded)
    answer = browser.post(page.address(seeded), follow=True)
    assert [code for _address, code in answer.redirect_chain[:1]] == [302]
    assert answer.request["REQUEST_METHOD"] == "GET"
    assert answer.status_code in {200, 410}
