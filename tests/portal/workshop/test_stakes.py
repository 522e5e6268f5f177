"""What to start next is said for the person who asks, with whose promise it saves and whose it costs."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from jobs.domain.stages import Stage
from jobs.leadtime.outlook import PromiseChance, PromiseMove
from jobs.leadtime.starts import StartGain
from jobs.selectors.outlook import Chances, Stakes
from jobs.selectors.queue import CentreQueue, JobLine, ShopQueue
from portal.workshop.stakes import starts_for

AT = datetime(2026, 5, 4, tzinfo=UTC)
LINE = JobLine(
    "4821095", "Tolvane KV28", "", Stage.STRIPPED, None, "", AT, date(2026, 5, 8), "", False, "Clean"
)
GAIN = StartGain("0000003", PromiseMove("0000003", 0.6, 0.9), 3.2, (PromiseMove("4821095", 0.8, 0.6),))


def chance(*, promised_on):
    return Chances({"0000003": PromiseChance("0000003", promised_on, 0.6)})


def queue(*lines):
    bench = CentreQueue("Fuel bench", 1, ("Tobin Ashgrove",), lines, ())
    other = CentreQueue("Strip bench", 1, ("Wren Castlemoor",), (replace(LINE, number="9"),), ())
    return ShopQueue((bench, other), (), (), len(lines))


def lines_of(number_of_lines=4):
    return [replace(LINE, number=f"{at:07d}") for at in range(number_of_lines)]


def test_a_person_is_told_about_the_own_benches_only():
    told = starts_for("Tobin Ashgrove", queue=queue(LINE), stakes=Stakes(Chances({}), {}, None))
    assert told.is_own
    assert [line.centre_name for line in told.lines] == ["Fuel bench"]


def test_somebody_whom_no_bench_names_sees_all():
    told = starts_for("Maren Quillfeather", queue=queue(LINE), stakes=Stakes(Chances({}), {}, None))
    assert not told.is_own
    assert {line.centre_name for line in told.lines} == {"Fuel bench", "Strip bench"}


def test_a_start_that_saves_a_promise_is_listed_with_its_cost_wherever_it_stands():
    stakes = Stakes(chance(promised_on=LINE.promise_end), {"0000003": GAIN}, AT)
    told = starts_for("Tobin Ashgrove", queue=queue(*lines_of()), stakes=stakes)
    assert [line.line.number for line in told.lines] == ["0000000", "0000001", "0000003"]
    saved = told.lines[-1]
    assert saved.stake == "As things stand its promise is kept in about 6 of 10 cases."
    assert saved.gain == "Started next: kept in about 9 of 10 cases, and done about 3 working days earlier."
    assert (
        saved.cost.replace("\u00a0", " ")
        == "It costs job 482 109-5: kept in about 6 of 10 cases instead of in about 8 of 10 cases."
    )


def test_without_promise_or_forecast_nothing_is_claimed():
    unpromised = replace(LINE, promise_end=None)
    told = starts_for("Tobin Ashgrove", queue=queue(unpromised, LINE), stakes=Stakes(Chances({}), {}, None))
    assert [line.stake for line in told.lines] == ["No date is promised yet.", ""]
    assert {line.gain for line in told.lines} == {""}


@pytest.mark.parametrize(
    ("stage", "words"),
    [(Stage.SIGNED_OFF, "pack it when you can"), (Stage.PACKED, "goes to the carrier next")],
)
def test_a_finished_unit_without_a_promise_is_not_said_to_get_one(stage, words):
    done = replace(LINE, promise_end=None, stage=stage)
    (line,) = starts_for("Tobin Ashgrove", queue=queue(done), stakes=Stakes(Chances({}), {}, None)).lines
    assert words in line.stake
    assert "yet" not in line.stake


def test_what_is_under_way_is_not_to_be_started():
    told = starts_for(
        "Tobin Ashgrove", queue=queue(replace(LINE, working=True)), stakes=Stakes(Chances({}), {}, None)
    )
    assert told.lines == ()


def test_the_chance_of_a_day_that_was_moved_since_is_not_told():
    stakes = Stakes(chance(promised_on=date(2026, 5, 1)), {}, AT)
    told = starts_for("Tobin Ashgrove", queue=queue(replace(LINE, number="0000003")), stakes=stakes)
    assert [line.stake for line in told.lines] == [""]


def test_what_somebody_else_has_to_sign_off_is_not_proposed():
    lines = lines_of(3)
    told = starts_for(
        "Tobin Ashgrove",
        queue=queue(*lines),
        stakes=Stakes(Chances({}), {}, None),
        not_for={lines[0].number},
    )
    assert [line.line.number for line in told.lines] == ["0000001", "0000002"]


def test_a_change_told_in_the_same_words_is_not_told():
    gain = replace(GAIN, others=(PromiseMove("4821095", 0.93, 0.91),))
    stakes = Stakes(chance(promised_on=LINE.promise_end), {"0000003": gain}, AT)
    told = starts_for("Tobin Ashgrove", queue=queue(*lines_of()), stakes=stakes)
    assert told.lines[-1].cost == ""
