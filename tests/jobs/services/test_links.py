"""Private links: long, kept as a hash, and each kind opens for as long as it says."""

from datetime import timedelta

import pytest

from jobs.models import PrivateLink
from jobs.services import find_job, links
from tests.factories import NOW, make_booking, make_job, renew_links

pytestmark = pytest.mark.django_db
MINUTE = timedelta(minutes=1)


def test_a_token_has_256_bits_and_only_its_hash_is_kept():
    job = make_job()
    tokens = {links.issue_job_link(job, now=NOW) for _ in range(20)}
    assert len(tokens) == 20
    assert all(len(token) == 43 for token in tokens)
    assert not any(token in repr(list(PrivateLink.objects.values_list())) for token in tokens)


def test_a_job_link_opens_again_and_again_until_it_is_too_old():
    job = make_job()
    token = links.issue_job_link(job, now=NOW)
    last = NOW + timedelta(days=links.JOB_LINK_DAYS) - MINUTE
    assert [links.redeem_link(token, now=at).job for at in (NOW, last)] == [job, job]
    with pytest.raises(links.LinkRefused, match="too old"):
        links.redeem_link(token, now=last + MINUTE)


def test_a_sign_in_link_works_once():
    token = links.issue_sign_in_link(make_job().customer, now=NOW)
    assert links.redeem_link(token, now=NOW).purpose == "sign_in"
    with pytest.raises(links.LinkRefused, match="works once"):
        links.redeem_link(token, now=NOW)


def test_a_sign_in_link_lasts_ten_minutes():
    token = links.issue_sign_in_link(make_job().customer, now=NOW)
    assert links.look_at_link(token, now=NOW + 10 * MINUTE - timedelta(seconds=1))
    with pytest.raises(links.LinkRefused, match="too old"):
        links.redeem_link(token, now=NOW + 10 * MINUTE)


def test_looking_at_a_link_does_not_use_it():
    token = links.issue_sign_in_link(make_job().customer, now=NOW)
    for _ in range(3):
        links.look_at_link(token, now=NOW)
    assert links.redeem_link(token, now=NOW)


def test_an_unknown_token_is_refused_like_a_revoked_one():
    job = make_job()
    token = links.issue_job_link(job, now=NOW)
    renew_links(job)
    said = set()
    for tried in (token, "x" * 43, ""):
        with pytest.raises(links.LinkRefused) as refusal:
            links.redeem_link(tried, now=NOW)
        said.add(str(refusal.value))
    assert len(said) == 1


def test_a_draft_link_opens_its_booking():
    booking = make_booking()
    token = links.issue_draft_link(booking, now=NOW)
    assert links.redeem_link(token, now=NOW).booking == booking


def test_asking_for_a_lost_link_mails_every_contact_of_that_address_and_no_other():
    make_job()
    make_job()
    make_job(email="bram@example.com", name="Bram Dunnage")
    assert find_job.mail_sign_in_links(" ADA@example.com ", now=NOW) == 2
    assert find_job.mail_sign_in_links("nobody@example.com", now=NOW) == 0
