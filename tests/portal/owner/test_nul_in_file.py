"""A sign that no database keeps is refused under its key, also where a file writes it as an escape."""

import pytest

from packing.models import CatalogueRevision
from portal.owner.imports import LineState, read_toml
from tests.factories import open_shop
from tests.portal.owner.test_imports import NEW_CARTON, bring

pytestmark = pytest.mark.django_db
WITH_NUL = NEW_CARTON.replace("Crate 40", "Crate\\u000040")


def test_a_sign_that_no_database_keeps_is_refused_under_its_key():
    open_shop()
    (line,) = read_toml(WITH_NUL).lines
    assert line.state is LineState.REFUSED
    assert line.problems == (("name", "this holds the sign of number 0, which no text has; take it out."),)


def test_a_file_with_such_a_sign_publishes_nothing(person, client_of):
    open_shop()
    owner = client_of(person("owner"))
    before = CatalogueRevision.objects.count()
    answer = owner.post(bring(owner, WITH_NUL), {"note": "all of it"})
    assert (answer.status_code, CatalogueRevision.objects.count()) == (200, before)
