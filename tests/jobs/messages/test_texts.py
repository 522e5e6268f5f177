"""Every mail, made by walking a job to it: complete in text and HTML, with one private way in."""

import re
from dataclasses import replace
from datetime import timedelta
from hashlib import sha256
from pathlib import Path

import pytest
from django.conf import settings
from django.core import mail

from jobs.domain import job_number
from jobs.domain.shop import MessageText, ShopKind
from jobs.messages.catalogue import MESSAGE_OF_EVENT
from jobs.messages.first_texts import FIRST_TEXTS
from jobs.models import Booking, Customer, Job, JobEvent, OutboxMessage, PrivateLink
from jobs.selectors import shop
from jobs.services import answers, messages
from jobs.services.sign_in_mail import queue_sign_in_mail
from tests.factories import NOW, make_job, publish
from tests.jobs.messages.causes import LATER, WHO, cause

pytestmark = pytest.mark.django_db
WITHOUT_JOB = {"draft_link", "sign_in"}
KINDS = [text.slug for text in FIRST_TEXTS]


def deliver(kind):
    """Send only the mails of this kind, and return the one that was sent."""
    OutboxMessage.objects.exclude(kind=kind).update(state="sent")
    mail.outbox.clear()
    count = messages.deliver_due(now=LATER + timedelta(days=9), limit=5)
    assert (count.sent, len(mail.outbox)) == (1, 1)
    return mail.outbox[0]


def html_of(sent):
    ((html, mime),) = sent.alternatives
    assert mime == "text/html"
    return html


def test_every_mail_has_its_first_words_and_its_templates():
    caused = {*MESSAGE_OF_EVENT.values(), "extra_work_within", "reminder", "draft_link", "sign_in"}
    folders = {path.name for path in Path(settings.BASE_DIR, "templates/emails").iterdir() if path.is_dir()}
    assert len(set(KINDS)) == len(KINDS)
    assert set(KINDS) == caused == folders


@pytest.mark.parametrize("kind", KINDS)
def test_a_mail_says_what_happened_in_text_and_in_html(kind):
    """A variable that a template names and nobody gives is an error in the tests' settings."""
    facts = cause(kind)
    sent = deliver(kind)
    for body in (sent.body, html_of(sent)):
        assert "Quillfeather Fuel" in body
        assert [fact for fact in facts if fact not in f"{sent.subject} {body}"] == []
        assert not re.search(r"\{\{|\{%|\{number\}|\{shop\}|None|\[\]", body)
    assert "\n" not in sent.subject
    assert sent.to == ["ada@example.com"]


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind not in WITHOUT_JOB])
def test_a_mail_about_a_job_names_its_number_as_printed(kind):
    cause(kind)
    sent = deliver(kind)
    number = job_number.show(Job.objects.get().number)
    assert number in sent.subject
    assert number in sent.body
    assert number in html_of(sent)


@pytest.mark.parametrize("kind", KINDS)
def test_a_mail_holds_one_private_address_of_this_site_and_the_token_is_kept_nowhere(kind):
    cause(kind)
    sent = deliver(kind)
    said = sent.body + html_of(sent).replace("<wbr>", "")
    (address,) = set(re.findall(r"https?://[^\s\"<]+", said))
    token = re.fullmatch(re.escape(settings.SITE_URL) + r"/open/([\w-]{43})/", address).group(1)
    link = PrivateLink.objects.order_by("-pk").first()
    assert link.token_hash == sha256(token.encode()).hexdigest()
    rows = [
        *OutboxMessage.objects.values_list(),
        *PrivateLink.objects.values_list(),
        *Job.objects.values_list(),
        *JobEvent.objects.values_list(),
        *Booking.objects.values_list(),
        *Customer.objects.values_list(),
    ]
    assert token not in repr(rows)
    assert token not in sent.subject


def test_the_owners_own_words_replace_the_first_ones():
    make_job(stage="cleared")
    own = MessageText(
        slug="cleared", subject="Send {number}\nBcc: all", opening="From {shop}: go.", closing="M. Q."
    )
    publish(ShopKind.MESSAGE, own)
    sent = deliver("cleared")
    number = job_number.show(Job.objects.get().number)
    assert sent.subject == f"Send {number} Bcc: all"
    assert "From Quillfeather Fuel & Spark: go." in sent.body
    assert "M. Q." in html_of(sent)


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_in_a_mail_is_too_long_for_a_line_on_a_phone(kind):
    """Without a style sheet only a sign in the text itself lets a long address go on in the next line."""
    cause(kind)
    words = re.sub(r"<[^>]+>", " ", html_of(deliver(kind)).split("<body")[1]).split()
    assert max(map(len, words)) < 30


def test_words_of_a_customer_cannot_become_part_of_the_page():
    job = make_job(name="<b>Ada</b>")
    answers.ask_question(job.number, text="Is it <script>old</script> & brass?", **WHO)
    sent = deliver("question")
    assert "&lt;b&gt;Ada" in html_of(sent)
    assert "<script>" not in html_of(sent)
    assert "Is it <script>old</script> & brass?" in sent.body


def test_a_sign_in_mail_of_the_shops_people_carries_their_link_only():
    make_job()
    link = "http://testserver/account/sign-in/secret/"
    queue_sign_in_mail("bench@quillfeather.example", key="s1", link=link, now=NOW)
    sent = deliver("sign_in")
    assert link in sent.body
    assert link in html_of(sent)
    assert OutboxMessage.objects.get(kind="sign_in").payload == {}


def test_mails_follow_the_address_that_the_shop_moved_to(settings):
    settings.SITE_URL = "https://bench.quillfeather.example"
    make_job()
    assert "https://bench.quillfeather.example/open/" in deliver("booking_received").body


def test_the_shops_identity_stands_under_every_mail():
    make_job()
    moved = replace(shop.identity(), address_lines=("9 New Quay", "Saltmere"), phone="01632 960 999")
    publish(ShopKind.SHOP, moved)
    body = deliver("booking_received").body
    assert "9 New Quay" in body
    assert "01632 960 999" in body


def test_the_mail_of_an_unfinished_booking_says_how_long_its_link_lasts_and_speaks_of_no_job():
    cause("draft_link")
    sent = deliver("draft_link")
    for body in (sent.body, html_of(sent)):
        assert "for 60 days" in body
        assert "can read your answers" in body
        assert "see this job" not in body


@pytest.mark.parametrize(("family", "drains"), [("magneto", False), ("carburettor", True)])
def test_the_yes_asks_for_draining_only_where_fuel_may_be(family, drains):
    model = {"magneto": "brennick-bm4-c25", "carburettor": "tolvane-kv4081"}[family]
    make_job(stage="cleared", family=family, unit_model=model)
    sent = deliver("cleared")
    for body in (sent.body, html_of(sent)):
        assert ("smell test" in body) is drains
        assert ("never held fuel" in body) is not drains


@pytest.mark.parametrize("kind", ["extra_work", "extra_work_within"])
def test_a_price_and_what_it_includes_are_two_sentences(kind):
    cause(kind)
    publish(ShopKind.SHOP, replace(shop.identity(), prices_include="Prices include VAT."))
    words = " ".join(re.sub(r"<[^>]+>", " ", html_of(deliver(kind))).replace(" .", ".").split())
    assert re.search(r"Extra work for £[\d.]+\d\. Prices include VAT", words)
