"""The pack page part by part: the plan's figures and units, what to get, draining, and a posted parcel."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone
from django.utils.html import escape

from jobs.selectors import parcels as parcels_of
from jobs.selectors.receiving import stays_home
from packing.parcel.plan import judge_carton
from packing.parcel.reader import told_in
from packing.plain import to_plain
from packing.quantities import UnitChoice
from portal.customer.pack_steps import inside_parts, kept_parts
from tests.factories import make_job
from tests.packing.parcel.units import carton, four_barrel, named
from tests.portal.customer.cleared import cleared, pass_gate

pytestmark = pytest.mark.django_db


def fold_of(page, words):
    """Return the folded part with these words in its summary."""
    return next(part for part in page.split("<details")[1:] if words in part.split("</summary>")[0])


def test_tables_pictures_and_formulas_are_folded_away_and_all_there(shop, let_in):
    job = cleared()
    page = let_in(job).get(f"/job/{job.number}/pack/").content.decode()
    plan = parcels_of.plan_in(job)
    assert fold_of(page, "What the numbers measure").count("<tr>") > len(plan.clearances)
    assert fold_of(page, "Layer by layer, in pictures").count('class="dw-step"') == len(plan.layers) + 1
    figures = fold_of(page, "The figures behind it")
    told = told_in(plan, choice=UnitChoice(job.customer.unit_choice))
    assert all(escape(check.sentence) in figures for check in told.checks)
    assert plan.notes
    assert all(escape(note) in fold_of(page, "Carton, weight and material") for note in told.notes)


def test_a_reader_of_inches_has_inches_first_in_the_steps_the_pictures_and_the_list(shop, let_in):
    job = cleared(unit_choice="imperial")
    page = let_in(job).get(f"/job/{job.number}/pack/").content.decode().replace("\u00a0", " ")
    for part in ('class="needs"', 'id="packing-plan"', 'class="dw-steps"'):
        words = page.split(part)[1].split("The figures behind it")[0]
        assert re.search(r"\d in \(\d", words), part
        assert not re.search(r"\d mm \(\d", words), part


def test_a_source_is_named_once_and_advice_never_decides(shop, let_in):
    job = cleared()
    figures = fold_of(let_in(job).get(f"/job/{job.number}/pack/").content.decode(), "The figures behind it")
    sources = re.findall(r"<li>(.*?)</li>", figures.split('<ol class="small">')[1].split("</ol>")[0])
    assert len(sources) == len(set(sources)) > 4
    rows = figures.split("<tbody")[1].split("</tbody>")[0]
    assert not [source for source in sources if source in rows]
    numbers = {int(each) for found in re.findall(r"\[([\d, ]+)\]", rows) for each in found.split(", ")}
    assert numbers == set(range(1, len(sources) + 1))
    [decides] = [row for row in rows.split("<tr") if "This one decides" in row]
    assert "Advice, not a rule" not in decides


def test_the_part_before_draining_asks_for_nothing_that_only_draining_makes_possible(shop, let_in):
    page = let_in(job := cleared()).get(f"/job/{job.number}/pack/").content.decode()
    strip, wet = (page.split(f'id="{part}"')[1].split("</section>")[0] for part in ("strip", "gate"))
    for slug in (
        "before_draining",
        "drain_bowl_plug",
        "drain_and_air",
        "smell_on_posting_day",
        "inlets_capped",
    ):
        assert f'value="strip-{slug}"' in wet
        assert f'value="strip-{slug}"' not in strip
    assert wet.index("before_draining") < wet.index("drain_bowl_plug") < wet.index("drain_and_air")


def test_what_is_sent_along_is_told_where_the_parcel_is_packed(shop, let_in):
    job = cleared(unit_model="pellmar-pl2030")
    page = let_in(job).get(f"/job/{job.number}/pack/").content.decode()
    assert 'value="strip-send_bowl"' in page.split('id="packing"')[1]
    assert page.count('value="strip-send_bowl"') == 2


def test_a_bowl_that_comes_off_and_is_sent_along_is_nowhere_said_to_stay_at_home(shop, let_in):
    job = cleared(unit_model="pellmar-pl2030")
    page = let_in(job).get(f"/job/{job.number}/pack/").content.decode()
    off = page.split("Take off; it goes into the box")[1].split("<h3")[0]
    assert 'value="strip-take_bowl"' in off
    assert inside_parts(parcels_of.strip_list(job)) == ("bowl, sieve and clip",)
    assert kept_parts(parcels_of.strip_list(job)) == ("pipes and push-rod",)
    assert [part.words for part in stays_home(job)] == ["pipes and push-rod"]


def test_once_posted_the_page_says_so_and_offers_no_slip(shop, let_in):
    job = make_job(stage="posted", now=timezone.now() - timedelta(days=9))
    browser = let_in(job)
    page = browser.get(f"/job/{job.number}/pack/").content.decode()
    assert page.count("Posted on ") == 2
    for past in ("It may be posted today", "ticked", "Print the slip", "I have posted it", "PDF, A4"):
        assert past not in page
    assert "Copy: posted on " in browser.get(f"/job/{job.number}/slip/").content.decode()
    assert "Copy: posted on " not in slip_of_a_cleared_job(let_in)


def slip_of_a_cleared_job(let_in):
    job = cleared(name="Bram Dunnage", email="bram@example.com")
    pass_gate(job)
    page = let_in(job).get(f"/job/{job.number}/slip/").content.decode()
    assert "put this sheet inside the box" in page
    return page


def test_what_to_get_stands_before_the_first_step(shop, let_in):
    job = cleared()
    page = let_in(job).get(f"/job/{job.number}/pack/").content.decode()
    asked = page.split('class="needs"')[1].split("</ul>")[0]
    assert asked.count("<li>") >= 4
    for thing in ("1 carton", "plastic bags", "plastic tape"):
        assert thing in asked
    assert page.index('class="needs"') < page.index('class="steps"')


def test_a_general_list_of_things_comes_without_a_plan(shop, let_in):
    job = cleared(unit_model="", number_as_read="", cannot_read=True)
    page = let_in(job).get(f"/job/{job.number}/pack/").content.decode()
    asked = page.split('class="needs"')[1].split("</ul>")[0]
    assert "1 sound carton" in asked


def test_saving_leads_to_the_next_step_which_is_marked(shop, let_in):
    job = cleared()
    browser = let_in(job)
    page = browser.get(f"/job/{job.number}/pack/").content.decode()
    assert "Begin with step 1" in page
    first, second, *_ = (part.split('"')[0] for part in page.split('name="shown" value="')[1:])
    gone = browser.post(f"/job/{job.number}/pack/", {"shown": [first, second], "done": [first]})
    assert gone.url.endswith(f"/pack/#{second}")
    page = browser.get(f"/job/{job.number}/pack/").content.decode()
    assert "Go on at step 2" in page
    assert f'href="#{second}"' in page
    assert page.count("step tick next") == 1
    assert f'id="{second}"' in page.split("step tick next")[1].split("</li>")[0]


def test_whoever_drained_it_without_ticking_is_led_to_the_packing_by_its_name(shop, let_in):
    job = cleared()
    pass_gate(job)
    browser = let_in(job)
    page = browser.get(f"/job/{job.number}/pack/").content.decode()
    assert "Go on: pack it" in page
    assert "Begin with step 1" not in page
    first = page.split("step tick next")[1].split('name="shown" value="')[1].split('"')[0]
    browser.post(f"/job/{job.number}/pack/", {"shown": [first], "done": [first]})
    assert "Go on packing at step 2" in browser.get(f"/job/{job.number}/pack/").content.decode()


def test_a_finished_part_is_folded_and_the_next_one_open(shop, let_in):
    job = cleared()
    browser = let_in(job)
    page = browser.get(f"/job/{job.number}/pack/").content.decode()
    keys = [part.split('"')[0] for part in page.split('name="shown" value="')[1:]]
    inside = page.split('id="strip"')[1].split("</section>")[0]
    strip = [key for key in keys if f'value="{key}"' in inside]
    pass_gate(job)
    gone = browser.post(f"/job/{job.number}/pack/", {"shown": strip, "done": strip})
    assert gone.url.split("#")[1] == next(key for key in keys if key.startswith("pack-"))
    page = browser.get(f"/job/{job.number}/pack/").content.decode()
    assert '<details class="part">' in page.split('id="strip"')[1].split("<summary")[0]
    assert '<details class="part" open>' in page.split('id="packing"')[1].split("<summary")[0]
    assert f"all {len(strip)} ticked" in page


def test_by_a_plan_that_does_not_pass_nothing_is_packed(shop, let_in):
    job = cleared()
    unit, box = four_barrel(), carton(235, 180, 150)
    refused = judge_carton(unit, carton=box, materials=named("grocery-bags"), carrier=None)
    job.plan = to_plain(refused)
    job.save(update_fields=["plan"])
    page = let_in(job).get(f"/job/{job.number}/pack/").content.decode()
    assert "It does not pass: do not pack by this plan, ask us first" in page
    for tempting in ('value="pack-', "What you need to get", "Layer by layer", "Where the material goes"):
        assert tempting not in page
