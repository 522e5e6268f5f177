"""A photo that should not be there, withdrawn on the workshop's pages, and what its customer then sees."""

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.domain.actors import Actor
from jobs.domain.stages import Role
from jobs.models import JobEvent, Mark, Photo
from jobs.services import photos
from tests import factories as make
from tests.portal.site import let_in
from tests.portal.workshop.conftest import a_photo, main_of

pytestmark = pytest.mark.django_db


def taken(job, *, actor=make.WORKSHOP, role="item"):
    photo = photos.add_photo(
        a_photo(), booking=None, job=job, role=role, shot="label", caption="", actor=actor, now=timezone.now()
    )
    while photos.convert_next(now=timezone.now()):
        continue
    photo.refresh_from_db()
    return photo


def marked(job, photo):
    return Mark.objects.create(
        job=job, photo=photo, zone="bowl", damage_kind="cracked", severity=3, origin="in_transit",
        x_share=0.5, y_share=0.5, recorded_at=make.NOW, recorded_by="Tobin Ashgrove",
    )  # fmt: skip


def withdrawing(photo):
    return f"photos/{photo.reference}/withdraw"


def test_the_jobs_page_leads_from_each_photo_to_its_withdrawal(page_of):
    job = make.make_job(stage="inspected")
    photo = taken(job)
    for part in ("", "photos/"):
        assert f'href="/workshop/jobs/{job.number}/{withdrawing(photo)}/"' in page_of(job, part)


def test_withdrawn_it_is_served_to_nobody_any_more(send, tobin):
    job = make.make_job(stage="inspected")
    photo = taken(job)
    customer = let_in(job)
    ours = reverse("workshop:photo", args=[photo.reference, "page"])
    theirs = reverse("customer:job_photo", args=[job.number, photo.reference, "page"])
    assert (tobin.get(ours).status_code, customer.get(theirs).status_code) == (200, 200)
    assert theirs.replace("/page/", "/thumb/") in customer.get(f"/job/{job.number}/").content.decode()
    assert send(job, withdrawing(photo), text="Another unit").status_code == 302
    assert (tobin.get(ours).status_code, customer.get(theirs).status_code) == (404, 404)
    page = customer.get(f"/job/{job.number}/").content.decode()
    assert str(photo.reference) not in page
    assert "Another unit" not in page


def test_the_workshop_reads_that_one_was_withdrawn_by_whom_and_why(send, page_of):
    job = make.make_job(stage="inspected")
    send(job, withdrawing(taken(job)), text="Another unit")
    for part in ("", "photos/"):
        words = main_of(page_of(job, part))
        assert "Withdrawn Label (taken here) : Another unit Tobin Ashgrove" in words


def test_a_mark_stays_and_says_to_both_that_its_photo_was_withdrawn(send, page_of):
    job = make.make_job(stage="inspected")
    photo = taken(job)
    marked(job, photo)
    customer = let_in(job)
    assert "photo was withdrawn" not in page_of(job)
    assert "1 mark lies on it" in page_of(job, f"{withdrawing(photo)}/")
    send(job, withdrawing(photo), text="A hand in the picture")
    words = main_of(page_of(job))
    assert "bowl: Crack" in words
    assert "Its photo was withdrawn." in words
    theirs = main_of(customer.get(f"/job/{job.number}/").content.decode())
    assert "bowl" in theirs
    assert "We withdrew the photo of it; what we found stands." in theirs


def test_a_customer_reads_why_a_photo_of_theirs_was_withdrawn(send, page_of):
    job = make.make_job(stage="cleared")
    photo = taken(job, actor=Actor(role=Role.CUSTOMER, name="Ada Thornby"), role="before")
    customer = let_in(job)
    refused = send(job, withdrawing(photo), text="").content.decode()
    for form in (page_of(job, f"{withdrawing(photo)}/"), refused):
        assert "The customer reads it on their page" in form
    send(job, withdrawing(photo), text="A child is in it. Please send it without.")
    theirs = main_of(customer.get(f"/job/{job.number}/photos/").content.decode())
    assert "We withdrew a photo that you sent A child is in it. Please send it without." in theirs
    assert "we withdrew one" in customer.get(f"/job/{job.number}/").content.decode()


def test_a_customer_reads_nothing_of_why_a_photo_of_the_shops_was_withdrawn(send):
    job = make.make_job(stage="inspected")
    send(job, withdrawing(taken(job)), text="Another customer's unit")
    theirs = let_in(job).get(f"/job/{job.number}/photos/").content.decode()
    assert "Another customer" not in theirs
    assert "withdrew" not in theirs


def test_a_double_press_and_a_form_from_the_back_button_withdraw_it_once(send):
    job = make.make_job(stage="inspected")
    photo, seen = taken(job), job.event_count
    for _press in range(3):
        answer = send(job, withdrawing(photo), seen=seen, text="Another unit")
        assert (answer.status_code, answer.url) == (302, f"/workshop/jobs/{job.number}/")
    assert JobEvent.objects.filter(kind="photo_withdrawn").count() == 1


def test_its_page_opened_again_afterwards_leads_back_and_says_so(send, tobin):
    job = make.make_job(stage="inspected")
    photo = taken(job)
    send(job, withdrawing(photo), text="Another unit")
    again = tobin.get(f"/workshop/jobs/{job.number}/{withdrawing(photo)}/", follow=True)
    assert "This photo is withdrawn already." in again.content.decode()


def test_without_a_reason_it_stays_and_the_field_says_so(send):
    job = make.make_job(stage="inspected")
    photo = taken(job)
    refused = send(job, withdrawing(photo), text=" ")
    assert refused.status_code == 422
    assert "the reason why it is withdrawn" in refused.content.decode()
    assert Photo.objects.get().withdrawn_at is None


def test_the_owner_withdraws_one_too(send, client_of, django_user_model):
    job = make.make_job(stage="closed")
    maren = client_of(
        django_user_model.objects.create_user("maren@q.example", None, name="Maren", role="owner")
    )
    assert send(job, withdrawing(taken(job)), browser=maren, text="A person").status_code == 302
    assert JobEvent.objects.get(kind="photo_withdrawn").actor_name == "Maren"


def test_a_photo_is_not_found_under_another_job(send):
    job, other = make.make_job(stage="inspected"), make.make_job(stage="inspected")
    photo = taken(other)
    assert send(job, withdrawing(photo), text="Another unit").status_code == 404
    assert Photo.objects.get().withdrawn_at is None
