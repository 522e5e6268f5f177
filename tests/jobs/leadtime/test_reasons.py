from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from jobs.leadtime.clock import start_clock
from jobs.leadtime.draws import Luck, draw_live, stack_groups
from jobs.leadtime.event_loop import run_event_loop
from jobs.leadtime.forecast import forecast_shop
from jobs.leadtime.ranges import ReasonKind
from jobs.leadtime.reasons import account, rank_reasons
from jobs.leadtime.routes import Absence, route_for
from jobs.leadtime.scene import build_floor, fit_state
from jobs.leadtime.state import LiveJob
from tests.jobs.leadtime.shops import NOW, busy_shop, one_bench_shop


def test_the_parts_of_every_job_add_up_to_its_mean_lead_time():
    state = busy_shop(jobs=18)
    clock = start_clock(state.working_hours, now=NOW)
    fits, luck = fit_state(state, routes=state.routes, clock=clock), Luck(1, 60, {})
    groups = [
        draw_live(
            job,
            route=route_for(state.routes, family=job.family),
            state=state,
            fits=fits,
            luck=luck,
            clock=clock,
        )
        for job in state.jobs
    ]
    draws = stack_groups(groups, watched=len(groups), replications=60)
    passage = run_event_loop(build_floor(state, clock=clock), draws)
    assert len(groups) == 18
    for at, group in enumerate(groups):
        parts = account(
            group.visits,
            passage=passage,
            service_hours=draws.service_hours,
            job=at,
            before=ReasonKind.ARRIVAL,
            centres=state.centres,
        )
        assert min(parts.values()) >= -1e-9
        assert sum(parts.values()) == pytest.approx(passage.finish_hours[:, at].mean(), rel=1e-9)
        work_h = float(np.nansum(passage.end_hours[:, at] - passage.start_hours[:, at])) / 60
        assert parts[ReasonKind.WORK, ""] == pytest.approx(work_h)


def test_the_days_on_which_somebody_is_away_are_told_apart_from_the_work():
    job = LiveJob("0000001", "sender", arrived_at=NOW)
    state = one_bench_shop(median_hours=12.0, jobs=[job])
    away = Absence(date(2026, 5, 5), date(2026, 5, 8))
    state = replace(state, people=(replace(state.people[0], absences=(away,)),))
    (found,) = forecast_shop(state, now=NOW, replications=60).jobs
    days = {reason.kind: reason.working_days for reason in found.range.reasons}
    assert days == {
        ReasonKind.WORK: pytest.approx(1.5, rel=0.05),
        ReasonKind.AWAY: pytest.approx(4.0, rel=0.05),
    }
    longest = found.range.reasons[0].sentence
    assert longest == "Begun, and waiting for whoever is away: about 4 working days."


def test_the_longest_reason_comes_first_in_plain_words():
    state = busy_shop(jobs=0)
    centres = [replace(centre, people=(centre.slug,)) for centre in state.centres]
    parts = {(ReasonKind.WORK, ""): 4.0, (ReasonKind.QUEUE, "fuel_bench"): 24.0, (ReasonKind.PARTS, ""): 0.1}
    reasons = rank_reasons(parts, centres=centres, day_hours=8.0)
    assert [(reason.kind, reason.working_days) for reason in reasons] == [
        (ReasonKind.QUEUE, 3.0),
        (ReasonKind.WORK, 0.5),
    ]
    assert reasons[0].sentence == "Queue at the fuel bench: about 3 working days."


def test_a_queue_beside_an_idle_bench_is_said_to_be_one_for_its_people():
    state = busy_shop(jobs=0)
    reasons = rank_reasons({(ReasonKind.QUEUE, "fuel_bench"): 24.0}, centres=state.centres, day_hours=8.0)
    assert [reason.sentence for reason in reasons] == [
        "Queue at the fuel bench, whose people work at other benches too: about 3 working days."
    ]
