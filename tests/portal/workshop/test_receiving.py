"""A box is received with proof: photos in their order, the carton in words, and the box nobody announced."""

from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from jobs.domain.facts import load_facts
from jobs.domain.job_number import show
from jobs.domain.stages import EventKind
from jobs.models import Job, Photo
from jobs.selectors.counter import counter_lists
from jobs.selectors.receiving import evidence, shop_photos
from tests import factories as make
from tests.factories import NOW
from tests.portal.workshop.conftest import a_photo, main_of

pytestmark = pytest.mark.django_db
ARRIVAL = {"smells": "no", "carton_state": "torn", "packing_found": "loose_or_moved"}
BOX = {"smells": "no", "carton_state": "sound", "packing_found": "suspended", "family": "carburettor"}


@pytest.fixture
def job():
    return make.make_job(stage="posted")


def facts_of(job, kind):
    row = job.events.filter(kind=kind.value).last()
    return load_facts(kind, stored=row.facts)


def add(tobin, job, shot, *files):
    return tobin.post(
        f"/workshop/jobs/{job.number}/photos/",
        {"shot": shot, "back_to": "receive", "photo": list(files) or [a_photo()]},
        follow=True,
    )


def test_the_box_is_recorded_as_it_came(send, job):
    response = send(job, "receive", **ARRIVAL, nameless="on", parcel_number="JD0001", note="left side wet")
    assert response["Location"] == f"/workshop/jobs/{job.number}/"
    facts = facts_of(job, EventKind.ARRIVED)
    assert (facts.carton_state, facts.packing_found, facts.smells_of_fuel) == (
        "torn",
        "loose_or_moved",
        False,
    )
    assert (facts.name_inside, facts.parcel_number, facts.note) == (False, "JD0001", "left side wet")


def test_an_empty_form_says_what_is_missing_and_records_nothing(send, job):
    response = send(job, "receive")
    assert response.status_code == 422
    page = response.content.decode()
    assert "Choose the carton" in page
    assert "There is a problem" in page
    job.refresh_from_db()
    assert job.stage == "posted"


def test_a_box_that_smells_stands_under_outdoors_at_the_counter(send, job, tobin):
    send(job, "receive", **{**ARRIVAL, "smells": "yes"})
    assert [line.number for line in counter_lists(now=NOW).smells] == [job.number]
    assert "outdoors" in main_of(tobin.get("/workshop/").content.decode())
    assert "It smelled of fuel when it came" in tobin.get(f"/workshop/jobs/{job.number}/").content.decode()


def test_photos_are_taken_in_their_order(tobin, job):
    assert "First photograph: The closed carton" in add(tobin, job, "label").content.decode()
    assert Photo.objects.count() == 0
    add(tobin, job, "outer_six_sides", a_photo("a.jpg"), a_photo("b.jpg"))
    add(tobin, job, "label")
    assert list(Photo.objects.values_list("shot", "role")) == [
        ("outer_six_sides", "carton"),
        ("outer_six_sides", "carton"),
        ("label", "carton"),
    ]


def test_one_photo_of_the_closed_carton_is_not_yet_six_sides(tobin, job):
    add(tobin, job, "outer_six_sides")
    assert "First photograph" in add(tobin, job, "label").content.decode()


def test_a_photo_is_still_taken_after_the_box_was_recorded(tobin, job, send):
    send(job, "receive", **ARRIVAL)
    add(tobin, job, "cushioning")
    assert Photo.objects.get().shot == "cushioning"


def test_a_file_that_is_no_photo_is_refused_in_words(tobin, job):
    refused = SimpleUploadedFile("notes.jpg", b"not a picture at all", content_type="image/jpeg")
    page = add(tobin, job, "outer_six_sides", refused).content.decode()
    assert "notes.jpg:" in page
    assert Photo.objects.count() == 0


def test_the_main_button_also_keeps_the_photo_that_was_chosen(send, job):
    response = send(job, "receive", **ARRIVAL, **{"photo-outer_six_sides": a_photo()})
    assert response.status_code == 302
    assert [photo.shot for photo in job.photos.all()] == ["outer_six_sides"]
    job.refresh_from_db()
    assert job.stage == "arrived"


def test_saving_a_photo_keeps_what_was_typed_beside_it(send, job):
    response = send(
        job,
        "receive",
        photos="outer_six_sides",
        note="left side wet",
        **{"photo-outer_six_sides": a_photo(), "carton_state": "torn"},
    )
    page = response.content.decode()
    assert response.status_code == 200
    assert "left side wet" in page
    assert 'value="torn" checked' in " ".join(page.split()) or "checked" in page.split('value="torn"')[1][:80]
    assert "There is a problem" not in page
    assert job.photos.count() == 1
    job.refresh_from_db()
    assert job.stage == "posted"


def test_a_refused_photo_brings_the_form_back_whole_and_records_no_arrival(send, job):
    refused = SimpleUploadedFile("notes.jpg", b"not a picture at all", content_type="image/jpeg")
    response = send(job, "receive", **ARRIVAL, note="left side wet", **{"photo-outer_six_sides": refused})
    page = response.content.decode()
    assert response.status_code == 422
    assert "notes.jpg:" in page
    assert 'href="#shot-outer_six_sides"' in page
    assert "left side wet" in page
    job.refresh_from_db()
    assert (job.stage, job.photos.count()) == ("posted", 0)


def test_a_photo_is_not_chosen_twice_when_the_words_are_incomplete(send, job):
    response = send(job, "receive", **{"photo-outer_six_sides": a_photo()})
    assert response.status_code == 422
    assert "1 photo is saved." in response.content.decode()
    assert job.photos.count() == 1


def test_the_evidence_score_names_the_next_photo(tobin, job):
    assert "all six sides of the carton" in evidence((), before=()).sentence
    add(tobin, job, "outer_six_sides", a_photo("a.jpg"), a_photo("b.jpg"))
    score = evidence(shop_photos(job), before=())
    assert score.points == 2
    assert score.missing[0].value == "label"


def test_evidence_is_asked_for_until_the_unit_is_inspected_and_then_only_counted(tobin):
    for stage, words in (
        ("arrived", "Before it leaves the unpacking bench, add"),
        ("inspected", "0 of the 8 pieces of evidence for a claim are held."),
    ):
        job = make.make_job(stage=stage, name=f"Ada {stage}")
        for part in ("", "photos/"):
            page = main_of(tobin.get(f"/workshop/jobs/{job.number}/{part}").content.decode())
            assert words in page
            assert ("unpacking bench" in page) is (stage == "arrived")


def test_a_job_that_is_not_awaited_says_why_and_what_is_next(tobin):
    job = make.make_job(stage="tested")
    response = tobin.get(f"/workshop/jobs/{job.number}/receive/")
    assert response.status_code == 409
    page = main_of(response.content.decode())
    assert "the job stands at “tested”" in page
    assert "Sign off" in page


def test_a_box_without_booking_becomes_a_job_once_however_often_it_is_sent(tobin):
    make.open_shop()
    form = {**BOX, "key": str(uuid4()), "number_found": "KV4081B", "sender_on_box": "A. T., Saltmere"}
    first = tobin.post("/workshop/box/", form)
    again = tobin.post("/workshop/box/", form)
    assert first["Location"] == again["Location"]
    job = Job.objects.get()
    assert (job.stage, job.number_found, job.customer_id) == ("arrived", "KV4081B", None)
    assert "Find its booking" in tobin.get(first["Location"]).content.decode()


def test_a_box_that_is_here_under_its_parcel_number_is_not_recorded_a_second_time(tobin):
    here = make.make_box(parcel_number="QF 1111 8695")
    form = {**BOX, "key": str(uuid4()), "parcel_number": "qf11118695", "sender_on_box": "A. T., Saltmere"}
    refused = tobin.post("/workshop/box/", form)
    page = refused.content.decode()
    assert refused.status_code == 422
    assert f"was recorded already, as job {show(here.number)}" in page
    assert "A. T., Saltmere" in page
    tobin.post("/workshop/box/", {**form, "parcel_number": "QF 1111 8696"})
    assert Job.objects.count() == 2


def test_what_is_missing_is_listed_in_the_order_of_the_page(send, job, tobin):
    for page in (send(job, "receive"), tobin.post("/workshop/box/", {"key": str(uuid4())})):
        words = main_of(page.content.decode())
        summary = words.split("There is a problem", 1)[1]
        assert 0 < summary.index("smell of fuel") < summary.index("the carton") < summary.index("the packing")


def test_a_box_nobody_announced_is_asked_for_its_smell_too(tobin):
    make.open_shop()
    silent = {name: value for name, value in BOX.items() if name != "smells"}
    refused = tobin.post("/workshop/box/", {**silent, "key": str(uuid4())})
    assert refused.status_code == 422
    assert "smell of fuel" in main_of(refused.content.decode()).split("Record a box", 1)[0]
    assert not Job.objects.exists()
    tobin.post("/workshop/box/", {**BOX, "smells": "yes", "key": str(uuid4())})
    assert facts_of(Job.objects.get(), EventKind.BOX_RECORDED).smells_of_fuel


def test_a_unit_that_smelled_is_warned_of_before_anything_is_offered(send, job, page_of, tobin):
    send(job, "receive", **{**ARRIVAL, "smells": "yes"})
    page = main_of(page_of(job))
    assert 0 < page.index("It stays outdoors") < page.index("Inspect the unit")
    to_inspect = (
        tobin.get("/workshop/").content.decode().split('id="to-inspect"', 1)[1].split("</section>", 1)[0]
    )
    assert "Smells: outdoors" in to_inspect


def test_what_was_scanned_is_filled_into_the_record_of_the_box(tobin):
    make.open_shop()
    page = tobin.get("/workshop/", {"q": "JD014600006281230704"}).content.decode()
    assert "/workshop/box/?parcel_number=JD014600006281230704" in page
    form = tobin.get("/workshop/box/", {"parcel_number": "JD014600006281230704"}, follow=True)
    assert 'value="JD014600006281230704"' in form.content.decode()


def test_whoever_comes_back_to_the_record_of_a_box_is_led_to_its_job(tobin):
    make.open_shop()
    opened = tobin.get("/workshop/box/")
    key = opened.url.split("key=")[1]
    assert f'name="key" value="{key}"' in tobin.get(opened.url).content.decode()
    recorded = tobin.post(opened.url, {**BOX, "key": key})
    back = tobin.get(opened.url).content.decode()
    assert f'class="action" href="{recorded.url}"' in back
    assert "<form method" not in back.split("<main")[1]


def test_another_box_sent_from_a_page_that_recorded_one_is_not_lost(tobin):
    make.open_shop()
    form = {**BOX, "key": str(uuid4())}
    tobin.post("/workshop/box/", form)
    other = tobin.post("/workshop/box/", {**form, "sender_on_box": "Another sender"})
    assert other.status_code == 422
    assert "This page has recorded a box already" in main_of(other.content.decode())
    page = other.content.decode()
    assert "Another sender" in page
    assert Job.objects.count() == 1
    again = page.split('name="key" value="')[1].split('"')[0]
    tobin.post("/workshop/box/", {**form, "sender_on_box": "Another sender", "key": again})
    assert Job.objects.count() == 2
