"""Photos: saved one by one, refused in words, taken off, and shown to nobody else."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from PIL import Image

from jobs.models import Booking, Job, Photo
from jobs.services.photos import convert_next
from tests.factories import make_job
from tests.portal.customer.conftest import ANSWERS

pytestmark = pytest.mark.django_db


def test_each_photo_is_saved_as_soon_as_it_is_sent(write_booking, client, photo_file):
    write_booking(last="symptoms")
    gone = client.post("/book/photos/", {"shot": "linkage", "photo": [photo_file(), photo_file("IMG_2.jpg")]})
    assert gone.headers["Location"] == "/book/photos/#shot-linkage"
    assert list(Photo.objects.values_list("shot", "role")) == [("linkage", "before")] * 2


def test_a_refused_file_is_told_in_words_and_the_good_one_stays(write_booking, client, photo_file):
    write_booking(last="symptoms")
    letter = SimpleUploadedFile("letter.pdf", b"%PDF-1.7\n" + b"0" * 400, content_type="image/jpeg")
    sent = {"shot": "linkage", "photo": [photo_file(), letter]}
    page = client.post("/book/photos/", sent, follow=True).content.decode()
    assert "letter.pdf" in page
    assert "JPEG, PNG, WebP or HEIC" in page
    assert "1 photo was saved" in page
    assert Photo.objects.count() == 1


@pytest.mark.parametrize("shot", ["invented", "link\0age", "9" * 5000])
def test_a_shot_that_nobody_asked_for_goes_with_anything_else(
    write_booking, client, photo_file, let_in, shot
):
    write_booking(last="symptoms")
    gone = client.post("/book/photos/", {"shot": shot, "photo": photo_file()})
    assert gone.headers["Location"] == "/book/photos/#shot-else"
    job = make_job(stage="cleared")
    gone = let_in(job).post(f"/job/{job.number}/photos/", {"shot": shot, "photo": photo_file()})
    assert gone.headers["Location"] == f"/job/{job.number}/photos/#shot-else"
    assert list(Photo.objects.values_list("shot", flat=True)) == ["", ""]


def test_sending_no_file_says_to_choose_one(write_booking, client):
    write_booking(last="symptoms")
    page = client.post("/book/photos/", {"shot": "linkage"}, follow=True).content.decode()
    assert "Choose a photo first" in page
    assert 'href="#shot-linkage-file"' in page
    assert 'id="shot-linkage-file"' in page


def test_a_photo_can_be_taken_off(write_booking, client, photo_file):
    write_booking(last="symptoms")
    client.post("/book/photos/", {"shot": "linkage", "photo": photo_file()})
    photo = Photo.objects.get()
    gone = client.post(f"/book/photos/{photo.reference}/remove/").headers["Location"]
    assert gone == "/book/photos/?removed=linkage#shot-linkage"
    said = client.get(gone).content.decode().split('id="shot-linkage"')[1].split("</div>")[0]
    assert "Removed: a photo of “" in said
    assert client.get(gone).content.decode().count("Removed: ") == 1
    photo.refresh_from_db()
    assert photo.withdrawn_at is not None
    assert "Remove" not in client.get("/book/photos/").content.decode()


def test_going_on_works_without_a_photo(write_booking, client):
    write_booking(last="symptoms")
    assert client.post("/book/photos/", {"go_on": "1"}).headers["Location"] == "/book/contact/"


def test_a_photo_is_shown_to_its_own_browser_only(write_booking, client, photo_file):
    write_booking(last="symptoms")
    client.post("/book/photos/", {"shot": "linkage", "photo": photo_file()})
    convert_next(now=timezone.now())
    address = f"/book/photos/{Photo.objects.get().reference}/thumb/"
    assert client.get(address).headers["Content-Type"] == "image/jpeg"
    assert Client().get(address).status_code == 404
    assert client.get(address.replace("thumb", "raw")).status_code == 404


def test_photos_of_the_booking_are_on_the_job_and_not_asked_again(write_booking, client, photo_file):
    write_booking(last="symptoms")
    client.post("/book/photos/", {"shot": "linkage", "photo": photo_file()})
    write_booking()
    client.post("/book/check/")
    client.get("/book/sent/", follow=True)
    job = Job.objects.get()
    assert Booking.objects.get().job_id == job.pk
    page = client.get(f"/job/{job.number}/photos/").content.decode()
    assert page.count("The picture is being prepared") == 1


def test_photos_can_be_added_until_the_unit_is_here(shop, let_in, photo_file):
    job = make_job(stage="posted")
    browser = let_in(job)
    assert browser.post(f"/job/{job.number}/photos/", {"shot": "", "photo": photo_file()}).status_code == 302
    assert Photo.objects.get().job_id == job.pk


def test_no_photo_is_added_after_arrival(shop, let_in, photo_file):
    job = make_job(stage="arrived")
    browser = let_in(job)
    sent = {"shot": "", "photo": photo_file()}
    page = browser.post(f"/job/{job.number}/photos/", sent, follow=True)
    assert page.redirect_chain == [(f"/job/{job.number}/photos/", 302)]
    assert Photo.objects.count() == 0
    assert 'type="file"' not in page.content.decode()


def test_a_foreign_photo_is_not_there(shop, let_in, photo_file):
    mine, theirs = make_job(stage="cleared"), make_job(stage="cleared", email="bo@example.com")
    let_in(theirs).post(f"/job/{theirs.number}/photos/", {"shot": "", "photo": photo_file()})
    convert_next(now=timezone.now())
    photo = Photo.objects.get()
    browser = let_in(mine)
    assert browser.get(f"/job/{theirs.number}/photos/{photo.reference}/page/").status_code == 404
    assert browser.get(f"/job/{mine.number}/photos/{photo.reference}/page/").status_code == 404
    assert let_in(theirs).get(f"/job/{theirs.number}/photos/{photo.reference}/page/").status_code == 200


@pytest.mark.parametrize("path", ["/book/photos/", "/job/{number}/photos/"])
def test_only_photo_pages_load_a_script(write_booking, client, path):
    write_booking()
    client.post("/book/check/") if "job" in path else None
    client.get("/book/sent/", follow=True)
    number = Job.objects.get().number if "job" in path else ""
    assert "photos.js" in client.get(path.format(number=number)).content.decode()


def test_a_photo_that_turns_out_damaged_is_told_in_words_and_can_be_taken_off(write_booking, client):
    write_booking(last="symptoms")
    out = BytesIO()
    Image.effect_noise((400, 300), 80).save(out, "JPEG")
    cut = SimpleUploadedFile("cut.jpg", out.getvalue()[:-9000], content_type="image/jpeg")
    client.post("/book/photos/", {"shot": "linkage", "photo": cut})
    convert_next(now=timezone.now())
    photo = Photo.objects.get()
    assert photo.state == "refused"
    page = client.get("/book/photos/").content.decode()
    assert photo.refusal in page
    assert "being prepared" not in page
    client.post("/book/photos/", {"shot": "whole", "photo": SimpleUploadedFile("a.jpg", out.getvalue())})
    assert Photo.objects.count() == 2
    for step in list(ANSWERS)[list(ANSWERS).index("photos") :]:
        client.post(f"/book/{step}/", ANSWERS[step])
    check = client.get("/book/check/").content.decode()
    assert "1 photo saved" in check
    assert "1 could not be kept: look at it" in check
    client.post(f"/book/photos/{photo.reference}/remove/")
    assert photo.refusal not in client.get("/book/photos/").content.decode()


def test_a_photo_of_no_named_shot_leads_back_to_anything_else(shop, let_in, photo_file):
    job = make_job(stage="cleared")
    browser = let_in(job)
    browser.post(f"/job/{job.number}/photos/", {"shot": "unheard-of", "photo": photo_file()})
    gone = browser.post(f"/job/{job.number}/photos/{Photo.objects.get().reference}/remove/")
    assert gone.headers["Location"] == f"/job/{job.number}/photos/?removed=else#shot-else"
    assert "Removed: a photo of “Anything else”." in browser.get(gone.headers["Location"]).content.decode()


def test_the_label_of_a_shot_s_file_says_the_shot_to_readers_of_labels_alone(write_booking, client):
    write_booking(last="symptoms")
    page = client.get("/book/photos/").content.decode()
    labels = page.split('<label class="label"')[1:]
    assert len(labels) > 3
    shown = [label.split("</label>")[0].split(">", 1)[1].split("<span")[0] for label in labels]
    assert set(shown) == {"Take or choose photos"}
    assert all('<span class="visually-hidden">: ' in label.split("</label>")[0] for label in labels)


def test_pressing_remove_twice_takes_a_photo_off_once_and_leads_on(write_booking, client, photo_file):
    write_booking(last="symptoms")
    client.post("/book/photos/", {"shot": "linkage", "photo": photo_file()})
    address = f"/book/photos/{Photo.objects.get().reference}/remove/"
    assert [client.post(address).headers["Location"] for _ in range(2)] == [
        "/book/photos/?removed=linkage#shot-linkage"
    ] * 2
