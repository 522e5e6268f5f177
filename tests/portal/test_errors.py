"""What every form of the site does with an empty or a wrong answer.

The contract: the same page again, `Error: ` in front of its title, one summary at the top of the main part
with a link to each field, the same sentence beside the field, and everything typed still there.
"""

import re
from urllib.parse import urlsplit

import pytest
from django.http import QueryDict

from portal.shared.refused_forms import FLAG
from tests.portal.reading import forms_in, parse
from tests.portal.refusing import REFUSES_EMPTY
from tests.portal.samples import pages

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
# The forms of the style guide only show how forms look: nothing takes them.
SHOWN = [
    page
    for page in pages()
    if page.sample.get == 200 and page.is_html and page.route.name != "owner:styleguide"
]
BANNED = re.compile(r"\b(please|sorry|invalid|forbidden|oops|error)\b", re.IGNORECASE)
TYPED = "Kept words 7"


def words(element):
    return " ".join(element.text_content().split())


def sent_forms(page, site):
    """Return the page's browser and address, and each form on it that is sent by POST."""
    browser = page.open_as_reader(site)
    address = page.address(site)
    read = forms_in(parse(browser.get(address).content))
    return browser, address, [form for form in read if form.method == "post"]


def send(browser, address, form, values):
    """Return the answer to one form, with its files left out, as an empty file field sends them.

    A customer's form that was refused is shown again by an address of its own, which is gone to.
    """
    response = browser.post(form.action or address, {name: given for name, given in values.items() if given})
    if response.status_code == 302 and FLAG in QueryDict(urlsplit(response.headers["Location"]).query):
        return browser.get(response.headers["Location"])
    return response


def has_errors(response):
    return response.status_code in {200, 409, 422} and b'id="error-summary"' in response.content


def check_contract(response):
    """Check one page of errors against the contract."""
    tree = parse(response.content)
    assert tree.findtext(".//title").strip().startswith("Error: ")
    (summary,) = tree.xpath("//*[@id='error-summary']")
    assert summary.get("role") == "alert"
    assert summary.get("tabindex") == "-1"
    assert "autofocus" in summary.attrib
    assert words(summary.xpath(".//h2")[0]) == "There is a problem"
    main = tree.xpath("//main")[0]
    first = next(child for child in main if isinstance(child.tag, str))
    assert first is summary or first.get("class", "").startswith("messages")
    lines = summary.xpath(".//li")
    assert lines
    beside = [sentence(error) for error in tree.xpath("//*[contains(concat(' ', @class, ' '), ' error ')]")]
    for line in lines:
        said = words(line)
        assert BANNED.findall(said) == []
        for link in line.xpath(".//a"):
            target = link.get("href").removeprefix("#")
            assert target, said
            assert tree.xpath(f"//*[@id='{target}']"), f"{said}: #{target} is not on the page"
            if not any(said in each for each in beside):
                assert is_form_wide(tree, said), (said, beside)
    return tree


def sentence(error):
    return words(error).removeprefix("Error:").strip()


def is_form_wide(tree, said):
    """Return whether a sentence is about the whole form: then no field of it repeats another."""
    return not any(said in words(field) for field in tree.xpath("//*[contains(@class, 'has-error')]"))


@pytest.mark.parametrize("page", SHOWN, ids=lambda page: page.label)
def test_an_empty_form_says_what_to_do_or_is_taken(page, seeded):
    browser, address, forms = sent_forms(page, seeded)
    for form in forms:
        response = send(browser, address, form, form.emptied())
        assert response.status_code in {200, 302, 409, 410, 422, 429}
        if has_errors(response):
            assert page.route.name in REFUSES_EMPTY
            check_contract(response)


@pytest.mark.parametrize("page", SHOWN, ids=lambda page: page.label)
def test_everything_typed_is_kept_when_something_is_wrong(page, seeded):
    browser, address, forms = sent_forms(page, seeded)
    for form in forms:
        if not form.typed:
            continue
        response = send(browser, address, form, form.filled_with(TYPED))
        if not has_errors(response):
            assert response.status_code in {200, 302, 409, 422}
            continue
        tree = check_contract(response)
        alike = [each for each in forms_in(tree) if set(each.typed) & set(form.typed)]
        same = next((each for each in alike if each.action == form.action), alike[0])
        secret = {"password", "present", "new"}
        kept = {name: same.values[name] for name in form.typed if name in same.values and name not in secret}
        assert kept == {name: [TYPED] for name in kept}
        assert kept.keys() | secret >= set(form.typed) & set(same.typed)
