"""Small parts of the pages: every stage has a word and a shape, links keep their query."""

import re

import pytest
from django.http import QueryDict
from django.template import Context, Template

from jobs.domain.stages import STAGE_LABELS, HoldKind, Stage
from portal.templatetags.portal_ui import STAGE_SHAPES, beside, query_with


@pytest.mark.parametrize("value", list(Stage))
def test_every_stage_is_told_in_words_and_by_a_shape(value):
    html = Template("{% load portal_ui %}{% stage value %}").render(Context({"value": value}))
    words = re.sub(r"<[^>]+>", "", html.replace("&#x27;", "'"))
    assert STAGE_LABELS[value] in words
    assert re.search(r"<svg[^>]*aria-hidden[^>]*>\s*<(circle|path)", html)


def test_every_stage_has_a_shape():
    assert set(STAGE_SHAPES) == set(Stage)


def test_a_hold_is_told_in_words_beside_its_stage():
    html = Template("{% load portal_ui %}{% stage 'machined' hold=hold %}").render(
        Context({"hold": HoldKind.PARTS})
    )
    assert "Machined" in html
    assert "Waiting for parts" in html


def test_a_pager_link_keeps_the_rest_of_the_query():
    query = QueryDict("stage=arrived&stage=tested&page=1")
    assert query_with(query, page=2) == "?stage=arrived&stage=tested&page=2"
    assert query_with(query, page="") == "?stage=arrived&stage=tested"
    assert query.urlencode() == "stage=arrived&stage=tested&page=1"


def test_a_row_with_a_cell_too_many_is_a_fault():
    with pytest.raises(ValueError, match="longer"):
        beside(["a"], ["1", "2"])
