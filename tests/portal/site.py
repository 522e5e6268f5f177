"""A small shop in which every page has something to show: one job at each stage, and what hangs on them.

It is written once for a whole module of tests (the fixture `seeded`), always through the services.
"""

from dataclasses import dataclass, field
from datetime import timedelta
from io import BytesIO
from unittest.mock import patch
from uuid import uuid4

from django.conf import settings
from django.contrib.auth import get_user_model
from django.test import Client
from django.utils import timezone
from PIL import Image

from jobs.domain.actors import Actor
from jobs.domain.booking import BookingStep
from jobs.domain.facts import BenchWork, Finding
from jobs.domain.stages import HoldKind, Role, Turn
from jobs.leadtime.changes import Benches, IntakeCapped, JobFirst, OnePersonFewer
from jobs.models import Booking, Job, Mark, Photo, WhatIfRun
from jobs.services import (
    answers,
    bench,
    bookings,
    extra_work,
    forecasts,
    links,
    outlooks,
    parcels,
    turns,
    whatif_runs,
)
from jobs.services.photo_withdrawal import withdraw_shown
from jobs.services.photos import add_photo, convert_next
from portal.customer.drafts import BOOKING_KEY, MAILED_KEY
from portal.shared.grants import SESSION_KEY
from tests.factories import OWNER, SECOND, STAGES_IN_ORDER, WORKSHOP, make_booking, make_box, make_job

# What no stranger may ever read; every customer of the seeded shop carries these words.
PERSONAL = ("Ada Thornby", "ada@example.com", "01632 960 555", "2 Quay Cottages", "SA1 2BC", "Nereid 7")
SIDE_STAGES = ("declined",)
REPLICATIONS = tuple(f"{part}_REPLICATIONS" for part in ("WEEKS", "CURVE", "CONTRIBUTION", "START"))
FEW = 20


@dataclass(slots=True)
class Site:
    """The seeded rows by the names that samples use for them."""

    jobs: dict[str, Job] = field(default_factory=dict)
    drafts: dict[str, Booking] = field(default_factory=dict)
    photos: dict[str, Photo] = field(default_factory=dict)
    tokens: dict[str, str] = field(default_factory=dict)
    people: dict[str, object] = field(default_factory=dict)
    comparisons: dict[str, WhatIfRun] = field(default_factory=dict)


def seed_site() -> Site:
    """Return the shop after filling it."""
    site, now = Site(), timezone.now()
    for role, name in (("workshop", WORKSHOP.name), ("owner", "Maren Quillfeather")):
        site.people[role] = get_user_model().objects.create_user(
            f"{role}@quillfeather.example", None, name=name, role=role
        )
    site.people["second"] = get_user_model().objects.create_user(
        "second@quillfeather.example", None, name=SECOND.name, role="workshop"
    )
    booked_at = now - timedelta(days=12)
    for stage in (*STAGES_IN_ORDER, *SIDE_STAGES):
        site.jobs[stage] = _job(stage=stage, now=booked_at)
    site.jobs["foreign"] = make_job(
        stage="cleared", now=booked_at, name="Bo Larkspur", email="bo@example.com", phone="01632 960 777"
    )
    site.jobs["unknown_model"] = _job(
        stage="cleared", now=booked_at, unit_model="", number_as_read="", cannot_read=True
    )
    site.jobs["box"] = make_box(now=now - timedelta(hours=2))
    _at_the_gate(site, now=now)
    _at_the_bench(site, now=now)
    _drafts(site, now=now)
    _photos(site, now=now)
    _links(site, now=now)
    forecasts.refresh(now=now)
    with patch.multiple(outlooks, **dict.fromkeys(REPLICATIONS, FEW)):
        outlooks.refresh_all(now=now)
    with patch.object(whatif_runs, "REPLICATIONS", FEW):
        _comparisons(site, now=now)
    return site


def _comparisons(site: Site, *, now) -> None:
    """Ask for one comparison of each fate; the last one waits."""

    def ask(*changes, at):
        words = tuple("A change" for _ in changes)
        return whatif_runs.ask_comparison(changes, words=words, reference=uuid4(), actor=OWNER, now=at)

    old = now - timedelta(days=9)
    site.comparisons["expired"] = ask(IntakeCapped(4), at=old)
    whatif_runs.work_next(now=old)
    whatif_runs.expire_old(now=now)
    held = site.jobs["stripped"].number
    site.comparisons["done"] = ask(Benches("packing_table", 1), JobFirst(held), at=now)
    site.comparisons["first"] = ask(JobFirst(held), at=now)
    site.comparisons["refused"] = ask(OnePersonFewer("piers"), at=now)
    for _ in range(3):
        whatif_runs.work_next(now=now)
    site.comparisons["cancelled"] = ask(IntakeCapped(3), at=now)
    whatif_runs.cancel_comparison(site.comparisons["cancelled"].reference, actor=OWNER, now=now)
    site.comparisons["waiting"] = ask(IntakeCapped(2), at=now - timedelta(minutes=5))


def _job(*, stage, now, **changes) -> Job:
    return make_job(stage=stage, now=now, own_words="Painted on it: Nereid 7.", **changes)


def _at_the_gate(site: Site, *, now) -> None:
    for name in ("asked", "draining", "smell_due", "may_post", "smelling"):
        site.jobs[name] = _job(stage="cleared", now=now - timedelta(days=12))
    answers.ask_question(
        site.jobs["asked"].number,
        text="Does the spindle turn?",
        actor=WORKSHOP,
        now=now - timedelta(hours=3),
        expected_count=None,
    )
    for name, hours in (("draining", 1), ("smell_due", 200), ("may_post", 200), ("smelling", 200)):
        drained_at = now - timedelta(hours=hours)
        parcels.record_drained(
            site.jobs[name].number, drained_at=drained_at, actor=_customer(), now=drained_at
        )
    for name in ("may_post", "smelling"):
        parcels.record_smell(
            site.jobs[name].number,
            smells=name == "smelling",
            actor=_customer(),
            now=now - timedelta(minutes=5),
        )


def _at_the_bench(site: Site, *, now) -> None:
    at, who = now - timedelta(hours=1), {"actor": WORKSHOP, "expected_count": None}
    for name, stage in (("working", "inspected"), ("held", "stripped"), ("extra", "stripped")):
        site.jobs[name] = _job(stage=stage, now=now - timedelta(days=12), spend_limit_pence=0)
    site.jobs["first"] = _job(stage="inspected", now=now - timedelta(days=12))
    turns.change_turn(
        site.jobs["first"].number, turn=Turn.FIRST, reason="It is wanted for a regatta", now=at, **who
    )
    site.jobs["decided"] = _job(stage="stripped", now=now - timedelta(days=12), spend_limit_pence=0)
    bench.start_work(site.jobs["working"].number, work=BenchWork(step="strip"), now=at, **who)
    bench.hold_job(
        site.jobs["held"].number, hold=HoldKind.PARTS, reason="The needle is on order", expected_on=None,
        now=at, **who,
    )  # fmt: skip
    for name in ("extra", "decided"):
        bench.record_finding(
            site.jobs[name].number,
            finding=Finding(text="Spindle worn oval by 0.4 mm", zone="", severity=2),
            now=at,
            **who,
        )
        extra_work.ask_extra_work(
            site.jobs[name].number,
            lines=(extra_work.ExtraLine(text="Re-bush the spindle", price_pence=6400),),
            added_work_days=3,
            latest_on_if_approved=(now + timedelta(days=40)).date(),
            now=at,
            **who,
        )
    extra_work.decide_extra_work(
        site.jobs["decided"].number, extra_work=1, decision="approved", note="", actor=_customer(), now=now
    )


def _drafts(site: Site, *, now) -> None:
    site.drafts["whole"] = make_booking(now=now, own_words="Painted on it: Nereid 7.")
    site.drafts["wish"] = make_booking(now=now, wished_on=(now + timedelta(days=3)).date())
    asked = bookings.start_booking(now=now)
    given = {"family": "carburettor", "number_as_read": "KV40?1", "name": "Ada Thornby"}
    bookings.save_answers(asked, step=BookingStep.FAMILY, changes=given, now=now)
    bookings.save_answers(asked, step=BookingStep.NUMBER, changes={}, now=now)
    site.drafts["model_open"] = asked
    sent = make_booking(now=now)
    site.jobs["just_sent"] = bookings.send_booking(sent.reference, now=now)
    sent.refresh_from_db()
    site.drafts["sent"] = sent


def _photos(site: Site, *, now) -> None:
    for name, where, role in (
        ("draft", {"booking": site.drafts["whole"], "job": None}, "before"),
        ("customer", {"booking": None, "job": site.jobs["cleared"]}, "before"),
        ("foreign", {"booking": None, "job": site.jobs["foreign"]}, "before"),
        ("arrival", {"booking": None, "job": site.jobs["arrived"]}, "carton"),
    ):
        made = BytesIO()
        Image.new("RGB", (640, 480), (140, 150, 130)).save(made, "JPEG")
        site.photos[name] = add_photo(
            BytesIO(made.getvalue()), shot="", caption="", actor=_customer(), now=now, **where, role=role
        )
    while convert_next(now=now):
        continue
    for where, role in (("inspected", "item"), ("arrived", "before")):
        _withdraw_one(site.jobs[where], role=role, now=now)


def _withdraw_one(job: Job, *, role: str, now) -> None:
    """Leave a trace of a photo that was withdrawn, with a mark that lay on it if the shop had taken it."""
    actor = WORKSHOP if role == "item" else _customer()
    made = BytesIO()
    Image.new("RGB", (640, 480), (140, 150, 130)).save(made, "JPEG")
    photo = add_photo(
        BytesIO(made.getvalue()), booking=None, job=job, role=role, shot="", caption="", actor=actor, now=now
    )
    if role == "item":
        Mark.objects.create(
            job=job, photo=photo, zone="bowl", damage_kind="cracked", severity=2, origin="cannot_tell",
            x_share=0.5, y_share=0.5, recorded_at=now, recorded_by=WORKSHOP.name,
        )  # fmt: skip
    withdraw_shown(
        job.number,
        photo=photo.reference,
        reason="A hand is in it.",
        actor=WORKSHOP,
        now=now,
        expected_count=None,
    )
    job.refresh_from_db()


def _links(site: Site, *, now) -> None:
    site.tokens["job"] = links.issue_job_link(site.jobs["cleared"], now=now)
    site.tokens["draft"] = links.issue_draft_link(site.drafts["whole"], now=now)


def _customer() -> Actor:
    return Actor(role=Role.CUSTOMER, name="Ada Thornby")


def stranger() -> Client:
    """Return a browser that nobody let in."""
    return Client()


def writer(booking: Booking) -> Client:
    """Return a browser in the middle of a booking."""
    return _with_session({BOOKING_KEY: str(booking.reference), MAILED_KEY: "ada@example.com"})


def let_in(job: Job) -> Client:
    """Return a browser that holds the grant of a job's customer, as if its private link had been used."""
    now = timezone.now()
    link = links.open_for_sender(job, now=now)
    until = (now + timedelta(days=settings.CUSTOMER_GRANT_DAYS)).timestamp()
    return _with_session({SESSION_KEY: [job.customer_id, link.pk, until]})


def signed_in(person) -> Client:
    """Return a browser in which one of the shop's people is signed in."""
    browser = Client()
    browser.force_login(person)
    session = browser.session
    session["staff_began_at"] = session["staff_seen_at"] = timezone.now().timestamp()
    session.save()
    return browser


def _with_session(values) -> Client:
    browser = Client()
    session = browser.session
    session.update(values)
    session.save()
    browser.cookies[settings.SESSION_COOKIE_NAME] = session.session_key
    return browser
