"""One unit from the first question to the closed job, through the real pages, with scripts and without.

Time is not stood still: the customer types an earlier draining into the form, as anybody may who drained the
unit before opening the page; the gate counts from there.
"""

from io import BytesIO

import pytest
from PIL import Image

from jobs.models import Job, JobEvent, Photo
from jobs.selectors.shop_state import states_of
from tests.journeys import workshop
from tests.journeys.booking import EMAIL, book_unit, open_by_mail
from tests.journeys.parcel import pack_and_post, say_yes_to_more_work, take_home
from tests.journeys.people import mails_to, work_until_done

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
TRACKING_BACK = "QF20260401"


@pytest.mark.parametrize("has_script", [True, False], ids=["with scripts", "without scripts"])
def test_a_unit_is_booked_rebuilt_and_sent_back(shop, come_in, sign_in, has_script):
    customer = come_in(shop, has_script=has_script)
    book_unit(customer)
    customer.click("Send this booking")
    assert customer.heading() == "Your booking is in"
    job = Job.objects.get()
    no_place_is_told(customer, job, count=3)

    tobin = sign_in(shop, name="Tobin Ashgrove", role="workshop", has_script=has_script)
    workshop.clear(tobin, job)
    open_by_mail(customer)
    pack_and_post(customer, job)

    workshop.receive(tobin, job, scanned=f"{shop}/W/{job.number}".upper())
    work_until_done()
    workshop.inspect(tobin, job)
    workshop.finish_step(tobin, job)
    workshop.ask_for_more_work(tobin, job)

    on_another_device = come_in(shop, has_script=has_script)
    open_by_mail(on_another_device)
    say_yes_to_more_work(on_another_device, job)
    assert Job.objects.get().hold == ""

    workshop.rebuild(tobin, job)
    wren = sign_in(shop, name="Wren Castlemoor", role="workshop", has_script=has_script)
    workshop.sign_off(tobin, wren, job)
    workshop.send_back(wren, job, tracking=TRACKING_BACK)
    customer.visit(f"/job/{job.number}/")
    customer.sees(TRACKING_BACK)
    take_home(customer, job)
    the_log_tells_the_story(job)
    the_mails_told_it_too()


def no_place_is_told(customer, job, *, count):
    """Convert the photos and look at what is served: pictures without a word about place or camera."""
    work_until_done()
    photos = Photo.objects.filter(job=job)
    assert photos.count() == count
    for photo in photos:
        assert photo.state == "ready", photo.refusal
        answer = customer.page.request.get(f"{customer.site}/job/{job.number}/photos/{photo.reference}/page/")
        assert answer.status == 200
        with Image.open(BytesIO(answer.body())) as served:
            assert served.format == "JPEG"
            assert dict(served.getexif()) == {}
            assert not {"exif", "xmp", "icc_profile", "comment"} & set(served.info)
        assert b"GPS" not in answer.body()


def the_log_tells_the_story(job):
    """Fold the log: the stage it gives is the one the job has, and nothing is missing on the way."""
    kinds = list(JobEvent.objects.filter(job=job).order_by("number").values_list("kind", flat=True))
    way = [
        "booking_sent", "cleared", "drained", "smell_checked", "posted", "arrived", "inspected", "stripped",
        "finding_recorded", "extra_work_asked", "extra_work_approved", "assembled", "readings_recorded",
        "tested", "signed_off", "bench_fluid_checked", "packed", "sent_back", "closed",
    ]  # fmt: skip
    places = [kinds.index(kind) for kind in way]
    assert places == sorted(places)
    job.refresh_from_db()
    assert states_of([job])[job.pk].stage == job.stage == "closed"


def the_mails_told_it_too():
    """Read the customer's letters: each event that they need has one, once."""
    subjects = [message.subject for message in mails_to(EMAIL)]
    assert len(subjects) >= 7
    assert len(set(subjects)) == len(subjects)
