"""A photo withdrawn by the shop: its files go, its row, the reason and what was marked on it stay."""

from datetime import timedelta
from io import BytesIO
from pathlib import Path
from uuid import uuid4

import pytest
from django.conf import settings
from django.core.management import call_command

from jobs.domain.errors import IllegalTransition, MissingFact, StaleEdit
from jobs.domain.replies import reply_to_read
from jobs.models import JobEvent, Mark, OutboxMessage, Photo
from jobs.photos.intake import convert
from jobs.selectors.logs import log_of
from jobs.services import answers, photo_keeping, photos
from jobs.services.photo_withdrawal import UnknownPhoto, withdraw_shown
from tests.factories import NOW, OWNER, WORKSHOP, make_job
from tests.jobs.photos import corpus

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=30)


def taken(job, *, role="item"):
    photo = photos.add_photo(
        BytesIO(corpus.make_jpeg()),
        booking=None,
        job=job,
        role=role,
        shot="label",
        caption="",
        actor=WORKSHOP,
        now=NOW,
    )
    photos.convert_next(now=NOW)
    photo.refresh_from_db()
    return photo


def withdraw(job, photo, **changes):
    given = {"reason": "a child in the picture", "actor": WORKSHOP, "now": LATER, "expected_count": None}
    return withdraw_shown(job.number, photo=photo.reference, **(given | changes))


def stored():
    root = Path(settings.MEDIA_ROOT)
    return sorted(path for path in root.rglob("*") if path.is_file()) if root.exists() else []


def test_its_files_go_and_its_row_keeps_what_it_was():
    job = make_job(stage="arrived")
    photo = taken(job)
    assert len(stored()) == 2
    withdraw(job, photo)
    assert stored() == []
    kept = Photo.objects.get()
    assert kept.withdrawn_at == LATER
    assert (kept.raw.name, kept.page.name, kept.thumb.name, kept.stored_bytes) == ("", "", "", 0)
    assert (kept.sha256, kept.width_px, kept.by_name) == (photo.sha256, photo.width_px, "Tobin Ashgrove")
    assert kept.sha256


@pytest.mark.parametrize("stage", ["booked", "arrived", "stripped", "closed", "declined"])
def test_the_log_says_which_by_whom_and_why_at_any_stage_and_replay_agrees(stage):
    job = make_job(stage="booked" if stage == "declined" else stage)
    if stage == "declined":
        answers.decline_job(job.number, reason="too worn", actor=OWNER, now=NOW, expected_count=None)
    photo = taken(job)
    withdraw(job, photo, actor=OWNER)
    event = JobEvent.objects.filter(job=job).last()
    assert (event.kind, event.actor_name) == ("photo_withdrawn", "Maren Quillfeather")
    assert event.facts == {
        "photo": photo.reference.hex,
        "shows": "Label",
        "reason": "a child in the picture",
        "is_customers": False,
    }
    call_command("replay_jobs")


def test_nobody_is_mailed_about_it():
    job = make_job(stage="arrived")
    photo = taken(job)
    before = OutboxMessage.objects.count()
    withdraw(job, photo)
    assert OutboxMessage.objects.count() == before


def test_a_second_withdrawal_is_refused_and_leaves_one_entry():
    job = make_job(stage="arrived")
    photo = taken(job)
    withdraw(job, photo)
    with pytest.raises(IllegalTransition, match="withdrawn already"):
        withdraw(job, photo)
    assert JobEvent.objects.filter(kind="photo_withdrawn").count() == 1


@pytest.mark.parametrize("reason", ["", "   "])
def test_without_a_reason_the_photo_and_its_files_stay(reason):
    job = make_job(stage="arrived")
    photo = taken(job)
    with pytest.raises(MissingFact):
        withdraw(job, photo, reason=reason)
    assert (Photo.objects.get().withdrawn_at, len(stored())) == (None, 2)


def test_a_page_from_before_somebody_elses_entry_withdraws_nothing():
    job = make_job(stage="arrived")
    photo = taken(job)
    with pytest.raises(StaleEdit):
        withdraw(job, photo, expected_count=job.event_count - 1)
    assert (Photo.objects.get().withdrawn_at, len(stored())) == (None, 2)


def test_a_photo_of_another_job_is_not_found_through_this_one():
    job, other = make_job(stage="arrived"), make_job(stage="arrived")
    photo = taken(other)
    with pytest.raises(UnknownPhoto):
        withdraw(job, photo)
    with pytest.raises(UnknownPhoto):
        withdraw_shown(
            job.number, photo=uuid4(), reason="none", actor=WORKSHOP, now=LATER, expected_count=None
        )
    assert len(stored()) == 2


def test_a_photo_that_the_worker_is_reading_comes_to_nothing():
    job = make_job(stage="arrived")
    photo = photos.add_photo(
        BytesIO(corpus.make_jpeg()),
        booking=None,
        job=job,
        role="item",
        shot="",
        caption="",
        actor=WORKSHOP,
        now=NOW,
    )
    being_read = Photo.objects.get()
    converted = convert(corpus.make_jpeg())
    withdraw(job, photo)
    photos.keep_converted(being_read, converted=converted)
    assert stored() == []
    assert Photo.objects.get().page.name == ""


def test_a_mark_on_it_stays():
    job = make_job(stage="inspected")
    photo = taken(job)
    Mark.objects.create(
        job=job, photo=photo, zone="bowl", damage_kind="cracked", severity=3, origin="in_transit",
        x_share=0.5, y_share=0.5, recorded_at=NOW, recorded_by="Tobin Ashgrove",
    )  # fmt: skip
    withdraw(job, photo)
    mark = Mark.objects.get()
    assert (mark.photo_id, mark.withdrawn_at) == (photo.pk, None)


def test_upkeep_keeps_the_row_of_a_withdrawn_photo():
    job = make_job(stage="arrived")
    photo = taken(job)
    withdraw(job, photo)
    photo_keeping.clear_photos(now=LATER + timedelta(days=400))
    assert Photo.objects.get().refusal == "It was withdrawn by the shop."


def test_it_does_not_pass_for_having_read_the_customers_answer():
    job = make_job(stage="stripped")
    photo = taken(job)
    answers.ask_question(job.number, text="Which jet?", actor=WORKSHOP, now=LATER, expected_count=None)
    answers.answer_question(job.number, text="135", actor=OWNER, now=LATER)
    assert reply_to_read(log_of(job)) is not None
    withdraw(job, photo)
    assert reply_to_read(log_of(job)) is not None
