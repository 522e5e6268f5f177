"""Why a promised date moved: what grew is named, and a queue passed as foreseen is not."""

from datetime import timedelta

import pytest

from jobs.demo.five_people import five_people_shop
from jobs.domain.stages import HoldKind
from jobs.leadtime.moves import Way, explain_move, spend_parts
from jobs.leadtime.past import PastHold, PastJob
from jobs.leadtime.past_visits import PastVisit
from jobs.leadtime.ranges import Reason, ReasonKind
from jobs.leadtime.routes import BenchStep
from tests.jobs.leadtime.shops import EIGHT_HOURS, NOW

SHOP = five_people_shop()
ROUTE = next(route for route in SHOP.routes if "magneto" in route.families)
HOUR = timedelta(hours=1)
DAY = timedelta(days=1)
CENTRE_OF = {planned.step: planned.work_centre for planned in ROUTE.steps}
QUEUE_STRIP = (ReasonKind.QUEUE, CENTRE_OF[BenchStep.STRIP])
WORK, PARTS, ANSWER = (ReasonKind.WORK, ""), (ReasonKind.PARTS, ""), (ReasonKind.ANSWER, "")


def reason(part, days):
    return Reason(part[0], days, "as it was said", part[1])


def explain(before, after, *, way=Way.LATER, spent=None):
    return explain_move(before, spent_days=spent or {}, after=after, way=way, centres=SHOP.centres)


def spent(visits=(), holds=(), *, until=NOW + 3 * DAY):
    job = PastJob("1", "magneto", NOW, tuple(visits), tuple(holds))
    return spend_parts(job, since=NOW, now=until, hours=EIGHT_HOURS, route=ROUTE, centres=SHOP.centres)


def test_the_part_that_grew_most_is_named_first():
    said = explain(
        [reason(QUEUE_STRIP, 2.0), reason(PARTS, 1.0)], [reason(QUEUE_STRIP, 4.0), reason(PARTS, 9.0)]
    )
    assert said[0] == "Waiting for parts: about 8 working days longer than we had counted on."
    assert said[1].startswith("Queue at the ")
    assert "about 2 working days longer" in said[1]


def test_a_queue_that_was_passed_as_foreseen_is_not_blamed():
    said = explain([reason(QUEUE_STRIP, 6.0)], [reason(PARTS, 5.0)], spent={QUEUE_STRIP: 6.0})
    assert said == ("Waiting for parts: about 5 working days longer than we had counted on.",)


def test_time_spent_waiting_for_an_answer_is_named():
    said = explain([reason(ANSWER, 1.0)], [], spent={ANSWER: 15.0})
    assert said == ("Your answer, if we have to ask: about 14 working days longer than we had counted on.",)


def test_a_better_date_names_what_shrank():
    said = explain([reason(PARTS, 9.0), reason(WORK, 1.0)], [reason(WORK, 1.2)], way=Way.EARLIER)
    assert said == ("Waiting for parts: about 9 working days less than we had counted on.",)


def test_days_away_that_were_foreseen_are_not_blamed_on_the_work():
    foreseen = [reason(WORK, 1.5), reason((ReasonKind.AWAY, ""), 4.0)]
    assert explain(foreseen, [], spent={WORK: 5.5}) == ()
    (said,) = explain(foreseen, [], spent={WORK: 8.5})
    assert said == "Work at the bench: about 3 working days longer than we had counted on."


def test_small_changes_are_no_reason():
    assert explain([reason(WORK, 1.0)], [reason(WORK, 1.4)]) == ()


def test_what_a_job_was_doing_is_read_from_its_log():
    visit = PastVisit(BenchStep.STRIP, NOW + DAY, NOW + DAY + 2 * HOUR)
    held = PastHold(HoldKind.PARTS, NOW + DAY + 4 * HOUR, None)
    found = spent([visit], [held])
    assert found[QUEUE_STRIP] == pytest.approx(1.0)
    assert found[WORK] == pytest.approx(0.25)
    # Two hours in the queue for what comes after stripping, then held for the rest of three days.
    assert found[PARTS] == pytest.approx(1.5)
    assert sum(found.values()) == pytest.approx(3.0)


def test_a_hold_in_the_middle_of_work_is_a_wait_and_not_work():
    visit = PastVisit(BenchStep.STRIP, NOW, NOW + 2 * DAY + HOUR)
    held = PastHold(HoldKind.ANSWER, NOW + HOUR, NOW + 2 * DAY)
    found = spent([visit], [held], until=NOW + 2 * DAY + HOUR)
    assert found == {WORK: pytest.approx(0.25), ANSWER: pytest.approx(15 / 8)}


def test_a_failed_test_leads_back_to_the_queue_for_assembling():
    done = [
        PastVisit(step, NOW - DAY, NOW - DAY)
        for step in BenchStep
        if step in CENTRE_OF and step not in {BenchStep.TEST, BenchStep.SIGN_OFF, BenchStep.PACK}
    ]
    failed = PastVisit(BenchStep.TEST, NOW - HOUR, NOW, passed=False)
    found = spent([*done, failed], until=NOW + DAY)
    assert found == {(ReasonKind.QUEUE, CENTRE_OF[BenchStep.ASSEMBLE]): pytest.approx(1.0)}
