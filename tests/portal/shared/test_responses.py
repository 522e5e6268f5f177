"""What every answer carries: strict browser rules, a request number, a page of ours when it refuses."""

import json
import logging

import pytest
from django.test import Client, RequestFactory
from django.urls import path

from portal.shared.gates import PUBLIC, WORKSHOP, gated
from portal.shared.health import readyz
from portal.shared.logging import JsonLineFormatter
from portal.shared.refusals import fault
from tests.factories import make_job

SECRET = "marker-7f3a-secret"


def break_down(request, token):
    raise RuntimeError(f"{SECRET} {token}")


urlpatterns = [path("break/<str:token>/", gated(break_down, audience=PUBLIC), name="break")]
handler500 = "portal.shared.refusals.fault"


@pytest.mark.django_db
def test_the_browser_rules_are_strict(client):
    response = client.get("/account/sign-in/")
    rules = dict(rule.split(" ", 1) for rule in response["Content-Security-Policy"].split("; "))
    assert rules == {
        "default-src": "'self'",
        "object-src": "'none'",
        "base-uri": "'none'",
        "frame-ancestors": "'none'",
        "form-action": "'self'",
    }
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["X-Frame-Options"] == "DENY"
    assert response["Referrer-Policy"] == "same-origin"
    assert len(response["X-Request-ID"]) == 16


@pytest.mark.django_db
def test_cookies_are_named_by_us_and_kept_from_scripts(client, person):
    person("workshop", email="bench@quillfeather.example", password="seven rusty float bowls")
    typed = {"email": "bench@quillfeather.example", "password": "seven rusty float bowls"}
    response = client.post("/account/sign-in/", typed)
    assert set(response.cookies) == {"sheet", "form"}
    for cookie in response.cookies.values():
        assert cookie["httponly"]
        assert cookie["samesite"] == "Lax"


@pytest.mark.django_db
def test_a_form_without_its_protection_is_refused_with_a_page():
    response = Client(enforce_csrf_checks=True).post("/account/sign-in/", {})
    assert response.status_code == 403
    assert "load the page again" in response.content.decode()


@pytest.mark.django_db
def test_an_unknown_address_gets_a_page_of_ours(client):
    response = client.get("/there/is/nothing/here/")
    assert response.status_code == 404
    assert "Check the address" in response.content.decode()


@pytest.mark.django_db
def test_the_shops_people_are_told_which_job_number_was_not_found(client_of, person):
    browser = client_of(person("workshop"))
    page = browser.get("/workshop/jobs/4821095/").content.decode()
    assert "Not found: job 482 109-5" in page
    assert 'href="/workshop/"' in page
    assert "link in our mail" not in page
    assert "482 109-3 is not a job number" in browser.get("/workshop/jobs/4821093/").content.decode()
    elsewhere = browser.get("/owner/").content.decode()
    assert "open to the owner alone" in elsewhere
    assert "link in our mail" not in elsewhere


@pytest.mark.django_db
@pytest.mark.parametrize("written", ["{0}{1}-{2}", "{0} {1}-{2}", "{0}.{1}.{2}"])
def test_a_job_number_in_an_address_may_be_written_as_it_is_printed(client_of, person, written):
    job = make_job(stage="arrived")
    number = job.number
    browser = client_of(person("workshop"))
    address = f"/workshop/jobs/{written.format(number[:3], number[3:6], number[6])}/"
    assert browser.get(address)["Location"] == f"/workshop/jobs/{number}/"
    assert browser.get(f"{address}receive/")["Location"] == f"/workshop/jobs/{number}/receive/"


@pytest.mark.django_db
def test_a_stranger_learns_nothing_of_job_numbers(client):
    response = client.get("/workshop/jobs/482109-5/")
    assert "482" not in response.content.decode()
    assert "sign-in" in response["Location"]


def test_the_fault_page_needs_neither_database_nor_template():
    request = RequestFactory().get("/")
    request.request_id = "0123456789abcdef"
    response = fault(request)
    assert response.status_code == 500
    assert b"0123456789abcdef" in response.content


@pytest.mark.urls(__name__)
@pytest.mark.django_db
def test_the_log_of_a_fault_holds_no_path_no_query_and_no_message(caplog):
    client = Client(raise_request_exception=False)
    with caplog.at_level(logging.INFO):
        response = client.get(f"/break/{SECRET}/?mail={SECRET}", headers={"User-Agent": SECRET})
    assert response.status_code == 500
    formatter = JsonLineFormatter()
    lines = [formatter.format(record) for record in caplog.records]
    assert len(lines) >= 2
    assert SECRET not in "\n".join(lines)
    read = [json.loads(line) for line in lines]
    request_line = next(line for line in read if line["part"] == "portal.request")
    assert (request_line["route"], request_line["status"], request_line["role"]) == ("break", 500, "-")
    fault_line = next(line for line in read if line.get("exception") == "RuntimeError")
    assert fault_line["at"][-1].endswith("break_down")
    assert fault_line["request"] == request_line["request"]


@pytest.mark.django_db
def test_the_request_line_names_route_and_role(caplog, client_of, person):
    with caplog.at_level(logging.INFO, logger="portal.request"):
        client_of(person("owner")).get("/account/password/")
    line = json.loads(JsonLineFormatter().format(caplog.records[-1]))
    assert (line["route"], line["status"], line["role"]) == ("accounts:password", 200, "owner")


@pytest.mark.django_db
def test_the_watchdog_is_answered(client, client_of, person):
    assert client.get("/healthz").content == b"ok\n"
    assert client.get("/readyz").json() == {"ready": True}
    told = client_of(person("workshop")).get("/readyz").json()
    assert set(told["checks"]) == {"database", "disk", "outbox", "backup"}


@pytest.mark.django_db
def test_the_site_is_not_ready_without_its_data_folder(client, settings, tmp_path):
    settings.DATA_DIR = tmp_path / "gone"
    response = client.get("/readyz")
    assert response.status_code == 503
    assert response.json() == {"ready": False}


def test_a_tag_replaces_what_the_view_said_about_sign_in():
    assert gated(readyz, audience=WORKSHOP).login_required is True
    assert gated(readyz, audience=PUBLIC).login_required is False
