"""The awkward jobs of the demo shop, each led to where it hurts by the same services the pages use."""

from collections.abc import Callable, Sequence
from uuid import uuid4

from jobs.demo.pictures import add_demo_photos
from jobs.demo.readings import bad_readings
from jobs.demo.stagehand import NO_SETTINGS, Stagehand
from jobs.domain.facts import BenchWork, BoxRecorded, Finding, PartUsed
from jobs.domain.stages import HoldKind, Turn
from jobs.models import Job
from jobs.photos.demo import DemoSubject
from jobs.services import answers, arrivals, bench, dispatch, extra_work, parcels, turns

BEND_ON_PHOTO = (0.64, 0.47)
"""Where the photo of the bent lever shows the bend, as shares of its width and height."""


def stage_bookings(hand: Stagehand) -> None:
    """Make bookings that wait for the shop, and give answers of every kind."""
    hand.book("tolvane-kv4081", name="Ottoline Brackley", days_ago=0.3, number_as_read="KV4O8IB")
    hand.book("", name="Cuthbert Merrow", days_ago=1.1, family="magneto", own_words="The plate is blank.")
    hand.book(
        "tolvane-vv38", name="Isadora Plumtree", days_ago=0.6, own_words="A pair; this is the front one."
    )
    asked = hand.book("osterwyn-op4", name="Hector Saltonstall", days_ago=3)
    answers.ask_question(
        asked.number, text="Is the pump still on the engine, or off it?", **hand.shop(days_ago=2)
    )
    no = hand.book("brennick-bm1", name="Prudence Oake", days_ago=9, fitted_to="A light aeroplane")
    answers.decline_job(
        no.number,
        reason="Magnetos of aircraft may only be rebuilt by licensed workshops. Ask one of those.",
        **hand.shop(days_ago=8.5),
    )
    gone = hand.book("tolvane-kw34", name="Barnaby Frost", days_ago=20)
    answers.cancel_job(
        gone.number,
        reason="Sold the boat.",
        actor=hand.customer(gone),
        now=hand.at(18),
        expected_count=None,
    )


def stage_parcels(hand: Stagehand) -> None:
    """Units at the customer's: airing, ready for the smell test, smelling; and one long on its way."""
    for name, drained_ago in (("Felicity Wrack", 0.4), ("Gideon Stallard", 6.0)):
        job = hand.book("tolvane-kv4081", name=name, days_ago=9)
        hand.clear(job, days_ago=8)
        hand.drain(job, days_ago=drained_ago)
    smelly = hand.book("pellmar-pl2030", name="Rosalind Tarn", days_ago=7)
    hand.clear(smelly, days_ago=6)
    hand.drain(smelly, days_ago=4)
    parcels.record_smell(smelly.number, smells=True, actor=hand.customer(smelly), now=hand.at(0.2))
    late = hand.book("brennick-db4080", name="Everard Ling", days_ago=26)
    hand.clear(late, days_ago=25)
    hand.post(late, days_ago=11)


def stage_arrivals(hand: Stagehand) -> None:
    """Boxes with no name, a box that smells, the wrong unit, damage in transit, parts kept back."""
    for days_ago, number in ((0.2, "KV4087B"), (3.0, "")):
        box = arrivals.record_box(
            box=BoxRecorded(
                sender_on_box="nothing readable",
                carton_state="scuffed",
                packing_found="loose_or_moved",
                note="No name, no letter, no slip.",
            ),
            family="carburettor",
            number_found=number,
            submission_key=uuid4(),
            actor=hand.staff[1],
            now=hand.at(days_ago),
        )
        hand_photos(hand, box, subjects=(DemoSubject.OPEN_CARTON, DemoSubject.WHOLE_UNIT), days_ago=days_ago)
    for name, smells in (("Lavinia Crewe", True), ("Tobias Pike", False)):
        job = hand.book("tolvane-qf4", name=name, days_ago=14)
        hand.clear(job, days_ago=12)
        hand.post(job, days_ago=3)
        hand.receive(job, days_ago=0.3, smells_of_fuel=smells)
    wrong = hand.book("brennick-bm4-c25", name="Auberon Kell", days_ago=17)
    hand.clear(wrong, days_ago=15)
    hand.post(wrong, days_ago=6)
    hand.receive(wrong, days_ago=2.1)
    hand.inspect(
        wrong, days_ago=2, grade="not_as_booked", number_read="BM4-A25", unit_model="brennick-bm4-a25"
    )
    damaged = hand.book("tolvane-ds45", name="Constance Mayhew", days_ago=16)
    hand.clear(damaged, days_ago=14)
    hand.post(damaged, days_ago=5)
    hand.receive(damaged, days_ago=1.1, carton_state="panel_crushed", packing_found="touching")
    hand_photos(hand, damaged, subjects=(DemoSubject.OPEN_CARTON, DemoSubject.BENT_LEVER), days_ago=1.05)
    mark = arrivals.MarkEntry(
        zone="throttle spindle and levers",
        damage_kind="bent",
        severity=3,
        origin="in_transit",
        note="The lever met the carton wall where the panel is crushed.",
        photo_id=damaged.photos.order_by("-pk").values_list("pk", flat=True).first(),
        x_share=BEND_ON_PHOTO[0],
        y_share=BEND_ON_PHOTO[1],
    )
    hand.inspect(damaged, days_ago=1, grade="complete_with_damage", marks=(mark,))
    parted = hand.book("osterwyn-or4", name="Milo Garrick", days_ago=18)
    hand.clear(parted, days_ago=16)
    hand.post(parted, days_ago=7)
    hand.receive(parted, days_ago=4.1)
    hand.inspect(
        parted, days_ago=4, grade="incomplete_cannot_start", contents_missing=("shut-off solenoid", "levers")
    )


def stage_bench(hand: Stagehand) -> None:
    """Lead units to a silent customer, a back order, an outside trade, and a second signature that is due."""
    silent = hand.in_shop("tolvane-kv4087", name="Peregrine Sloe", days_ago=26, spend_limit_pence=0)
    hand.work(silent, through="strip", days_ago=24.5)
    bench.record_finding(
        silent.number,
        finding=Finding("Old crack in one ear, filled with paint", "flange/base", 3),
        **hand.shop(days_ago=24.4),
    )
    hand_photos(hand, silent, subjects=(DemoSubject.CRACKED_FLANGE,), days_ago=24.4, role="finding")
    ask(hand, silent, text="Make one new ear and braze it in", price_pence=9200, days_ago=24.2)
    short = hand.in_shop("osterwyn-or6", name="Delphine Harrow", days_ago=44)
    hand.work(short, through="clean", days_ago=41)
    hand.hold(
        short, kind=HoldKind.PARTS, reason="Head seal kit, on back order", days_ago=40.5, expected_days=-6
    )
    plated = hand.in_shop("brennick-bm6-c35", name="Jocelyn Wadham", days_ago=16)
    hand.work(plated, through="machine", days_ago=12)
    hand.hold(plated, kind=HoldKind.OUTSIDE, reason="Coil at the winder", days_ago=11.8, expected_days=3)
    asked = hand.in_shop("tolvane-kw34", name="Sybil Ormerod", days_ago=5, spend_limit_pence=1000)
    hand.work(asked, through="strip", days_ago=1.5)
    ask(hand, asked, text="Re-bush the spindle and fit a new spindle", price_pence=6400, days_ago=1.2)
    tested = hand.in_shop("brennick-bm4-c25", name="Lysander Cope", days_ago=9)
    hand.work(tested, through="test", days_ago=0.3)
    put_together = hand.in_shop("tolvane-kv4081", name="Henrietta Voss", days_ago=8)
    hand.work(put_together, through="assemble", days_ago=0.6)
    bench.use_part(put_together.number, part=PartUsed("Needle valve and seat"), **hand.shop(days_ago=0.55))
    bench.start_work(put_together.number, work=BenchWork(step="test"), **hand.shop(days_ago=0.3))
    hand.read(put_together, days_ago=0.25, judged=bad_readings)
    bench.fail_test(
        put_together.number, note="Leaks at the needle after ten minutes.", **hand.shop(days_ago=0.2)
    )
    for job, days_ago, reason in (
        (plated, 2.0, "The first coil came back faulty; it goes on once the second is here"),
        (put_together, 0.15, "Failed on the stand, and the customer calls for it on Friday"),
    ):
        turns.change_turn(job.number, turn=Turn.FIRST, reason=reason, **hand.shop(days_ago=days_ago))
    stage_way_back(hand)


def stage_way_back(hand: Stagehand) -> None:
    """Lead one signed-off unit to an unpaid invoice, and pack another."""
    leads: tuple[tuple[str, str, Callable[[Job], object]], ...] = (
        (
            "tolvane-vv38",
            "Cressida Blythe",
            lambda job: hand.hold(
                job, kind=HoldKind.PAYMENT, reason="Invoice is open", days_ago=0.5, expected_days=4
            ),
        ),
        ("pellmar-pl2080", "Ignatius Furl", lambda job: pack(hand, job, days_ago=0.4)),
    )
    for unit_model, name, finish in leads:
        job = hand.in_shop(unit_model, name=name, days_ago=11)
        hand.work(job, through="test", days_ago=1.2)
        bench.sign_off(job.number, note="", without_settings=NO_SETTINGS, **hand.shop(days_ago=0.9, person=2))
        finish(job)


def pack(hand: Stagehand, job: Job, *, days_ago: float) -> None:
    """Check for bench fluid and pack."""
    dispatch.check_bench_fluid(job.number, smells=False, **hand.shop(days_ago=days_ago + 0.1))
    dispatch.pack_job(job.number, note="", **hand.shop(days_ago=days_ago))


def ask(hand: Stagehand, job: Job, *, text: str, price_pence: int, days_ago: float) -> None:
    """Ask the customer for extra work."""
    extra_work.ask_extra_work(
        job.number,
        lines=(extra_work.ExtraLine(text=text, price_pence=price_pence),),
        added_work_days=3,
        latest_on_if_approved=None,
        **hand.shop(days_ago=days_ago),
    )


def hand_photos(
    hand: Stagehand, job: Job, *, subjects: Sequence[DemoSubject], days_ago: float, role: str = "packing"
) -> None:
    """Add photos taken at the counter or the bench."""
    add_demo_photos(
        booking=None,
        job=job,
        family=job.family,
        number=job.number_as_read or job.number_found,
        subjects=tuple(subjects),
        role=role,
        actor=hand.staff[1],
        now=hand.at(days_ago),
    )
