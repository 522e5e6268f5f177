"""Templates keep to the strict browser rules, work without JavaScript, and speak plainly."""

import re

import pytest
from django.template import Context, Engine
from django.template.loader import get_template

from tests.conventions.sources import ROOT, name_of, templates

ELEMENT = re.compile(r"<[a-zA-Z][^<>]*(?:\{[{%][^<>]*?[%}]\}[^<>]*)*>")
BANNED = re.compile(
    r"(?<!aria-)\b(please|sorry|invalid|oops|ticket|kanban|pipeline|RMA|click here)\b", re.IGNORECASE
)
TAG_OR_VALUE = re.compile(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}", re.DOTALL)
COMMENT = re.compile(r"\{%\s*comment.*?endcomment\s*%\}|\{#.*?#\}|<!--.*?-->", re.DOTALL)
MAIL_OR_PRINT = ("templates/emails/", "templates/print/")


def text_of(path):
    return COMMENT.sub("", path.read_text("utf-8"))


def elements(path):
    return ELEMENT.findall(text_of(path))


def test_no_template_styles_or_scripts_inside_the_page():
    inside = []
    for path in templates():
        if name_of(path).startswith(MAIL_OR_PRINT):
            continue
        for element in elements(path):
            if re.search(r"\sstyle\s*=|\son[a-z]+\s*=", element) or re.match(r"<style\b", element):
                inside.append(f"{name_of(path)}: {element}")
            if re.match(r"<script\b", element) and "src=" not in element:
                inside.append(f"{name_of(path)}: {element}")
    assert inside == []


def test_nothing_is_fetched_from_elsewhere():
    foreign = [
        f"{name_of(path)}: {element}"
        for path in templates()
        for element in elements(path)
        if re.search(r"\b(src|srcset|data)\s*=\s*[\"']?(https?:)?//", element)
        or re.match(r"<link\b[^>]*href\s*=\s*[\"']?(https?:)?//", element)
    ]
    assert foreign == []


def test_every_htmx_element_also_works_without_a_script():
    bare = [
        f"{name_of(path)}: {element}"
        for path in templates()
        for element in elements(path)
        if re.search(r"\shx-(get|post|put|patch|delete)\s*=", element)
        and not re.search(r"\s(href|action|formaction)\s*=", element)
    ]
    assert bare == []


def test_templates_speak_plainly():
    rude = []
    for path in templates():
        # The words inside {% translate %} are shown, so only the tags that show nothing are taken out.
        shown = re.sub(r"\{%\s*(?!translate|blocktranslate)[^%]*%\}", "", text_of(path))
        rude += [f"{name_of(path)}: {word.group()}" for word in BANNED.finditer(shown)]
    assert rude == []


def test_no_template_switches_escaping_off():
    unsafe = [
        name_of(path)
        for path in templates()
        if re.search(r"\|\s*safe\b|autoescape\s+off", text_of(path)) and path.suffix == ".html"
    ]
    assert unsafe == []


@pytest.mark.parametrize("path", templates(), ids=name_of)
def test_every_template_can_be_read(path):
    get_template(path.relative_to(ROOT / "templates").as_posix())


def test_an_undefined_variable_is_a_fault_in_tests():
    from portal.settings.test import UndefinedVariable

    engine = Engine(string_if_invalid=UndefinedVariable("%s"))
    with pytest.raises(AssertionError, match="nobody_gave_this"):
        engine.from_string("{{ nobody_gave_this }}").render(Context({}))
    assert engine.from_string("{% if nobody_gave_this %}x{% endif %}").render(Context({})) == ""
