"""A whole mail with invented values: the same templates as a real one, and nothing is made or sent for it."""

import re
from dataclasses import replace
from datetime import date

import pytest
from django.conf import settings

from jobs.domain.facts import FACTS
from jobs.domain.mail_words import WITHOUT_JOB
from jobs.messages.compose import sample_mail
from jobs.messages.first_texts import FIRST_TEXTS
from jobs.messages.samples import SAMPLES
from jobs.models import OutboxMessage, PrivateLink
from tests.factories import open_shop

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 23)
TEXTS = {text.slug: text for text in FIRST_TEXTS}
# What the event adds between the owner's own words, where it adds anything.
TELLS = {
    "question": ["Which engine is the unit from?"],
    "cleared": ["Send the loose jets along", "smell test", "local law decide"],
    "declined": ["Nobody makes the diaphragm"],
    "cancelled": ["The boat is sold."],
    "arrived": ["smells of fuel"],
    "inspected": ["float bowl screw", "throttle spindle"],
    "extra_work": ["£64.00", "3 working days"],
    "extra_work_decided": ["The answer is yes", "Ring me"],
    "extra_work_within": ["£64.00"],
    "promise": ["27 April", "13 May 2026", "8 in 10", "Queue at the test stand"],
    "promise_changed": ["13 May 2026", "Before, we had said", "6 May", "Why it moved", "Waiting for parts"],
    "sent_back": ["Harbour Parcels", "QF12345678901"],
    "returned_unrepaired": ["Harbour Parcels", "QF12345678901", "cracked through the flange"],
    "reminder": ["Which engine is the unit from?"],
}


@pytest.fixture(autouse=True)
def shop(db):
    """Publish the demo shop."""
    open_shop()


def test_every_mail_has_a_sample_with_the_facts_of_its_own_event():
    assert set(SAMPLES) == set(TEXTS)
    for slug, sample in SAMPLES.items():
        wanted = FACTS[sample.kind] if sample.kind else type(None)
        assert type(sample.facts(TODAY)) is wanted, slug


@pytest.mark.parametrize("slug", TEXTS)
def test_a_sample_is_the_whole_mail_in_text_and_in_html(slug):
    mail = sample_mail(TEXTS[slug], today=TODAY)
    for body in (mail.text, mail.html):
        assert "Quillfeather Fuel" in body
        assert f"{settings.SITE_URL}/open/" in body
        assert "is yours alone" in body
        assert [words for words in TELLS.get(slug, []) if words not in body] == []
        assert not re.search(r"\{\{|\{%|\{number\}|\{shop\}|None|\[\]", body)
    assert ("482" in mail.text) is (slug not in WITHOUT_JOB)


def test_a_sample_is_written_in_the_words_that_are_looked_at():
    own = replace(TEXTS["cleared"], subject="Send {number}", opening="From {shop}: go.", closing="M. Q.")
    mail = sample_mail(own, today=TODAY)
    assert mail.subject.replace("\u00a0", " ") == "Send 482 109-5"
    assert mail.text.index("From Quillfeather Fuel & Spark: go.") < mail.text.index("M. Q.")
    assert "M. Q." in mail.html


def test_looking_at_a_mail_makes_no_link_and_sends_nothing():
    for text in TEXTS.values():
        sample_mail(text, today=TODAY)
    assert len(TEXTS) > 10
    assert PrivateLink.objects.count() == OutboxMessage.objects.count() == 0
