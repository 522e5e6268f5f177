"""Will my own carton do? The verdict, what is kept when it cannot be read, and taking it for the plan."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.selectors import parcels
from tests.factories import make_job

pytestmark = pytest.mark.django_db
ROOMY = {
    "length": "400",
    "width": "400",
    "height": "400",
    "wall": "double",
    "state": "new",
    "flute": "",
    "certificate": "",
    "materials": ["grocery-bags", "folded-corrugated"],
}
TIGHT = {**ROOMY, "length": "280", "width": "280", "height": "230", "wall": "single"}


def cleared(**changes):
    given = {"unit_choice": "metric", **changes}
    return make_job(stage="cleared", now=timezone.now() - timedelta(days=5), **given)


def address(job):
    return f"/job/{job.number}/carton/"


def ask(browser, job, **given):
    return browser.get(address(job), {**ROOMY, **given}).content.decode()


def heading(page):
    return page.split("<h1>")[1].split("</h1>")[0]


def test_the_pack_page_leads_to_it(shop, let_in):
    job = cleared()
    browser = let_in(job)
    page = browser.get(f"/job/{job.number}/pack/").content.decode()
    assert 'name="go" value="carton"' in page
    assert browser.post(f"/job/{job.number}/pack/", {"go": "carton"}).url == address(job)


def test_a_roomy_carton_will_do_and_can_be_used(shop, let_in):
    job = cleared()
    page = ask(let_in(job), job)
    assert heading(page) == "Yes, this carton will do"
    assert "Use this carton" in page
    assert 'class="dw-sheet"' in page


def test_a_tight_carton_will_not_do_and_cannot_be_used(shop, let_in):
    job = cleared()
    page = ask(let_in(job), job, **TIGHT)
    assert heading(page) == "No, not this carton"
    assert "Use this carton" not in page


def test_a_no_says_what_limits_and_what_would_mend_it(shop, let_in):
    job = cleared()
    page = ask(let_in(job), job, **TIGHT)
    assert "What limits it" in page
    assert "What would mend it" in page
    assert re.search("Take an? (new )?(double-wall )?carton of at least", page)


BANDED = re.compile(
    r'class="number">([0-9.]+)</span> <span class="small muted">([0-9.]+) to ([0-9.]+)(?: or more)?</span>'
)


def test_a_no_says_its_reason_once_and_sends_nobody_shopping(shop, let_in):
    job = cleared()
    page = ask(let_in(job), job, **TIGHT)
    reason = re.search(r"What limits it</dt><dd>(.*?)</dd>", page, re.S)
    said = re.sub(r"<.*?>", "", reason[1] if reason else "").strip()
    assert said
    assert page.split("The figures behind it")[0].count(said) == 1
    assert 'class="needs"' not in page
    assert 'class="needs"' in ask(let_in(job), job)


def test_a_margin_stands_inside_its_band(shop, let_in):
    job = cleared()
    banded = [tuple(map(float, found)) for found in BANDED.findall(ask(let_in(job), job))]
    assert banded
    assert all(least < margin < most for margin, least, most in banded)


def test_every_check_shows_its_formula_its_inputs_and_its_source(shop, let_in):
    job = cleared()
    cells = ask(let_in(job), job).split('<td role="cell" class="small">')[1:]
    told = [cell.split("</td>")[0] for cell in cells]
    assert len(told) > 8
    assert all(words in each for each in told for words in ("Formula:", "Inputs:", "Source:"))


def test_inches_and_millimetres_give_the_same_verdict(shop, let_in):
    job = cleared()
    browser = let_in(job)
    inches = dict.fromkeys(("length", "width", "height"), "15 3/4 in")
    metric = dict.fromkeys(inches, "400.05 mm")
    assert checks_of(ask(browser, job, **inches)) == checks_of(ask(browser, job, **metric))


def checks_of(page):
    return page.split("<table")[1].split("</table>")[0]


def test_a_bare_number_is_read_in_the_customer_s_own_units(shop, let_in):
    job = cleared()
    browser = let_in(job)
    job.customer.unit_choice = "imperial"
    job.customer.save(update_fields=["unit_choice"])
    page = ask(browser, job, length="15 3/4", width="15 3/4", height="15 3/4")
    assert heading(page) == "Yes, this carton will do"


def test_what_cannot_be_read_is_said_and_everything_typed_is_kept(shop, let_in):
    job = cleared()
    page = ask(let_in(job), job, length="as long as my arm", certificate="65 lb")
    assert "There is a problem" in page
    assert 'href="#id_length"' in page
    assert 'value="as long as my arm"' in page
    assert 'value="65 lb"' in page
    assert heading(page) == "Will my own carton do?"


def test_a_flute_of_another_wall_is_refused(shop, let_in):
    job = cleared()
    assert "Choose BC or EB for this wall" in ask(let_in(job), job, flute="C")


def test_nothing_to_pack_with_is_refused(shop, let_in):
    job = cleared()
    assert "Tick at least one thing you can pack with" in ask(let_in(job), job, materials=[])


def test_a_certificate_below_the_parcel_s_mass_is_a_no(shop, let_in):
    job = cleared()
    assert heading(ask(let_in(job), job, certificate="2 kg")) == "No, not this carton"


def test_board_that_is_not_known_is_marked_as_an_estimate(shop, let_in):
    job = cleared()
    assert "the board most cartons of this wall are made of, from memory" in ask(let_in(job), job)


def test_asking_changes_nothing(shop, let_in):
    job = cleared()
    told = job.plan
    ask(let_in(job), job)
    job.refresh_from_db()
    assert (job.plan, job.customer_carton) == (told, None)


def test_using_it_makes_it_the_plan_on_the_pack_page(shop, let_in):
    job = cleared()
    browser = let_in(job)
    page = browser.post(address(job), ROOMY, follow=True).content.decode()
    assert "This plan is for your own carton" in page
    assert "400 × 400 × 400 mm (15 3/4 × 15 3/4 × 15 3/4 in) double-wall" in page.replace("\u00a0", " ")


def test_the_button_sends_again_what_was_asked(shop, let_in):
    job = cleared()
    browser = let_in(job)
    sent = use_form(ask(browser, job))
    browser.post(address(job), sent)
    job.refresh_from_db()
    assert parcels.plan_in(job).carton.name == "400 × 400 × 400 mm (15 3/4 × 15 3/4 × 15 3/4 in) double-wall"
    assert job.customer_carton["materials"] == ROOMY["materials"]


def use_form(page):
    form = page.split('<form method="post" action="/job/')[1].split("</form>")[0]
    fields = [part.split(">")[0] for part in form.split('<input type="hidden" ')[1:]]
    pairs = [(one.split('name="')[1].split('"')[0], one.split('value="')[1].split('"')[0]) for one in fields]
    return {name: [value for other, value in pairs if other == name] for name, _ in pairs}


def test_a_carton_that_will_not_do_cannot_be_sent_in_by_hand(shop, let_in):
    job = cleared()
    answer = let_in(job).post(address(job), TIGHT, follow=True)
    assert answer.redirect_chain == [(f"{address(job)}?again=1", 302)]
    page = answer.content.decode()
    assert "This carton will not do" in page
    assert 'value="280"' in page
    job.refresh_from_db()
    assert job.customer_carton is None


def test_the_carton_chosen_before_stands_in_the_form(shop, let_in):
    job = cleared()
    browser = let_in(job)
    browser.post(address(job), {**ROOMY, "certificate": "45 kg"})
    page = browser.get(address(job)).content.decode()
    assert 'value="400 mm (15 3/4 in)"' in page
    assert 'value="45.0 kg (99 lb)"' in page


def test_after_posting_it_leads_back_to_the_pack_page(shop, let_in):
    job = make_job(stage="posted", now=timezone.now() - timedelta(days=9))
    gone = let_in(job).post(address(job), ROOMY)
    assert gone["Location"] == f"/job/{job.number}/pack/"
    job.refresh_from_db()
    assert job.customer_carton is None


def test_a_unit_that_is_not_known_is_not_offered_it(shop, let_in):
    job = cleared(unit_model="", number_as_read="", cannot_read=True)
    browser = let_in(job)
    assert browser.get(address(job)).status_code == 302
    assert address(job) not in browser.get(f"/job/{job.number}/pack/").content.decode()


def test_another_customer_s_job_is_not_found(shop, let_in):
    mine, theirs = cleared(), cleared(name="Bram Dunnage", email="bram@example.com")
    assert let_in(mine).get(address(theirs), ROOMY).status_code == 404


def test_a_unit_that_does_not_fit_at_all_is_told_so_before_anything_else(shop, let_in):
    job = cleared()
    page = ask(let_in(job), job, length="40", width="40", height="40")
    assert heading(page) == "No, not this carton"
    assert "does not fit into 40 × 40 × 40 mm" in page
    assert "Did you mean 400 × 400 × 400 mm (40 × 40 × 40 cm)?" in page
    assert "What limits it" not in page
    assert "itself does not fit" not in ask(let_in(job), job, **TIGHT)


def test_a_material_that_is_not_allowed_is_named_also_where_there_is_no_room(shop, let_in):
    job = cleared()
    refused = {"materials": ["bubble-wrap", "grocery-bags"]}
    for sides in ({}, TIGHT):
        page = ask(let_in(job), job, **{**sides, **refused})
        told = page.split("Leave these out")[1].split("</ul>")[0]
        assert told.count("<li>") == told.count("ubble wrap alone will not do") == 1
        assert page.index('class="actions"') < page.index("Leave these out")
    assert "Leave these out" not in ask(let_in(job), job)


def test_a_refused_carton_is_followed_by_the_drawing_of_a_carton_that_passes(shop, let_in):
    job = cleared()
    page = ask(let_in(job), job, **TIGHT)
    assert "This plan is not for the carton you asked about" in page
    assert "280 × 280 × 230" not in page.split('class="drawing"')[1].split('id="another"')[0]
    assert "does not pass" not in page.lower()
    assert "Layer by layer" in page


def test_a_refused_carton_that_only_a_part_off_would_mend_is_marked_and_gives_nothing_to_pack_by(
    shop, let_in
):
    job = cleared(unit_model="brennick-db6080")
    page = ask(let_in(job), job, wall="single", materials=["polyethylene-plank"])
    assert "Take off the long shaft" in page
    assert "Do not pack by this drawing" in page
    assert page.count("does not pass") >= 3
    for tempting in ("Layer by layer", "Use this carton", "Where the material goes", 'class="steps"'):
        assert tempting not in page


def test_a_refusal_tells_the_worst_first(shop, let_in):
    job = cleared()
    page = ask(let_in(job), job, **{**TIGHT, **dict.fromkeys(("length", "width", "height"), "320")})
    limits, margin = (
        re.sub(r"<.*?>", "", re.search(f"{head}</dt><dd>(.*?)</dd>", page, re.S)[1]).replace("\u00a0", " ")
        for head in ("What limits it", "Its margin")
    )
    told = re.search(
        r"with (\d+) G at worst \((\d+) G by the middle of the estimate\); it may take (\d+) G", limits
    )
    worst_g, middle_g, most_g = map(int, told.groups())
    assert middle_g < most_g < worst_g
    told = re.match(r"at worst ([0-9.]+); 1.00 is needed, more is better. \(([0-9.]+) by the middle", margin)
    assert float(told[1]) < 1 < float(told[2])


LIGHT_BOARD = {"length": "300", "width": "300", "height": "280", "wall": "single", "state": "used"}


def test_a_carton_whose_board_is_only_advised_against_is_not_told_to_be_changed(shop, let_in):
    job = cleared()
    foam = {"materials": ["polyethylene-plank", "bubble-wrap"]}
    page = ask(let_in(job), job, **{**ROOMY, **LIGHT_BOARD, **foam})
    assert heading(page) == "Yes, but better board is advised for dense metal"
    assert "1.00 is advised" in page
    assert "1.00 is needed" not in page
    assert "with a change" not in page
    assert "Do this, and it will do" not in page
    assert "Better still" in page


def test_inches_typed_without_their_unit_are_shown_as_they_were_read(shop, let_in):
    job = cleared()
    page = ask(let_in(job), job, height="15 3/4")
    assert "it was read as 16 mm (5/8 in)" in page
    assert "Type the unit with it" in page
