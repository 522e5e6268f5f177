"""The unit is inspected against what was told, marks lie where they were tapped, and blame needs evidence."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from jobs.models import Mark
from jobs.services.photos import convert_next
from tests import factories as make
from tests.portal.reading import parse
from tests.portal.workshop.conftest import a_photo, main_of

pytestmark = pytest.mark.django_db
MARK = {"mark-0-zone": "body", "mark-0-damage_kind": "cracked", "mark-0-severity": "3"}
EMPTY_ROW = {"mark-0-photo_before": "none", "mark-0-break_face": "not_seen"}
ALL_SIGNS = ["piece_or_dust_in_box", "carton_mark_lines_up", "second_person"]


@pytest.fixture
def job():
    return make.make_job(stage="arrived")


@pytest.fixture
def whole(job):
    """Return what is ticked when everything is here."""
    from jobs.selectors.receiving import expected_parts

    return {
        "found": [part.slug for part in expected_parts(job)],
        "number_read": "KV4081B",
        "unit_model": make.MODEL,
        "grade": "complete",
        "marks": "1",
        **EMPTY_ROW,
    }


@pytest.fixture
def photo(tobin, job):
    tobin.post(f"/workshop/jobs/{job.number}/photos/", {"shot": "item_zone", "photo": [a_photo()]})
    assert convert_next(now=timezone.now())
    return job.photos.get()


def test_a_complete_sound_unit_is_inspected(send, job, whole):
    assert send(job, "inspect", save="1", **whole).status_code == 302
    job.refresh_from_db()
    assert (job.stage, job.worst_severity, job.transit_damage, job.hold) == ("inspected", 0, False, "")


def test_the_main_button_also_keeps_the_photo_that_was_chosen(send, job, whole):
    assert send(job, "inspect", save="1", **whole, **{"photo-item_zone": a_photo()}).status_code == 302
    assert [photo.shot for photo in job.photos.all()] == ["item_zone"]


@pytest.mark.parametrize("button", ["photos", "look"])
def test_saving_or_looking_for_photos_keeps_what_was_typed(send, job, whole, button):
    response = send(
        job, "inspect", note="flange pitted", **whole, **{button: "item_zone", "photo-item_zone": a_photo()}
    )
    page = response.content.decode()
    assert response.status_code == 200
    assert "flange pitted" in page
    assert "1 photo is still being prepared" in page
    job.refresh_from_db()
    assert (job.stage, job.photos.count()) == ("arrived", 1)


def test_a_refused_photo_brings_the_sheet_back_whole_and_records_nothing(send, job, whole):
    refused = SimpleUploadedFile("notes.jpg", b"not a picture at all", content_type="image/jpeg")
    typed = whole | {"note": "flange pitted", "photo-ruler": refused}
    response = send(job, "inspect", save="1", **typed)
    page = response.content.decode()
    assert response.status_code == 422
    assert "notes.jpg:" in page
    assert "flange pitted" in page
    job.refresh_from_db()
    assert (job.stage, job.photos.count()) == ("arrived", 0)


def test_what_is_not_ticked_is_missing_and_asks_for_an_incomplete_grade(send, job, whole):
    short = {**whole, "found": ["unit"]}
    response = send(job, "inspect", save="1", **short)
    assert response.status_code == 422
    assert "Not ticked as here: " in response.content.decode()
    send(job, "inspect", save="1", **{**short, "grade": "incomplete_cannot_start"})
    job.refresh_from_db()
    assert (job.stage, job.hold) == ("inspected", "answer")


def test_a_unit_inspected_by_a_double_click_is_inspected_once(send, job, whole):
    seen = job.event_count
    send(job, "inspect", save="1", **whole)
    again = send(job, "inspect", save="1", seen=seen, **whole)
    assert (again.status_code, again.url) == (302, f"/workshop/jobs/{job.number}/")
    assert job.events.filter(kind="inspected").count() == 1


def test_damage_that_is_nowhere_marked_is_asked_for_before_anything_is_recorded(send, job, whole):
    response = send(job, "inspect", save="1", **{**whole, "grade": "complete_with_damage"})
    assert response.status_code == 422
    page = response.content.decode()
    assert "add a mark for it below" in page
    assert "mark-fold" not in page
    job.refresh_from_db()
    assert job.stage == "arrived"


def test_a_number_of_another_model_has_to_be_looked_at_twice(send, job, whole):
    other = {**whole, "number_read": "KV4087B"}
    response = send(job, "inspect", save="1", **other)
    assert response.status_code == 422
    assert "tick that you looked twice" in response.content.decode()
    assert send(job, "inspect", save="1", **other, sure="on").status_code == 302


def test_another_unit_than_booked_holds_the_job_for_an_answer(send, job, whole):
    other = {**whole, "number_read": "KV4087B", "unit_model": "tolvane-kv4087", "grade": "not_as_booked"}
    assert send(job, "inspect", save="1", **other).status_code == 302
    job.refresh_from_db()
    assert (job.unit_model, job.hold) == ("tolvane-kv4087", "answer")


def test_damage_without_evidence_cannot_be_told(send, job, whole):
    send(job, "inspect", save="1", **{**whole, **MARK, "grade": "complete_with_damage"})
    assert Mark.objects.get().origin == "cannot_tell"
    job.refresh_from_db()
    assert not job.transit_damage


def test_damage_in_transit_needs_its_evidence_and_starts_the_clocks(send, job, whole, tobin):
    evidence = {"mark-0-photo_before": "shows_sound", "mark-0-signs": ALL_SIGNS}
    form = {**whole, **MARK, **evidence, "grade": "complete_with_damage"}
    checked = send(job, "inspect", check="1", **form)
    assert checked.status_code == 200
    assert "first seen on arrival, with the marks of a blow" in checked.content.decode()
    assert Mark.objects.count() == 0
    send(job, "inspect", save="1", **form)
    assert Mark.objects.get().origin == "in_transit"
    assert "Claim clocks" in tobin.get(f"/workshop/jobs/{job.number}/").content.decode()


def test_damage_and_a_grade_without_damage_contradict_each_other(send, job, whole):
    response = send(job, "inspect", save="1", **{**whole, **MARK})
    assert response.status_code == 422
    assert "choose “Complete, with damage”" in response.content.decode()


def test_half_a_mark_asks_for_its_other_half(send, job, whole):
    response = send(job, "inspect", save="1", **{**whole, "mark-0-zone": "body", "mark-0-x": "50"})
    page = response.content.decode()
    assert response.status_code == 422
    assert "Choose what kind of damage it is" in page
    assert "Choose how bad it is" in page
    assert "Give both distances" in page


def test_a_row_more_keeps_what_was_typed_and_records_nothing(send, job, whole):
    response = send(job, "inspect", add="1", **{**whole, **MARK, "note": "seen by lamp light"})
    page = response.content.decode()
    assert response.status_code == 200
    assert 'name="mark-1-zone"' in page
    assert "seen by lamp light" in page
    assert '<option value="cracked" selected>' in page
    assert "There is a problem" not in page
    job.refresh_from_db()
    assert job.stage == "arrived"


def test_a_row_is_left_out_and_the_others_move_up(send, job, whole):
    second = {"mark-1-zone": "bowl", "mark-1-damage_kind": "bent", "mark-1-severity": "2"}
    response = send(job, "inspect", **{**whole, **MARK, **second, "marks": "2", "drop-0": "1"})
    page = response.content.decode()
    assert 'name="mark-1-zone"' not in page
    assert '<option value="bent" selected>' in page


def test_a_tap_on_a_photo_begins_a_mark_there_without_a_script(send, job, whole, photo):
    response = send(
        job,
        "inspect",
        **{
            **whole,
            f"place-{photo.pk}.x": "136",
            f"place-{photo.pk}.y": "51",
            f"sides-{photo.pk}": "272x204",
        },
    )
    page = response.content.decode()
    assert 'name="mark-0-x" value="50.0"' in page
    assert 'name="mark-0-y" value="25.0"' in page
    assert f'<option value="{photo.pk}" selected>' in page


def test_the_script_may_say_the_place_as_a_share_of_the_photo(send, job, whole, photo):
    response = send(
        job, "inspect", **{**whole, f"place-{photo.pk}.x": "400", "share_x": "73.5", "share_y": "12.0"}
    )
    assert 'value="73.5"' in response.content.decode()


def test_by_keyboard_the_photo_is_chosen_and_the_place_is_typed(send, job, whole, photo):
    response = send(job, "inspect", **{**whole, f"place-{photo.pk}.x": "0", f"place-{photo.pk}.y": "0"})
    page = response.content.decode()
    assert f'<option value="{photo.pk}" selected>' in page
    assert 'name="mark-0-x" value' not in page


def test_a_mark_is_kept_where_it_was_put_and_drawn_on_its_photo(send, job, whole, photo, tobin):
    placed = {"mark-0-photo": str(photo.pk), "mark-0-x": "50", "mark-0-y": "25"}
    send(job, "inspect", save="1", **{**whole, **MARK, **placed, "grade": "complete_with_damage"})
    mark = Mark.objects.get()
    assert (mark.photo_id, mark.x_share, mark.y_share) == (photo.pk, 0.5, 0.25)
    assert "translate(320.0 120.0)" in tobin.get(f"/workshop/jobs/{job.number}/").content.decode()


def test_a_photo_of_another_job_cannot_carry_the_mark(send, job, whole, tobin):
    other = make.make_job(stage="arrived", name="Somebody Else")
    tobin.post(f"/workshop/jobs/{other.number}/photos/", {"shot": "item_zone", "photo": [a_photo()]})
    foreign = other.photos.get()
    response = send(
        job,
        "inspect",
        save="1",
        **{**whole, **MARK, "mark-0-photo": str(foreign.pk), "grade": "complete_with_damage"},
    )
    assert response.status_code == 422
    assert Mark.objects.count() == 0


def test_the_page_shows_what_should_have_come_along(page_of, job):
    page = main_of(page_of(job, "inspect/"))
    assert "Brass tag (left on the unit)" in page
    assert "Throttle lever (left on the unit)" in page
    assert "air cleaner stud" in page


def test_what_was_to_be_sent_along_is_looked_for(page_of):
    job = make.make_job(stage="arrived", unit_model="tolvane-kw34", number_as_read="KW4081B")
    assert "Tag and loose linkage rods (sent along)" in main_of(page_of(job, "inspect/"))


def test_inspecting_before_the_box_came_says_why_not(tobin):
    job = make.make_job(stage="cleared", now=timezone.now() - timedelta(days=2))
    response = tobin.get(f"/workshop/jobs/{job.number}/inspect/")
    assert response.status_code == 409
    assert "Receive this box" in response.content.decode()


def test_each_field_that_the_customer_reads_says_so(page_of, job):
    document = parse(page_of(job, "inspect/"))
    for name in ("note", "mark-0-note"):
        field = document.xpath(f"//*[@name='{name}']")[0]
        hints = [document.get_element_by_id(each) for each in field.get("aria-describedby").split()]
        assert "The customer reads this." in [hint.text_content().strip() for hint in hints], name


def folds_of(html):
    return parse(html).xpath("//details[contains(@class, 'mark-fold')]")


def test_the_first_mark_stands_behind_its_button_until_it_is_begun(send, page_of, job, whole):
    (fold,) = folds_of(page_of(job, "inspect/"))
    assert fold.xpath("./summary")[0].text == "Add a mark"
    assert fold.xpath(".//select[@name='mark-0-zone']")
    (still,) = folds_of(send(job, "inspect", look="1", **whole).content)
    assert still.xpath(".//select[@name='mark-0-zone']")
    begun = {**whole, "mark-0-zone": "body"}
    assert folds_of(send(job, "inspect", look="1", **begun).content) == []
    assert folds_of(send(job, "inspect", check="1", **{**whole, **MARK, "mark-0-severity": ""}).content) == []


@pytest.mark.parametrize("name", ["marks", "place-7.y", "sides-7"])
def test_a_figure_of_the_page_that_is_far_too_long_is_no_figure(send, job, whole, name):
    sent = {**whole, "place-7.x": "5", name: "9" * 5000}
    assert send(job, "inspect", **sent).status_code in {200, 422}
