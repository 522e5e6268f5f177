"""The owner types a supplier's curve point by point, sees the fit, and publishes it with its source."""

import re

import pytest
from django.http import QueryDict
from django.urls import reverse

from packing import selectors as catalogue
from packing.catalogue.fields import Measure, Shape
from packing.plain import to_plain
from portal.owner import kinds, typed
from portal.owner.curve_chart import show_curve
from portal.owner.editor import DocumentForm
from portal.owner.measures import NotReadable, read, write
from tests.factories import open_shop
from tests.portal.owner.test_editor import posted

pytestmark = pytest.mark.django_db

PLANK = "polyethylene-plank"
EDIT = ("owner:edit", ["material", PLANK])
# The supplier's example (repco.com): the 40 G line cuts the 24 in, 2 in curve at 0.4 and 1.2 psi; the third
# reading is derived from it.
ROWS = (("0.4 psi", "40"), ("1.2 psi", "40"), ("0.8 psi", "34.6"))


@pytest.fixture
def owner(db, person, client_of):
    open_shop()
    return client_of(person("owner"))


def sent(rows=ROWS, **changes):
    kind = kinds.BY_KEY["material"]
    tree = typed.from_document(to_plain(kinds.published(kind)[PLANK]), shapes=kind.shapes)
    data: QueryDict = posted(DocumentForm(kind, tree=tree, fixed_slug=PLANK, is_sent=False))
    data["curve_a_kpa"] = data["curve_b_m3_kj"] = ""
    data["curve_source"] = "How To Use Dynamic Cushion Curves, 24 in, 2 in"
    data["curve_readings-count"] = str(len(rows))
    for at, (stress, peak_g) in enumerate(rows):
        data[f"curve_readings-{at}-static_stress_kpa"] = stress
        data[f"curve_readings-{at}-drop_height_mm"] = "24 in"
        data[f"curve_readings-{at}-thickness_mm"] = "2 in"
        data[f"curve_readings-{at}-peak_g"] = peak_g
    data.update(changes)
    return dict(data.lists())


def url(name=EDIT[0], args=EDIT[1]):
    return reverse(name, args=args)


def test_readings_in_psi_and_inches_publish_the_constants_of_the_example(owner):
    answer = owner.post(url(), sent())
    owner.post(answer.url, {"note": "From the supplier's sheet"})
    plank = catalogue.catalogue().materials[PLANK]
    assert plank.curve_a_kpa == pytest.approx(63.69, rel=1e-3)
    assert plank.curve_b_m3_kj == pytest.approx(0.016598, rel=1e-3)
    assert len(plank.curve_readings) == 3
    assert "Whose curve it is" in owner.get(url("owner:entry")).content.decode()


@pytest.mark.parametrize("place", ["preview", "panel", "entry"])
def test_the_fit_is_shown_with_every_reading(owner, place):
    if place == "panel":
        page = owner.post(url(), {**sent(), "look": ["plan"]}).content.decode()
    else:
        answer = owner.post(url(), sent())
        page = owner.get(answer.url).content.decode()
        if place == "entry":
            owner.post(answer.url, {"note": "From the supplier's sheet"})
            page = owner.get(url("owner:entry")).content.decode()
    shown = page.split('aria-labelledby="curve"')[1].split("</section>")[0]
    assert shown.count("<circle") == 3
    (fitted_a_kpa,) = re.findall(r"<dt>a</dt><dd>([0-9.]+) kPa", shown)
    assert float(fitted_a_kpa) == pytest.approx(63.69, rel=2e-3)
    assert "3 readings; the largest miss is" in shown
    assert len(re.findall(r'<th scope="row">', shown)) == 3


def test_new_readings_decide_a_and_b_even_where_these_were_typed(owner):
    answer = owner.post(url(), sent(curve_a_kpa="50", curve_b_m3_kj="0.02"))
    owner.post(answer.url, {"note": "From the supplier's sheet"})
    assert catalogue.catalogue().materials[PLANK].curve_a_kpa == pytest.approx(63.69, rel=1e-3)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ((("0.4 psi", "40"),), "add a second"),
        ((("0.4 psi", "40"), ("0.4 psi", "41")), "the same energy"),
        ((("0.4 psi", "40"), ("1.2 psi", "8")), "no cushion does"),
        ((("0.4 stone", "40"), ("1.2 psi", "40")), "type it like 5 kPa or 0.7 psi."),
        ((("0.4 psi", ""), ("1.2 psi", "40")), "(reading 1)"),
    ],
)  # fmt: skip
def test_readings_that_give_no_curve_are_told_in_a_sentence(owner, rows, words):
    answer = owner.post(url(), sent(rows))
    assert answer.status_code == 200
    assert words in answer.content.decode()


def test_a_curve_needs_its_source(owner):
    page = owner.post(url(), sent(curve_source="")).content.decode()
    assert "say whose curve it is" in page


def test_rows_for_three_readings_come_at_once_and_empty_ones_are_dropped(owner):
    answer = owner.post(url(), {**sent(rows=()), "add": ["curve_readings"]}, follow=True)
    page = answer.content.decode()
    assert 'name="curve_readings-2-peak_g"' in page
    assert 'name="curve_readings-3-peak_g"' not in page
    data = sent(rows=(*ROWS, ("", "")))
    for name in ("drop_height_mm", "thickness_mm"):
        data[f"curve_readings-3-{name}"] = [""]
    assert owner.post(url(), data).status_code == 302


def test_every_dot_lies_in_the_picture_at_its_peak_stress():
    kind = kinds.BY_KEY["material"]
    open_shop()
    document = to_plain(kinds.published(kind)[PLANK])
    rows = [(2.7579, 40.0), (8.27371, 40.0), (5.0, 60.0)]
    document["curve_readings"] = [
        {"static_stress_kpa": s, "drop_height_mm": 609.6, "thickness_mm": 50.8, "peak_g": g} for s, g in rows
    ]
    curve = show_curve(kinds.parse(kind, document))
    up = curve.y_ticks[-1]
    for dot, (stress_kpa, peak_g) in zip(curve.dots, rows, strict=True):
        assert curve.left <= dot.x <= curve.right
        share = (curve.bottom - dot.y) / (curve.bottom - up.at)
        assert share == pytest.approx(stress_kpa * peak_g / up.value, abs=1e-3)
    assert [row.is_worst for row in curve.rows] == [False, False, True]


@pytest.mark.parametrize(
    ("text", "stress_kpa"), [("5", 5.0), ("5 kPa", 5.0), ("0.7 psi", 4.82633), ("1,2 psi", 8.27371)]
)
def test_a_stress_is_read_in_either_system(text, stress_kpa):
    assert read(text, shape=Shape.NUMBER, measure=Measure.STRESS) == pytest.approx(stress_kpa, abs=1e-5)
    assert write(5.0, shape=Shape.NUMBER, measure=Measure.STRESS) == "5 kPa"


def test_a_stress_without_a_known_unit_is_refused():
    with pytest.raises(NotReadable, match=r"type it like 5 kPa or 0\.7 psi"):
        read("5 bar", shape=Shape.NUMBER, measure=Measure.STRESS)
