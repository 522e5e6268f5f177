"""Whoever types several wrong things is told all of them in one round: each beside its field, none twice."""

import pytest

from jobs.leadtime.routes import BenchStep, Route, RouteStep, WorkCentre
from packing.plain import to_plain
from portal.owner import kinds, standins, typed
from portal.owner.editor import DocumentForm
from tests.factories import open_shop
from tests.portal.owner.test_editing import edit_url, sent_for
from tests.portal.owner.test_editor import edited
from tests.portal.reading import parse

pytestmark = pytest.mark.django_db

WRONG = {
    "material": {
        "density_kg_m3": "heavy", "settles_share": "250", "stress_most_kpa": "0.001 kPa",
        "count_litres": "-1",
    },
    "carton": {"length_mm": "long", "width_mm": "9 m", "ect_kn_m": "99", "burst_kpa": "1"},
    "unit_model": {
        "mass_kg": "a lot", "fragility_g": "900", "envelope-length_mm": "5 m",
        "projections-0-reach_mm": "9 m", "price_to_pence": "1",
    },
    "carrier": {
        "mass_most_kg": "heavy", "divisor_cm3_kg": "1", "days_most": "0", "tracking_url": "ftp://x.example",
        "side_rounding_from": "3/4/2026",
    },
    "work_centre": {
        "name": "", "benches": "0", "batch-least_jobs": "5", "batch-most_jobs": "2",
        "batch-longest_wait_hours": "-1",
    },
    "route": {
        "name": "", "steps-0-median_hours": "long", "steps-0-spread_factor": "99",
        "steps-1-needed_share": "250", "steps-0-waits-0-median_days": "-1", "rework_share": "200",
        "rework_effort": "0",
    },
    "hours": {
        "time_zone": "Mars", "monday-0-opens": "noon", "tuesday-0-closes": "07:00",
        "wednesday-1-opens": "09:00",
    },
    "family": {"name": "", "air_hours": "long", "mass_most_kg": "0.001 kg"},
    "shop": {
        "name": "", "email": "nobody", "labour_pence_per_hour": "much", "close_after_days": "-3",
        "reminder_days": "-2",
    },
}  # fmt: skip
# The field at which it is told where that is another one than the wrong one.
TOLD_AT = {"batch-least_jobs": "batch-most_jobs", "wednesday-1-opens": "wednesday-0-opens"}


@pytest.fixture
def owner(db, person, client_of):
    open_shop()
    return client_of(person("owner"))


def first_of(key):
    kind = kinds.BY_KEY[key]
    return kind, next(iter(kinds.published(kind).values()))


def errors_of(key, wrong, entry=None):
    kind, first = first_of(key)
    return edited(kind, entry or first, lambda sent: [sent.__setitem__(*pair) for pair in wrong.items()])


@pytest.mark.parametrize("key", WRONG)
def test_everything_wrong_is_told_in_one_round_beside_its_field(owner, key):
    form = errors_of(key, WRONG[key])
    assert sorted(form.errors) == sorted({TOLD_AT.get(name, name) for name in WRONG[key]})


@pytest.mark.parametrize("key", WRONG)
def test_each_error_is_told_once_and_its_link_leads_to_an_input(owner, key):
    kind, entry = first_of(key)
    slug = kind.fixed_slugs[0] if kind.fixed_slugs else entry.slug
    page = parse(owner.post(edit_url(key, slug), sent_for(key, slug, **WRONG[key])).content.decode())
    lines = page.xpath("//*[@id='error-summary']//li")
    said = [" ".join(line.text_content().split()) for line in lines]
    assert len(said) == len(set(said)) >= len(WRONG[key]) - 1
    for line in lines:
        (target,) = line.xpath(".//a/@href")
        assert len(page.xpath(f"//*[@id='{target[1:]}'][self::input or self::select or self::textarea]")) == 1


def test_an_empty_field_is_not_called_wrong_as_well(owner):
    assert errors_of("shop", {"email": ""}).errors == {"email": ["Enter the mail address"]}


def test_the_name_of_the_entry_is_not_put_before_an_error_that_stands_beside_its_field(owner):
    form = errors_of("material", {"density_kg_m3": "0.01"})
    assert form.errors["density_kg_m3"] == [
        "Density (kg/m³): 0.01 kg/m³ cannot be right; it has to be between 0.1 and 1000 kg/m³."
    ]


def test_every_absence_that_runs_backwards_is_told_in_its_own_row(owner):
    days = ("2026-12-20", "2026-12-10", "2026-12-20", "2028-12-20")
    names = [f"absences-{at}-{end}" for at in (0, 1) for end in ("first", "last")]
    form = errors_of("person", {"absences-count": "2", "name": "", **dict(zip(names, days, strict=True))})
    assert list(form.errors) == ["name", "absences-0-last", "absences-1-last"]
    assert form.errors["absences-1-last"][0].startswith("Last day away (stretch of days 2): that is over a")


def test_a_span_of_hours_is_named_with_its_day(owner):
    form = errors_of("hours", {"monday-0-opens": "noon", "tuesday-0-opens": "noon"})
    said = [str(message) for messages in form.errors.values() for message in messages]
    assert [each.split(":")[0] for each in said] == [
        "From (Monday, span of hours 1)",
        "From (Tuesday, span of hours 1)",
    ]


def test_what_nobody_may_sign_off_is_told_at_the_people_of_the_bench(owner):
    kind = kinds.BY_KEY["work_centre"]
    stand = kinds.published(kind)["test_stand"]
    form = edited(kind, stand, lambda sent: sent.setlist("people", ["wren"]))
    assert list(form.errors) == ["people"]
    assert form.errors["people"]
    assert len(set(form.errors["people"])) == len(form.errors["people"])


def test_a_bench_is_checked_before_there_are_routes(db):
    kind = kinds.BY_KEY["work_centre"]
    bench = WorkCentre("lathe", "Lathe", -2)
    tree = typed.from_document(to_plain(bench), shapes=kind.shapes)
    form = DocumentForm(kind, tree=tree, fixed_slug="lathe", is_sent=True)
    assert form.errors == {"benches": ["How many benches: it has no bench; give it at least one."]}


def test_a_route_may_be_there_before_the_benches_it_passes(db):
    kind = kinds.BY_KEY["route"]
    route = Route("mine", "Mine", (), (RouteStep(BenchStep.STRIP, "lathe", 1.0),))
    assert kinds.problems(kind, route) == ()


def test_what_depends_on_a_value_that_cannot_be_read_is_not_told(owner):
    form = errors_of("material", {"stress_least_kpa": "little"})
    assert list(form.errors) == ["stress_least_kpa"]
    form = errors_of("carrier", {"handling_mass_kg": "5 kg", "mass_most_kg": "heavy"})
    assert list(form.errors) == ["mass_most_kg"]
    form = errors_of("hours", {"monday-0-opens": "noon"})
    assert list(form.errors) == ["monday-0-opens"]


@pytest.mark.parametrize("unchosen", [("steps-0-step", "steps-1-step"), ("steps-2-step", "steps-3-step")])
def test_steps_that_are_not_chosen_yet_are_not_called_the_same(owner, unchosen):
    form = errors_of("route", dict.fromkeys(unchosen, ""))
    assert {name: len(said) for name, said in form.errors.items()} == dict.fromkeys(unchosen, 1)


def test_a_wrong_reading_of_a_curve_hides_no_other_error(owner):
    readings = {
        "curve_readings-count": "1", "curve_readings-0-static_stress_kpa": "5 kPa",
        "curve_readings-0-drop_height_mm": "9 m", "curve_readings-0-thickness_mm": "50 mm",
        "curve_readings-0-peak_g": "60",
    }  # fmt: skip
    form = errors_of("material", {**readings, "density_kg_m3": "-5"})
    assert "density_kg_m3" in form.errors
    assert "curve_readings-0-drop_height_mm" in form.errors


def test_what_a_class_refuses_is_built_so_that_the_rest_can_be_looked_at():
    kind = kinds.BY_KEY["hours"]
    spans = [{"opens": "09:00", "closes": "08:00"}, {"opens": "07:00", "closes": "12:00"}]
    entry, problems = standins.look_over(
        kind, {"time_zone": "Mars", "monday": spans}, unread=frozenset(), slug=""
    )
    assert entry is None
    assert [key for key, _sentence in problems] == ["monday[1].closes", "time_zone", "monday"]


def test_a_sound_document_comes_out_as_its_entry(owner):
    kind, entry = first_of("hours")
    found, problems = standins.look_over(kind, to_plain(entry), unread=frozenset(), slug="")
    assert (found, problems) == (entry, ())
