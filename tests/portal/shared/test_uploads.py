"""Uploads are counted while they arrive."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import override_settings
from django.urls import path

from portal.shared.gates import PUBLIC, gated


def take(request):
    sizes = sorted((name, file.size) for name, file in request.FILES.items())
    return HttpResponse(f"{sizes} {sorted(request.POST.items())}")


urlpatterns = [path("take/", gated(take, audience=PUBLIC))]
handler400 = "portal.shared.refusals.bad_request"
pytestmark = [pytest.mark.django_db, pytest.mark.urls(__name__)]


def send(client, *sizes, **fields):
    files = {
        f"photo{number}": SimpleUploadedFile(f"{number}.jpg", b"x" * size)
        for number, size in enumerate(sizes)
    }
    return client.post("/take/", {**files, **fields})


@override_settings(UPLOAD_MAX_FILE_BYTES=200_000)
def test_files_up_to_the_limit_arrive_whole(client):
    assert (
        send(client, 200_000, 5, note="hello").content
        == b"[('photo0', 200000), ('photo1', 5)] [('note', 'hello')]"
    )


@override_settings(UPLOAD_MAX_FILE_BYTES=1024 * 1024)
def test_one_byte_more_is_refused_with_what_to_do(client):
    response = send(client, 1024 * 1024 + 1, 5)
    assert response.status_code == 413
    assert "larger than 1 MB" in response.content.decode()
    assert "Send a smaller one" in response.content.decode()


@override_settings(UPLOAD_MAX_BODY_BYTES=300_000)
def test_a_form_that_announces_too_much_is_refused(client):
    response = send(client, 150_000, 160_000)
    assert response.status_code == 413
    assert "two or three goes" in response.content.decode()


def test_more_files_than_a_form_may_hold_are_refused(client):
    assert send(client, *[1] * 11).status_code == 400
    assert send(client, *[1] * 10).status_code == 200


def test_more_fields_than_a_form_may_hold_are_refused(client):
    assert client.post("/take/", {f"f{number}": "x" for number in range(201)}).status_code == 400


@override_settings(UPLOAD_MAX_FILE_BYTES=1024)
@pytest.mark.parametrize(
    ("referrer", "back_url"),
    [
        ("http://testserver/book/photos/?at=1", "/book/photos/?at=1"),
        ("https://elsewhere.example/book/photos/", ""),
        ("", ""),
    ],
)
def test_the_refusal_leads_back_to_the_page_of_the_form(client, referrer, back_url):
    headers = {"referer": referrer} if referrer else {}
    photo = SimpleUploadedFile("a.jpg", b"x" * 1025)
    page = client.post("/take/", {"photo": photo}, headers=headers).content.decode()
    links = [part.split('"')[0] for part in page.split("<main")[1].split('href="')[1:]]
    assert links[:-1] == ([back_url] if back_url else [])
    assert ("still saved" in page) is bool(back_url)
