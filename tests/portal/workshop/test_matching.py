"""A box without a name is laid beside a booking, and goes on under it only once somebody has said yes."""

from datetime import timedelta
from uuid import uuid4

import pytest

from jobs.domain.facts import BoxRecorded
from jobs.models import OutboxMessage
from jobs.services import arrivals, parcels
from portal.templatetags.portal_format import moment
from tests import factories as make
from tests.factories import NOW, WORKSHOP
from tests.portal.workshop.conftest import main_of

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)
MAGNETO = {"family": "magneto", "unit_model": "brennick-bm4-c25", "number_as_read": "BM4"}


def match_url(box, booking):
    return f"/workshop/jobs/{box.number}/match/{booking.number}/"


def box_of(*, family="carburettor", number="KV4081B", sender="Thornby, Saltmere"):
    make.open_shop()
    return arrivals.record_box(
        box=BoxRecorded(sender_on_box=sender, carton_state="sound", packing_found="loose_fill"),
        family=family,
        number_found=number,
        submission_key=uuid4(),
        actor=WORKSHOP,
        now=NOW,
    )


def test_looking_at_a_match_records_nothing_and_shows_both_sides(tobin):
    box = box_of()
    booking = make.make_job(stage="posted", now=NOW - 200 * HOUR, number_as_read="KV 4081 B")
    sent = OutboxMessage.objects.count()
    assert match_url(box, booking) in tobin.get(f"/workshop/jobs/{box.number}/match/").content.decode()
    words = main_of(tobin.get(match_url(box, booking)).content.decode())
    for each in ("KV4081B", "KV 4081 B", "Thornby, Saltmere", "Ada Thornby"):
        assert each in words
    assert "They do not agree" not in words
    booking.refresh_from_db()
    box.refresh_from_db()
    assert (booking.stage, box.stage, OutboxMessage.objects.count()) == ("posted", "arrived", sent)


def test_a_confirmed_match_goes_on_under_its_booking_and_tells_the_customer(tobin):
    box, booking = box_of(), make.make_job(stage="posted")
    response = tobin.post(match_url(box, booking))
    assert response["Location"] == f"/workshop/jobs/{booking.number}/"
    booking.refresh_from_db()
    assert (booking.stage, booking.number_found) == ("arrived", "KV4081B")
    assert OutboxMessage.objects.filter(job=booking, kind="arrived").count() == 1
    assert "goes on under its booking" in tobin.get(f"/workshop/jobs/{box.number}/").content.decode()


def test_the_list_of_bookings_itself_matches_nothing(tobin):
    box, booking = box_of(), make.make_job(stage="posted")
    assert tobin.post(f"/workshop/jobs/{box.number}/match/", {"booking": booking.number}).status_code == 405


@pytest.mark.parametrize(
    ("changes", "doubt"),
    [
        ({"family": "magneto", "number": ""}, "The box holds “"),
        ({"number": "BR-770"}, "The number on this unit is “BR-770”; the customer read “KV4081B”."),
    ],
    ids=["another family", "another number"],
)
def test_a_box_that_disagrees_with_the_booking_is_said_to(tobin, changes, doubt):
    page = main_of(tobin.get(match_url(box_of(**changes), make.make_job(stage="posted"))).content.decode())
    assert "They do not agree" in page
    assert doubt in page


def test_a_box_cannot_be_matched_with_a_job_that_has_arrived(tobin):
    other, box = make.make_job(stage="inspected"), box_of()
    for response in (tobin.get(match_url(box, other)), tobin.post(match_url(box, other))):
        assert response.status_code == 422
        assert "No parcel is awaited under that number" in main_of(response.content.decode())
    box.refresh_from_db()
    assert box.stage == "arrived"


def test_a_match_is_offered_to_be_taken_back_with_the_box_it_opens_again(tobin, send, page_of):
    box, booking = box_of(), make.make_job(stage="posted")
    tobin.post(match_url(box, booking))
    assert "take-back/" in page_of(booking)
    assert "take-back/" not in page_of(box)
    assert "the match with box" in main_of(page_of(booking, "take-back/"))
    assert send(booking, "take-back", text="Another sender").status_code == 302
    box.refresh_from_db()
    booking.refresh_from_db()
    assert (box.stage, booking.stage) == ("arrived", "posted")
    assert "Find its booking" in page_of(box)


def test_a_mail_that_has_gone_out_is_said_before_the_match_is_taken_back(tobin, page_of):
    box, booking = box_of(), make.make_job(stage="posted")
    tobin.post(match_url(box, booking))
    assert "Ring them" not in page_of(booking, "take-back/")
    OutboxMessage.objects.filter(job=booking, kind="arrived").update(state="sent", sent_at=NOW)
    assert "Ring them" in page_of(booking, "take-back/")


def test_a_match_that_can_no_longer_be_taken_back_is_not_offered_to_be(tobin, send, page_of):
    box, booking = box_of(), make.make_job(stage="posted")
    tobin.post(match_url(box, booking))
    send(booking, "note", text="It is here.")
    assert "take-back/" not in page_of(booking)
    response = tobin.get(f"/workshop/jobs/{booking.number}/take-back/")
    assert response.status_code == 409
    assert "no step on this job" in main_of(response.content.decode())


def test_a_matched_box_leads_to_its_booking_and_stands_in_no_list(tobin, client_of, person):
    box, booking = box_of(), make.make_job(stage="posted")
    tobin.post(match_url(box, booking))
    page = tobin.get("/workshop/", {"q": box.number}, follow=True).content.decode()
    assert page.count("action large") == 1
    assert f'class="action large" href="/workshop/jobs/{booking.number}/"' in page
    assert "Nothing to do" not in page
    listed = tobin.get("/workshop/jobs/").content.decode()
    assert (booking.number in listed, box.number in listed) == (True, False)
    owner = client_of(person("owner"))
    told = b"".join(owner.get("/owner/jobs/", {"as": "csv"}).streaming_content).decode()
    assert (booking.number in told, box.number in told) == (True, False)


def gone_on_after(booking, *, at):
    """Drain, smell, pack and post the booked unit as its customer would, four days and more after `at`."""
    parcels.record_drained(booking.number, drained_at=at, actor=WORKSHOP, now=at)
    parcels.set_ticks(booking.number, steps=("pack-close",), shown=("pack-close",), now=at + 3 * HOUR)
    later = at + 96 * HOUR
    parcels.record_smell(booking.number, smells=False, actor=WORKSHOP, now=later)
    parcels.record_posted(
        booking.number, on=later.date(), carrier="", tracking_number="", actor=WORKSHOP, now=later + HOUR
    )


def test_what_was_recorded_after_the_box_came_is_cautioned_about_with_both_times(tobin):
    box, booking = box_of(), make.make_job(stage="cleared", now=NOW - 24 * HOUR)
    gone_on_after(booking, at=NOW + HOUR)
    words = main_of(tobin.get(match_url(box, booking)).content.decode())
    assert "They do not agree" in words
    assert f"This box came on {moment(NOW)} (Europe/London time)." in words
    assert "can hardly be in this box" in words
    for what, hours in (("the draining", 1), ("packing steps", 4), ("a smell test", 97), ("the posting", 98)):
        assert f"{what}, on {moment(NOW + hours * HOUR)}" in words


def test_what_was_recorded_before_the_box_came_is_no_reason_for_caution(tobin):
    booking = make.make_job(stage="cleared", now=NOW - 200 * HOUR)
    gone_on_after(booking, at=NOW - 150 * HOUR)
    assert "hardly" not in main_of(tobin.get(match_url(box_of(), booking)).content.decode())


def test_a_posting_noted_late_for_a_day_before_is_no_reason_for_caution(tobin):
    booking = make.make_job(stage="cleared", now=NOW - 24 * HOUR, **MAGNETO)
    parcels.record_posted(
        booking.number,
        on=(NOW - 24 * HOUR).date(),
        carrier="",
        tracking_number="",
        actor=WORKSHOP,
        now=NOW + HOUR,
    )
    box = box_of(family="magneto", number="BM4")
    assert "hardly" not in main_of(tobin.get(match_url(box, booking)).content.decode())


def test_a_search_that_fits_no_awaited_parcel_says_so_above_what_fits_the_box(tobin):
    make.make_job(stage="posted", name="Ada Thornby")
    box = box_of()
    said = "No parcel that is still awaited answers to “Zzyx”."
    assert said in tobin.get(f"/workshop/jobs/{box.number}/match/?q=Zzyx").content.decode()
    assert (
        "is still awaited answers"
        not in tobin.get(f"/workshop/jobs/{box.number}/match/?q=Ada").content.decode()
    )
    assert "is still awaited answers" not in tobin.get(f"/workshop/jobs/{box.number}/match/").content.decode()
