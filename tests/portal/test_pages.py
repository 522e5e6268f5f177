"""What every page of the site has in common, read from its HTML."""

import re

import pytest

from tests.portal.reading import forms_in, parse, words_of
from tests.portal.samples import Reader, pages

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
SHOWN = [page for page in pages() if page.sample.get == 200 and page.is_html]
CUSTOMERS = {Reader.STRANGER, Reader.WRITER, Reader.CUSTOMER}
BANNED = re.compile(r"\b(please|sorry|invalid|forbidden|oops)\b", re.IGNORECASE)
# HTML standard, autofill detail tokens; WCAG 2.2, 1.3.5.
CONFIRMATIONS = {"customer:book_sent", "customer:job_sent", "customer:jobs"}
TOKENS = {
    "name": {"name"}, "email": {"email", "username"}, "phone": {"tel"}, "address_lines": {"street-address"},
    "postal_code": {"postal-code"}, "country": {"country-name"}, "password": {"current-password"},
}  # fmt: skip
WEEKDAYS = "Monday|Tuesday|Wednesday|Thursday|Friday|Saturday|Sunday|Mon|Tue|Wed|Thu|Fri|Sat|Sun"
MONTHS = (
    "January|February|March|April|May|June|July|August|September|October|November|December"
    "|Jan|Feb|Mar|Apr|Jun|Jul|Aug|Sept?|Oct|Nov|Dec"
)
DAY_AND_MONTH = re.compile(rf"(\S+ )?(?<![\d.,-])(\d{{1,2}} (?:{MONTHS}))\b")


@pytest.fixture(scope="module")
def read(seeded, django_db_blocker):
    """Return a function that gives a page as a tree; each page is asked for once."""
    kept = {}

    def read_page(page):
        if page.label not in kept:
            response = page.open_as_reader(seeded).get(page.address(seeded))
            assert response.status_code == 200
            kept[page.label] = parse(response.content)
        return kept[page.label]

    return read_page


every_page = pytest.mark.parametrize("page", SHOWN, ids=lambda page: page.label)


@every_page
def test_it_has_one_heading_of_the_first_rank_a_language_and_a_way_past_the_head(page, read):
    tree = read(page)
    assert len(tree.xpath("//h1")) == 1
    assert words_of(tree.xpath("//h1")[0].getroottree())
    assert tree.get("lang", "").startswith("en")
    assert tree.xpath("//meta[@name='viewport']/@content") == ["width=device-width, initial-scale=1"]
    if tree.xpath("//header"):
        first = tree.xpath("//body//a | //body//button | //body//input[not(@type='hidden')]")[0]
        assert first.get("class") == "skip"
        assert tree.xpath(f"//*[@id='{first.get('href')[1:]}']")


@every_page
def test_its_forms_leave_checking_to_the_server(page, read):
    tree = read(page)
    filled = [form for form in forms_in(tree) if form.method == "post" and (form.typed or form.chosen)]
    assert [form.action for form in filled if not form.is_novalidate] == []
    assert tree.xpath("//*[@required]") == []
    assert tree.xpath("//main//label[contains(., '*')]/text()") == []
    assert tree.xpath("//form[@method='post'][not(.//input[@name='csrfmiddlewaretoken'])]") == []


@every_page
def test_its_fields_tell_the_browser_what_they_are_for(page, read):
    tree = read(page)
    wrong = []
    for control in tree.xpath("//main//input | //main//textarea"):
        name, token = control.get("name"), control.get("autocomplete", "")
        is_shown = page.reader in CUSTOMERS and control.get("type") != "hidden"
        if is_shown and name in TOKENS and token not in TOKENS[name]:
            wrong.append((name, token))
        if "code" in control.get("class", "").split() and control.get("spellcheck") != "false":
            wrong.append((name, "spelling is corrected"))
        is_photo = control.get("type") == "file" and name == "photo" and page.route.name != "owner:styleguide"
        if is_photo and (control.get("accept") != "image/*" or "capture" in control.attrib):
            wrong.append((name, "camera or gallery"))
    assert wrong == []


@every_page
def test_every_id_is_there_once_and_every_reference_leads_to_one(page, read):
    tree = read(page)
    ids = tree.xpath("//@id")
    assert sorted(set(ids)) == sorted(ids)
    wanted = {
        name
        for attribute in ("for", "aria-labelledby", "aria-describedby", "list")
        for value in tree.xpath(f"//@{attribute}")
        for name in value.split()
    }
    assert wanted - set(ids) == set()
    assert {link[1:] for link in tree.xpath("//a/@href[starts-with(., '#')]")} - set(ids) - {""} == set()


@every_page
def test_it_begs_no_pardon_and_writes_no_day_in_figures_alone(page, read):
    words = words_of(read(page))
    assert BANNED.findall(words) == []
    assert re.findall(r"\b\d{1,2}/\d{1,2}(?:/\d{2,4})?\b", without_fractions(words)) == []


def without_fractions(words):
    """Take away inches and odds: "3 1/2 in", "1/8"."""
    return re.sub(r"\b\d{1,2}/(?:2|4|8|16|32)\b(?!/)", "", words)


@every_page
def test_days_stand_with_their_weekday(page, read):
    tree = read(page)
    for shown in tree.xpath("//svg | //*[contains(@class, 'hint')] | //*[contains(@class, 'title-block')]"):
        shown.drop_tree()
    found = [day for text in tree.xpath("//body//text()") for day in DAY_AND_MONTH.findall(text)]
    bare = [day for before, day in found if before.strip(" ,(:“") not in WEEKDAYS.split("|")]
    assert bare == []


QUESTIONS = [
    page
    for page in SHOWN
    if page.reader in {Reader.WRITER, Reader.CUSTOMER} and page.route.name not in CONFIRMATIONS
]


@pytest.mark.parametrize("page", QUESTIONS, ids=lambda page: page.label)
def test_a_question_has_its_way_back_above_the_main_part(page, read):
    tree = read(page)
    links = tree.xpath("//a[contains(concat(' ', @class, ' '), ' back ')]")
    assert links
    assert not links[0].xpath("ancestor::main") or tree.xpath("//*[contains(@class, 'slip')]")


# Two forms of the strip-and-pack page: refused, each shows that page at an address of its own.
PART_OF = {"customer:drained": "customer:pack", "customer:smell": "customer:pack"}


def test_titles_tell_pages_apart(read):
    places = {}
    for page in SHOWN:
        title = read(page).findtext(".//title").strip()
        places.setdefault((title, page.reader in CUSTOMERS), set()).add(
            PART_OF.get(page.route.name, page.route.name)
        )
    assert {title: names for title, names in places.items() if len(names) > 1} == {}


def test_help_stands_at_the_same_place_with_the_same_links(read):
    feet = {}
    for page in SHOWN:
        links = tuple(read(page).xpath("//footer//a/@href"))
        if page.reader in CUSTOMERS and read(page).xpath("//footer"):
            feet.setdefault(links, []).append(page.label)
    assert len(feet) == 1, feet


PARCELS = [
    page
    for page in SHOWN
    if page.route.name in {"customer:pack", "workshop:pack"}
    and page.sample.job not in {"booked", "unknown_model"}
]


@pytest.mark.parametrize("page", PARCELS, ids=lambda page: page.label)
def test_lengths_and_masses_of_a_parcel_stand_in_both_measures(page, read):
    words = words_of(read(page))
    lengths = re.findall(r"\d[\d,.]* mm\b", words)
    assert lengths
    assert re.search(r"\d in\b", words)
    assert re.search(r"\d kg\b", words)
    assert re.search(r"\d lb\b", words)
