"""However many people write at once: nothing is lost, nothing happens twice, and nobody sees a fault."""

import threading
from dataclasses import replace
from datetime import timedelta
from functools import partial
from uuid import uuid4

import pytest

from jobs.domain.errors import IllegalTransition, StaleEdit
from jobs.domain.facts import BoxRecorded, PartUsed
from jobs.domain.shop import ShopKind
from jobs.leadtime.routes import Person
from jobs.models import (
    Booking,
    Job,
    JobEvent,
    Mark,
    OutboxMessage,
    PrivateLink,
    ShopRevision,
    StepTick,
    WorkClaim,
)
from jobs.selectors.shop_state import states_of
from jobs.services import arrivals, bench, bookings, links, parcels, shop
from jobs.services._claims import claimed
from packing.catalogue.schema import Carton
from packing.errors import CatalogueError, RevisionTaken
from packing.models import CatalogueRevision
from packing.services import FirstEntries, first_entries, publish_first_revisions
from tests.database.crowd import at_once
from tests.factories import (
    NOW,
    OWNER,
    SECOND,
    WORKSHOP,
    make_booking,
    make_box,
    make_job,
    open_shop,
    sound_inspection,
)

pytestmark = pytest.mark.django_db(transaction=True)
LATER = NOW + timedelta(days=9)


def many_bookings(count):
    """Return bookings with every question answered, each with a name of its own."""
    answers = make_booking().answers
    rows = [
        Booking(answers={**answers, "name": f"Customer {number}"}, started_at=NOW, saved_at=NOW)
        for number in range(count)
    ]
    return Booking.objects.bulk_create(rows)


def first_carton():
    return next(entry for entry in first_entries(FirstEntries.USUAL) if isinstance(entry, Carton))


def numbers_of(job):
    return list(JobEvent.objects.filter(job=job).order_by("number").values_list("number", flat=True))


@pytest.mark.slow
def test_200_bookings_at_once_are_all_taken_and_none_is_lost():
    written = many_bookings(200)
    crowd = at_once(*(partial(bookings.send_booking, booking.reference, now=NOW) for booking in written))
    assert crowd.raised == []
    assert len({job.number for job in crowd.answers}) == Job.objects.count() == 200
    assert JobEvent.objects.filter(kind="booking_sent").count() == 200
    assert OutboxMessage.objects.filter(kind="booking_received").count() == 200
    assert set(Job.objects.values_list("customer__name", flat=True)) == {
        f"Customer {number}" for number in range(200)
    }


@pytest.mark.slow
def test_20_bookings_each_sent_ten_times_at_once_give_20_jobs_and_200_equal_answers():
    written = many_bookings(20)
    crowd = at_once(*(partial(bookings.send_booking, booking.reference, now=NOW) for booking in written * 10))
    assert crowd.raised == []
    assert Job.objects.count() == 20
    assert sorted(job.number for job in crowd.answers) == sorted(
        number for number in Job.objects.values_list("number", flat=True) for _ in range(10)
    )
    assert OutboxMessage.objects.count() == 20


def test_a_form_of_an_unannounced_box_sent_ten_times_at_once_gives_one_job():
    open_shop()
    box = BoxRecorded(sender_on_box="no name", carton_state="sound", packing_found="loose_fill")
    record = partial(
        arrivals.record_box,
        box=box,
        family="carburettor",
        number_found="KV4081B",
        submission_key=uuid4(),
        actor=WORKSHOP,
        now=NOW,
    )
    crowd = at_once(*[record] * 10)
    assert crowd.raised == []
    assert {job.number for job in crowd.answers} == {Job.objects.get().number}
    assert numbers_of(Job.objects.get()) == [1]


@pytest.mark.slow
def test_of_300_edits_of_one_page_each_is_recorded_or_refused_and_none_is_lost():
    """Ten rounds: 30 people read the page, then all write. One may win a round; 29 have to be told."""
    job = make_job(stage="inspected")
    before = job.event_count
    wrote = []
    for turn in range(10):
        have_read = threading.Barrier(30)

        def edit(person, *, turn=turn, have_read=have_read):
            seen = Job.objects.get(pk=job.pk).event_count
            have_read.wait()
            part = PartUsed(part=f"jet {turn}.{person}")
            bench.use_part(job.number, part=part, actor=WORKSHOP, now=LATER, expected_count=seen)
            return part.part

        crowd = at_once(*(partial(edit, person) for person in range(30)))
        assert len(crowd.of(StaleEdit)) == len(crowd.raised) == 29
        wrote += crowd.answers
    kept = JobEvent.objects.filter(job=job, kind="part_used").order_by("number")
    assert [event.facts["part"] for event in kept] == wrote
    assert len(wrote) == 10
    job.refresh_from_db()
    assert numbers_of(job) == list(range(1, before + 11))
    assert job.event_count == before + 10 == states_of([job])[job.pk].event_count


def test_of_many_who_write_without_a_page_none_is_lost():
    job = make_job(stage="inspected")
    use = partial(bench.use_part, job.number, actor=WORKSHOP, now=LATER, expected_count=None)
    crowd = at_once(*(partial(use, part=PartUsed(part=f"jet {number}")) for number in range(40)))
    assert crowd.raised == []
    assert JobEvent.objects.filter(job=job, kind="part_used").count() == 40
    assert numbers_of(job) == list(range(1, job.event_count + 41))


@pytest.mark.parametrize("has_page", [True, False], ids=["page", "no page"])
def test_of_two_people_who_inspect_the_same_box_one_is_told(has_page):
    job = make_job(stage="arrived")
    mark = arrivals.MarkEntry(zone="flange/base", damage_kind="crack", severity=2)
    entry = arrivals.Inspection(
        grade="complete",
        number_read="KV4081B",
        unit_model=job.unit_model,
        contents_found=("unit",),
        contents_missing=(),
        marks=(mark,),
    )
    record = partial(
        arrivals.record_inspection,
        job.number,
        inspection=entry,
        now=LATER,
        expected_count=job.event_count if has_page else None,
    )
    crowd = at_once(partial(record, actor=WORKSHOP), partial(record, actor=SECOND))
    assert len(crowd.answers) == 1
    assert len(crowd.of(StaleEdit if has_page else IllegalTransition)) == 1
    assert Mark.objects.filter(job=job).count() == 1
    assert JobEvent.objects.filter(job=job, kind="inspected").count() == 1


def test_a_box_matched_with_two_bookings_at_once_goes_to_one():
    box = make_box()
    booked = [make_job(), make_job(name="Bram Dunnage")]
    match = partial(arrivals.match_box, box.number, actor=WORKSHOP, now=LATER)
    crowd = at_once(*(partial(match, booking_number=job.number) for job in booked))
    assert len(crowd.answers) == len(crowd.of(IllegalTransition)) == 1
    assert sorted(Job.objects.exclude(pk=box.pk).values_list("stage", flat=True)) == ["arrived", "booked"]
    assert Job.objects.get(pk=box.pk).stage == "closed"


def test_a_job_inspected_and_turned_away_at_once_does_one_of_both():
    from jobs.services import dispatch

    job = make_job(stage="arrived")
    dispatch.check_bench_fluid(job.number, smells=False, actor=WORKSHOP, now=LATER, expected_count=None)
    job.refresh_from_db()
    who = {"actor": WORKSHOP, "now": LATER, "expected_count": job.event_count}
    crowd = at_once(
        partial(arrivals.record_inspection, job.number, inspection=sound_inspection(job), **who),
        partial(
            dispatch.return_unrepaired,
            job.number,
            reason="The body is cracked.",
            on=LATER.date(),
            carrier="",
            tracking_number="",
            **who,
        ),
    )
    assert len(crowd.answers) == len(crowd.of(StaleEdit)) == 1


def test_ticks_sent_many_times_at_once_are_kept_once():
    job = make_job(stage="cleared")
    steps = tuple(f"step-{number}" for number in range(5))
    tick = partial(parcels.set_ticks, job.number, steps=(*steps, steps[0]), shown=steps, now=LATER)
    assert at_once(*[tick] * 12).raised == []
    assert sorted(StepTick.objects.values_list("step", flat=True)) == sorted(steps)


def test_of_50_uses_of_a_sign_in_link_at_once_exactly_one_opens():
    job = make_job()
    token = links.issue_sign_in_link(job.customer, now=NOW)
    crowd = at_once(*[partial(links.redeem_link, token, now=NOW + timedelta(minutes=1))] * 50)
    assert [link.purpose for link in crowd.answers] == ["sign_in"]
    assert len(crowd.of(links.LinkRefused)) == 49
    assert PrivateLink.objects.get(purpose="sign_in").used_at == NOW + timedelta(minutes=1)


def test_the_usual_routes_asked_for_many_times_at_once_are_added_once():
    publish_first_revisions(FirstEntries.USUAL, now=NOW)
    crowd = at_once(*(partial(shop.publish_usual, actor=OWNER, now=NOW) for _ in range(8)))
    assert crowd.raised == []
    rows = ShopRevision.objects.all()
    assert sum(crowd.answers) == rows.count() > 5
    assert set(rows.values_list("revision", flat=True)) == {1}


@pytest.mark.parametrize("based_on", [0, 1], ids=["a new document", "a change"])
def test_of_many_owners_publishing_one_document_at_once_one_is_taken(based_on):
    publish = partial(shop.publish_document, kind=ShopKind.PERSON, note="", actor=OWNER, now=NOW)
    if based_on:
        publish({"slug": "ada", "name": "Ada Thornby"}, based_on=0)
    names = [f"Ada the {number}th" for number in range(8)]
    crowd = at_once(*(partial(publish, {"slug": "ada", "name": name}, based_on=based_on) for name in names))
    assert [row.revision for row in crowd.answers] == [based_on + 1]
    assert len(crowd.of(RevisionTaken)) == len(names) - 1
    assert ShopRevision.objects.count() == based_on + 1


def test_of_many_files_naming_one_document_one_is_brought_in_and_the_others_bring_nothing():
    carton, person = first_carton(), Person(slug="ada", name="Ada Thornby")
    tries = [
        partial(
            shop.publish_all,
            entries=[replace(carton, name=f"Crate {number}")],
            documents={ShopKind.PERSON: [replace(person, slug=f"ada-{number}")]},
            based_on={},
            note="",
            actor=OWNER,
            now=NOW,
        )
        for number in range(6)
    ]
    crowd = at_once(*tries)
    assert crowd.answers == [2]
    assert len(crowd.of(RevisionTaken)) == len(tries) - 1
    assert (CatalogueRevision.objects.count(), ShopRevision.objects.count()) == (1, 1)


def test_an_owner_withdrawing_what_is_changed_at_once_withdraws_it_unchanged_or_not_at_all():
    person = {"slug": "ada", "name": "Ada Thornby"}
    shop.publish_document(person, kind=ShopKind.PERSON, based_on=0, note="", actor=OWNER, now=NOW)
    given = {"kind": ShopKind.PERSON, "based_on": 1, "note": "", "actor": OWNER, "now": NOW}
    crowd = at_once(
        partial(shop.withdraw_document, "ada", **given),
        partial(shop.publish_document, {**person, "name": "Ada Quill"}, **given),
    )
    assert [row.revision for row in crowd.answers] == [2]
    assert len(crowd.of(CatalogueError)) == 1


def test_the_holidays_asked_for_many_times_at_once_are_added_once():
    given = {"country": "GB", "subdivision": "ENG", "years": (2026,), "actor": OWNER, "now": NOW}
    crowd = at_once(*(partial(shop.seed_closed_days, **given) for _ in range(6)))
    assert crowd.raised == []
    rows = ShopRevision.objects.all()
    assert sum(crowd.answers) == rows.count() > 5
    assert set(rows.values_list("revision", flat=True)) == {1}


def test_of_many_workers_one_is_at_a_piece_of_work():
    taken, done = [], threading.Event()

    def work():
        with claimed("forecast", now=NOW) as mine:
            taken.append(mine)
            if mine:
                done.wait(timeout=20)
            if len(taken) == 8:
                done.set()

    crowd = at_once(*(work for _ in range(8)))
    assert crowd.raised == []
    assert sorted(taken) == [False] * 7 + [True]
    assert WorkClaim.objects.get().lease_until is None
