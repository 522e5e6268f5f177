"""Long lists are narrowed in the address, leave as CSV with the same rows, and cost the same however long."""

import csv
import io
from datetime import timedelta

import pytest
from django.urls import reverse

from jobs.models import Customer
from jobs.services import answers
from tests.factories import NOW, WORKSHOP, make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(db, person, client_of):
    return client_of(person("owner"))


def csv_rows(answer):
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def test_jobs_are_narrowed_by_what_stands_in_the_address(owner):
    booked, arrived = make_job(stage="booked"), make_job(stage="arrived")
    page = owner.get(reverse("owner:jobs"), {"stage": "arrived"}).content.decode()
    assert reverse("workshop:job", args=[arrived.number]) in page
    assert reverse("workshop:job", args=[booked.number]) not in page


def test_a_job_is_found_by_its_number_typed_with_separators(owner):
    wanted, other = make_job(), make_job()
    number = f"{wanted.number[:3]} {wanted.number[3:6]}-{wanted.number[6]}"
    page = owner.get(reverse("owner:jobs"), {"q": number}).content.decode()
    assert reverse("workshop:job", args=[wanted.number]) in page
    assert reverse("workshop:job", args=[other.number]) not in page


def test_the_csv_has_the_rows_of_the_filter(owner):
    make_job(stage="booked")
    arrived = make_job(stage="arrived")
    rows = csv_rows(owner.get(reverse("owner:jobs"), {"stage": "arrived", "as": "csv"}))
    assert [row["number"] for row in rows] == [arrived.number]


def test_a_customer_named_like_a_formula_does_no_harm(owner):
    job = make_job()
    Customer.objects.filter(pk=job.customer_id).update(name="=1+1")
    (row,) = csv_rows(owner.get(reverse("owner:jobs"), {"as": "csv"}))
    assert row["customer"] == "'=1+1"


def test_days_are_the_shops_days(owner):
    make_job()
    day = NOW.date()
    assert len(csv_rows(owner.get(reverse("owner:jobs"), {"since": day, "until": day, "as": "csv"}))) == 1
    before = day - timedelta(days=1)
    assert csv_rows(owner.get(reverse("owner:jobs"), {"until": before, "as": "csv"})) == []


def test_events_and_mails_are_listed_and_exported(owner):
    job = make_job(stage="arrived")
    events = csv_rows(owner.get(reverse("owner:events"), {"q": job.number, "as": "csv"}))
    assert [row["number"] for row in events] == [str(at) for at in range(len(events), 0, -1)]
    mails = csv_rows(owner.get(reverse("owner:mails"), {"as": "csv"}))
    assert "cleared" in {row["kind"] for row in mails}
    for name in ("events", "mails"):
        assert owner.get(reverse(f"owner:{name}")).status_code == 200


@pytest.mark.parametrize("name", ["jobs", "events", "mails"])
def test_a_list_asks_as_often_with_many_rows_as_with_few(owner, name, django_assert_max_num_queries):
    make_job(stage="arrived")
    url = reverse(f"owner:{name}")
    owner.get(url)
    with django_assert_max_num_queries(12) as few:
        owner.get(url)
    for _ in range(3):
        make_job(stage="arrived")
    with django_assert_max_num_queries(12) as many:
        owner.get(url)
    assert len(few) == len(many)


@pytest.mark.parametrize(
    ("asked", "said"), [({}, "Nothing is recorded yet"), ({"q": "bush"}, "Nothing fits.")]
)
def test_a_list_of_a_new_shop_does_not_blame_a_filter(owner, asked, said):
    page = owner.get(reverse("owner:jobs"), asked).content.decode()
    assert [words in page for words in ("Nothing is recorded yet", "Nothing fits.")].count(True) == 1
    assert said in page


def test_a_booking_that_was_asked_about_waits_for_its_customer(owner):
    job = make_job()
    rows = owner.get(reverse("owner:jobs")).content.decode().split("<tbody")[1]
    assert job.number in rows
    assert "Waiting for the shop" in rows
    answers.ask_question(job.number, text="Which way?", actor=WORKSHOP, now=NOW, expected_count=None)
    rows = owner.get(reverse("owner:jobs")).content.decode().split("<tbody")[1]
    assert "Waiting for the customer" in rows
    assert "Waiting for the shop" not in rows
