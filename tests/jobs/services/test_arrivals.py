"""At the counter: what stands in the box against what was booked, and boxes that nobody announced."""

from datetime import timedelta
from uuid import uuid4

import pytest

from jobs.domain.errors import IllegalTransition, MissingFact
from jobs.domain.facts import BoxRecorded
from jobs.domain.job_number import show
from jobs.domain.stages import Turn
from jobs.models import Job, JobEvent, Mark, OutboxMessage, Photo
from jobs.selectors.merged_boxes import merged_boxes
from jobs.selectors.shop_state import states_of
from jobs.services import answers, arrivals, corrections, messages, turns
from jobs.services._steps import CACHED, set_cache
from tests.factories import NOW, WORKSHOP, make_box, make_job

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=6)
WHO = {"actor": WORKSHOP, "now": LATER, "expected_count": None}
OTHER_MODEL = "tolvane-kv4087"
CRACK = arrivals.MarkEntry(
    zone="flange/base", damage_kind="crack", severity=3, origin="in_transit_likely", x_share=0.2, y_share=0.9
)


def inspect(job, *, grade="complete", unit_model=None, missing=(), marks=(), number_read="KV4081B"):
    entry = arrivals.Inspection(
        grade=grade,
        number_read=number_read,
        unit_model=job.unit_model if unit_model is None else unit_model,
        contents_found=("unit",),
        contents_missing=missing,
        marks=marks,
    )
    job = arrivals.record_inspection(job.number, inspection=entry, **WHO)
    job.refresh_from_db()
    return job


def kinds(job):
    return list(JobEvent.objects.filter(job=job).order_by("number").values_list("kind", flat=True))


def test_the_unit_that_was_booked_holds_nothing():
    job = inspect(make_job(stage="arrived"))
    assert (job.stage, job.hold) == ("inspected", "")


def test_another_unit_than_booked_asks_and_waits_for_the_answer():
    job = inspect(make_job(stage="arrived"), unit_model=OTHER_MODEL, number_read="KV4087B")
    assert job.hold == "answer"
    assert "KV4087B" in job.hold_reason
    assert kinds(job)[-3:] == ["inspected", "question_asked", "held"]
    assert OutboxMessage.objects.filter(job=job, kind="question").count() == 1
    answers.answer_question(job.number, text="Yes, that is mine.", actor=WORKSHOP, now=LATER)
    job.refresh_from_db()
    assert job.hold == ""


def test_the_plan_for_the_way_back_is_of_the_unit_that_is_here():
    before = make_job(stage="arrived")
    after = inspect(before, unit_model=OTHER_MODEL)
    assert after.unit_model == OTHER_MODEL
    assert after.plan_back != before.plan_back


def test_a_unit_that_cannot_be_started_asks_for_what_is_missing():
    job = inspect(make_job(stage="arrived"), grade="incomplete_cannot_start", missing=("float", "needle"))
    assert job.hold == "answer"
    assert "float, needle" in job.hold_reason


def test_a_part_that_is_missing_but_not_needed_holds_nothing():
    job = inspect(make_job(stage="arrived"), grade="incomplete_can_start", missing=("float",))
    assert job.hold == ""


def test_marks_are_kept_and_the_worst_one_counts():
    job = inspect(make_job(stage="arrived"), marks=(CRACK, arrivals.MarkEntry("body", "scratch", 1)))
    assert (job.worst_severity, job.transit_damage) == (3, True)
    assert set(Mark.objects.values_list("zone", "severity", "recorded_by")) == {
        ("flange/base", 3, WORKSHOP.name),
        ("body", 1, WORKSHOP.name),
    }


def test_an_inspection_taken_back_takes_its_marks_off_and_can_be_made_again():
    job = inspect(make_job(stage="arrived"), marks=(CRACK,))
    corrections.take_back_last_step(job.number, reason="wrong unit on the table", **WHO)
    job.refresh_from_db()
    assert (job.stage, job.transit_damage, job.worst_severity) == ("arrived", False, 0)
    inspect(job, marks=(CRACK,))
    assert Mark.objects.filter(withdrawn_at__isnull=True).count() == 1
    assert Mark.objects.count() == 2


def test_the_same_form_of_an_unannounced_box_twice_is_one_job():
    make_box()
    key = uuid4()
    box = BoxRecorded(sender_on_box="no name")
    given = {"family": "carburettor", "number_found": "KV", "submission_key": key}
    first = arrivals.record_box(box=box, **given, actor=WORKSHOP, now=NOW)
    assert arrivals.record_box(box=box, **given, actor=WORKSHOP, now=NOW) == first
    assert Job.objects.filter(submission_key=key).count() == 1


def match(box, booked):
    return arrivals.match_box(box.number, booking_number=booked.number, actor=WORKSHOP, now=LATER)


def test_a_matched_box_goes_on_under_its_bookings_number():
    box, booked = make_box(), make_job(stage="cleared")
    Photo.objects.create(reference=uuid4(), job=box, role="carton", by_role="workshop", uploaded_at=NOW)
    match(box, booked)
    box.refresh_from_db()
    booked.refresh_from_db()
    assert (booked.stage, booked.arrived_at, booked.number_found) == ("arrived", NOW, "KV4081B")
    assert booked.name_missing
    assert (box.stage, kinds(box)) == ("closed", ["box_recorded", "merged"])
    assert kinds(booked)[-2:] == ["arrived", "matched"]
    assert Photo.objects.get().job == booked
    assert OutboxMessage.objects.filter(job=booked, kind="arrived").count() == 1


def test_a_booking_whose_box_was_put_first_goes_on_as_the_first():
    box, booked = make_box(), make_job(stage="cleared")
    turns.change_turn(box.number, turn=Turn.FIRST, reason="He stands at the counter.", **WHO)
    match(box, booked)
    booked.refresh_from_db()
    assert booked.priority
    assert kinds(booked)[-3:] == ["arrived", "turn_changed", "matched"]
    take_back(booked)
    booked.refresh_from_db()
    box.refresh_from_db()
    assert (booked.stage, booked.priority, box.stage, box.priority) == ("cleared", False, "arrived", True)


def test_a_box_cannot_be_matched_twice_nor_with_what_has_arrived():
    box, booked = make_box(), make_job(stage="cleared")
    match(box, booked)
    with pytest.raises(IllegalTransition):
        match(box, make_job(name="Bram Dunnage"))
    with pytest.raises(IllegalTransition):
        match(make_box(), booked)


def test_two_bookings_are_no_box():
    booked = make_job()
    with pytest.raises(MissingFact, match="without a booking"):
        match(booked, make_job(name="Bram Dunnage"))
    with pytest.raises(MissingFact, match="without a booking"):
        match(booked, booked)


def take_back(job):
    corrections.take_back_last_step(job.number, reason="wrong booking", **WHO)


def reads_as_its_log(job):
    kept = {name: getattr(job, name) for name in CACHED}
    set_cache(job, state=states_of([job])[job.pk])
    return {name: getattr(job, name) for name in CACHED} == kept


def a_photo(job, *, at=NOW):
    return Photo.objects.create(reference=uuid4(), job=job, role="carton", by_role="workshop", uploaded_at=at)


def test_a_match_taken_back_opens_the_boxs_own_number_and_lets_the_booking_wait_again():
    box, booked = make_box(), make_job(stage="posted")
    photo, other = a_photo(box), a_photo(booked)
    match(box, booked)
    assert [row["job"] for row in merged_boxes()] == [box.pk]
    take_back(booked)
    box, booked = Job.objects.get(pk=box.pk), Job.objects.get(pk=booked.pk)
    assert (box.stage, box.ended_at, kinds(box)) == ("arrived", None, ["box_recorded", "merged", "corrected"])
    assert (booked.stage, booked.arrived_at, booked.number_found, booked.name_missing) == (
        "posted",
        None,
        "",
        False,
    )
    assert kinds(booked)[-4:] == ["arrived", "matched", "corrected", "corrected"]
    assert (Photo.objects.get(pk=photo.pk).job, Photo.objects.get(pk=other.pk).job) == (box, booked)
    assert reads_as_its_log(box)
    assert reads_as_its_log(booked)
    assert not merged_boxes().exists()


def test_a_match_taken_back_stops_the_mail_that_has_not_gone_out_and_can_be_made_again():
    box, booked, right = make_box(), make_job(stage="cleared"), make_job(name="Bram Dunnage", stage="cleared")
    match(box, booked)
    take_back(booked)
    messages.deliver_due(now=LATER, limit=20)
    assert OutboxMessage.objects.get(job=booked, kind="arrived").state == "dropped"
    match(box, right)
    right.refresh_from_db()
    assert right.stage == "arrived"


def test_a_match_stands_once_something_else_was_recorded():
    box, booked = make_box(), make_job(stage="cleared")
    match(box, booked)
    answers.add_note(booked.number, text="It is here.", actor=WORKSHOP, now=LATER)
    with pytest.raises(IllegalTransition, match="no step"):
        take_back(booked)
    booked.refresh_from_db()
    assert booked.stage == "arrived"


def test_a_match_stands_once_photos_were_added_under_the_bookings_number():
    box, booked = make_box(), make_job(stage="cleared")
    match(box, booked)
    a_photo(booked, at=LATER + timedelta(minutes=5))
    with pytest.raises(IllegalTransition, match="Photos were added"):
        take_back(booked)


def test_a_match_is_taken_back_under_its_booking():
    box, booked = make_box(), make_job(stage="cleared")
    match(box, booked)
    with pytest.raises(IllegalTransition, match=show(booked.number)):
        take_back(box)


def test_an_inspection_is_taken_back_before_the_match():
    box, booked = make_box(), make_job(stage="cleared")
    match(box, booked)
    inspect(booked)
    take_back(booked)
    booked.refresh_from_db()
    assert booked.stage == "arrived"
    take_back(booked)
    booked.refresh_from_db()
    assert booked.stage == "cleared"
