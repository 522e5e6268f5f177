from dataclasses import replace

import pytest

from jobs.demo.five_people import FAMILIES, five_people_shop
from jobs.domain.stages import Stage
from jobs.leadtime.clock import Weekday
from jobs.leadtime.closures import open_weekdays
from jobs.leadtime.errors import NoRoute
from jobs.leadtime.forecast import forecast_shop
from jobs.leadtime.routes import (
    STAGE_AFTER,
    BenchStep,
    Person,
    Route,
    RouteStep,
    WorkCentre,
    find_route_problems,
    find_shop_problems,
    next_steps,
    route_for,
)
from jobs.leadtime.usual_shop import ShopDocuments, usual_shop
from packing.errors import CatalogueError
from packing.plain import from_plain, to_plain
from tests.jobs.leadtime.shops import NOW, one_bench_shop

SHOP = five_people_shop()
CARBURETTOR = route_for(SHOP.routes, family="carburettor")


def problems_of(route, *, centres=SHOP.centres, people=SHOP.people):
    return find_route_problems(route, centres=centres, people=people)


def test_the_starting_shop_has_no_problems_and_serves_its_families():
    assert find_shop_problems(SHOP.routes, centres=SHOP.centres, people=SHOP.people) == ()
    assert {route_for(SHOP.routes, family=family).families for family in FAMILIES} == {(f,) for f in FAMILIES}
    assert "estimate" in SHOP.origin


def test_the_usual_routes_can_be_worked_before_anybody_is_named():
    usual = usual_shop()
    assert find_shop_problems(usual.routes, centres=usual.centres, people=()) == ()
    assert len(usual.routes) == 8
    assert usual.people == ()


# common practice, no published source: hands-on sums of the trade table, machining in full.
@pytest.mark.parametrize(
    ("family", "least_h", "most_h"),
    [
        ("carburettor", 4.3, 5.3),
        ("magneto", 4.9, 6.9),
        ("distributor", 4.2, 5.2),
        ("lift_pump", 2.2, 2.2),
        ("injection_pump", 7.6, 9.6),
        ("sender", 2.0, 2.7),
    ],
)
def test_seed_hours_add_up_to_the_trades_sums(family, least_h, most_h):
    total_h = sum(step.median_hours for step in route_for(SHOP.routes, family=family).steps)
    assert least_h - 1e-9 <= total_h <= most_h + 1e-9


def test_the_starting_documents_survive_being_stored():
    assert from_plain(ShopDocuments, to_plain(SHOP)) == SHOP


def test_every_step_leads_to_the_stage_of_its_name():
    assert {step: stage.value for step, stage in STAGE_AFTER.items()} == {
        BenchStep.STRIP: "stripped",
        BenchStep.CLEAN: "cleaned",
        BenchStep.MACHINE: "machined",
        BenchStep.ASSEMBLE: "assembled",
        BenchStep.TEST: "tested",
        BenchStep.SIGN_OFF: "signed_off",
        BenchStep.PACK: "packed",
    }
    assert all(isinstance(stage, Stage) for stage in STAGE_AFTER.values())


def test_a_skippable_step_offers_itself_and_what_follows():
    done = (BenchStep.STRIP, BenchStep.CLEAN)
    assert next_steps(CARBURETTOR, done=done) == (BenchStep.MACHINE, BenchStep.ASSEMBLE)


def test_a_skipped_step_is_not_offered_again():
    done = (BenchStep.STRIP, BenchStep.CLEAN, BenchStep.ASSEMBLE)
    assert next_steps(CARBURETTOR, done=done) == (BenchStep.TEST,)


def test_nothing_follows_the_last_step():
    assert next_steps(CARBURETTOR, done=tuple(BenchStep)) == ()


def test_steps_to_be_redone_are_offered_again():
    done = set(BenchStep) - {BenchStep.ASSEMBLE, BenchStep.TEST, BenchStep.SIGN_OFF, BenchStep.PACK}
    assert next_steps(CARBURETTOR, done=done) == (BenchStep.ASSEMBLE,)


def test_a_family_without_route_is_refused_by_name():
    with pytest.raises(NoRoute, match="“toaster”"):
        route_for(SHOP.routes, family="toaster")


def test_an_unknown_work_centre_is_named_with_its_key():
    route = replace(CARBURETTOR, steps=(RouteStep(BenchStep.STRIP, "attic", 1.0),))
    assert [key for key, _ in problems_of(route)] == ["carburettor.steps[1].work_centre"]
    assert "“attic”" in problems_of(route)[0][1]


def test_a_centre_without_bench_is_a_problem():
    centres = tuple(replace(c, benches=0) if c.slug == "fuel_bench" else c for c in SHOP.centres)
    assert "has no bench" in problems_of(CARBURETTOR, centres=centres)[0][1]


def test_somebody_who_left_is_a_problem():
    people = tuple(person for person in SHOP.people if person.slug != "wren")
    assert any("“wren”" in sentence for _, sentence in problems_of(CARBURETTOR, people=people))


MONDAY_TO_FRIDAY = tuple(Weekday)[:5]


@pytest.mark.parametrize(
    ("days_off", "problems"), [(MONDAY_TO_FRIDAY, 1), (MONDAY_TO_FRIDAY[:4], 0)], ids=["all", "all but one"]
)
def test_a_centre_whose_people_are_off_on_every_open_day_is_a_problem(days_off, problems):
    state = one_bench_shop()
    people = (replace(state.people[0], days_off=days_off),)
    open_on = open_weekdays(state.working_hours)
    found = find_route_problems(state.routes[0], centres=state.centres, people=people, open_on=open_on)
    assert [key for key, _ in found] == ["bench.people"] * problems
    assert all("is there on an open day" in sentence for _, sentence in found)
    forecast = forecast_shop(replace(state, people=people), now=NOW, replications=20)
    assert [len(forecast.newcomers), len(forecast.refusals)] == [1 - problems, problems]


def test_one_who_is_there_is_enough():
    state = one_bench_shop()
    centres = (replace(state.centres[0], people=("ada", "bram")),)
    people = (replace(state.people[0], days_off=MONDAY_TO_FRIDAY), Person("bram", "Bram"))
    assert (
        find_route_problems(state.routes[0], centres=centres, people=people, open_on=MONDAY_TO_FRIDAY) == ()
    )


def test_a_family_nobody_may_sign_off_is_a_problem():
    people = tuple(replace(person, signs_off=()) for person in SHOP.people)
    assert any("sign off" in sentence for _, sentence in problems_of(CARBURETTOR, people=people))


def test_steps_out_of_order_are_a_problem():
    route = replace(CARBURETTOR, steps=tuple(reversed(CARBURETTOR.steps)))
    assert any("order" in sentence for _, sentence in problems_of(route))


def test_a_route_without_steps_is_a_problem():
    assert "no steps" in problems_of(replace(CARBURETTOR, steps=()))[0][1]


def test_a_family_in_two_routes_is_a_problem():
    routes = (*SHOP.routes, replace(CARBURETTOR, slug="second"))
    found = find_shop_problems(routes, centres=SHOP.centres, people=SHOP.people)
    assert [sentence for key, sentence in found if key == "routes"] == [
        "the family “carburettor” is in more than one route; keep it in one."
    ]


def test_a_slug_used_twice_is_a_problem():
    people = (*SHOP.people, Person("wren", "Another Wren"))
    found = find_shop_problems(SHOP.routes, centres=SHOP.centres, people=people)
    assert [key for key, _ in found] == ["people"]


@pytest.mark.parametrize(
    ("cls", "data"),
    [
        (RouteStep, {"step": "strip", "work_centre": "b", "median_hours": 0}),
        (RouteStep, {"step": "strip", "work_centre": "b", "median_hours": 1, "needed_share": 1.5}),
        (RouteStep, {"step": "polish", "work_centre": "b", "median_hours": 1}),
        (Route, {"slug": "r", "name": "R", "families": [], "steps": [], "rework_share": 1.0}),
        (
            WorkCentre,
            {
                "slug": "t",
                "name": "T",
                "benches": 1,
                "batch": {"least_jobs": 4, "most_jobs": 2, "longest_wait_hours": 1},
            },
        ),
    ],
)
def test_figures_out_of_range_are_refused(cls, data):
    with pytest.raises(CatalogueError, match=r"give|not one of"):
        from_plain(cls, data)
