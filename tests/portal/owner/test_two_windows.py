"""Two windows of one owner share what is typed: only what was looked at is ever published."""

import pytest

from packing.models import CatalogueRevision
from tests.portal.owner.test_editing import CARTON, edit_url, preview_url, sent_for
from tests.portal.owner.test_overtaken import hidden, owner, strength  # noqa: F401
from tests.portal.reading import parse, words_of

pytestmark = pytest.mark.django_db
LOOK = preview_url("carton", CARTON)


def look_at(client, *, strength_typed):
    """Type a strength and return the mark of the preview that shows it."""
    client.post(edit_url("carton", CARTON), sent_for("carton", CARTON, ect_kn_m=strength_typed))
    return hidden(client.get(LOOK), "seen")


def test_what_another_window_typed_since_is_shown_and_not_published(owner):  # noqa: F811
    first = look_at(owner, strength_typed="7.9")
    second = look_at(owner, strength_typed="8.4")
    answer = owner.post(LOOK, {"note": "Stronger board", "seen": first})
    assert CatalogueRevision.objects.filter(slug=CARTON).count() == 1
    page = words_of(parse(answer.content.decode()))
    assert "This was typed anew in another window meanwhile" in page
    assert "8.4 kN/m" in page.replace("\xa0", " ")
    assert "Stronger board" in answer.content.decode()
    owner.post(LOOK, {"note": "Stronger board", "seen": second})
    assert strength() == 8.4


def test_who_publishes_what_another_window_published_already_is_told(owner):  # noqa: F811
    seen = look_at(owner, strength_typed="7.9")
    owner.post(LOOK, {"note": "Stronger board", "seen": seen})
    page = owner.post(LOOK, {"note": "Stronger board", "seen": seen}, follow=True).content.decode()
    assert "Nothing is left to publish" in page
    assert CatalogueRevision.objects.filter(slug=CARTON).count() == 2
