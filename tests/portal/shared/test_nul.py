"""No NUL, which a database text cannot hold, comes from an address into a view; forms refuse it in words."""

import pytest

from tests.factories import make_job, open_shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def workshop(db, person, client_of):
    open_shop()
    return client_of(person("workshop"))


def test_an_address_with_a_nul_is_no_page_of_ours(workshop):
    make_job(stage="booked")
    assert workshop.get("/workshop/jobs/4%000001/").status_code == 404


@pytest.mark.parametrize("query", ["Thorn%00by", "Thorn%0%0000by"])
def test_a_nul_in_a_query_is_a_space_and_the_page_answers(workshop, query):
    page = workshop.get(f"/workshop/jobs/?text={query}")
    assert page.status_code == 200
    assert "\0" not in "".join(page.wsgi_request.GET.values())


def test_a_form_refuses_a_nul_and_says_what_to_do(workshop):
    job = make_job(stage="stripped")
    sent = {"seen": job.event_count, "text": "Weeps\0at the seam", "severity": "1"}
    answer = workshop.post(f"/workshop/jobs/{job.number}/finding/", sent)
    assert answer.status_code == 422
    assert "holds a character that cannot be stored" in answer.content.decode()
