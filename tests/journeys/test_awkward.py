"""What people really do: press twice, go back, stop and go on elsewhere, cannot read, send a broken file."""

import pytest
from playwright.sync_api import expect

from jobs.models import Booking, Job, Photo
from tests.journeys.booking import EMAIL, book_unit, give_contact, open_by_mail
from tests.journeys.people import FILES, work_until_done

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
with_and_without = pytest.mark.parametrize(
    "has_script", [True, False], ids=["with scripts", "without scripts"]
)


@with_and_without
def test_pressing_twice_and_going_back_make_one_job(shop, come_in, has_script):
    customer = come_in(shop, has_script=has_script)
    book_unit(customer, photos=False)
    customer.page.get_by_role("button", name="Send this booking").dblclick()
    expect(customer.page.get_by_role("heading", level=1)).to_have_text("Your booking is in")
    number = customer.page.locator(".panel .number").first.inner_text()
    customer.page.go_back()
    again = customer.page.get_by_role("button", name="Send this booking")
    if again.count():
        again.click()
    else:
        customer.page.go_forward()
    expect(customer.page.get_by_role("heading", level=1)).to_have_text("Your booking is in")
    assert customer.page.locator(".panel .number").first.inner_text() == number
    assert Job.objects.count() == Booking.objects.count() == 1


def test_the_confirmation_can_be_opened_again(shop, come_in):
    customer = come_in(shop)
    book_unit(customer, photos=False)
    customer.click("Send this booking")
    address = customer.page.url
    elsewhere = come_in(shop)
    open_by_mail(elsewhere)
    elsewhere.page.goto(address)
    customer.page.reload()  # the worker that sent the mail has worked out a date as well
    words = customer.page.get_by_role("main").inner_text()
    assert "Your booking is in" in words
    assert elsewhere.page.get_by_role("main").inner_text() == words


@with_and_without
def test_a_booking_is_gone_on_with_on_another_device(shop, come_in, has_script):
    phone = come_in(shop, has_script=has_script)
    phone.visit("/book/family/")
    phone.choose("Carburettor")
    phone.click("Continue")
    phone.fill("The number, exactly as you read it", "KV4081B")
    phone.click("Continue")
    phone.click("Email me a link to go on later")
    phone.fill("Email address", EMAIL)
    phone.click("Email me the link")
    tablet = come_in(shop, has_script=has_script, width_px=820)
    open_by_mail(tablet)
    assert Booking.objects.count() == 1
    tablet.visit("/book/number/")
    expect(tablet.field("The number, exactly as you read it")).to_have_value("KV4081B")


def test_the_address_with_the_secret_is_left_behind(shop, come_in):
    customer = come_in(shop)
    book_unit(customer, photos=False)
    customer.click("Send this booking")
    elsewhere = come_in(shop)
    open_by_mail(elsewhere)
    assert "/open/" not in elsewhere.page.url
    assert "/open/" not in elsewhere.page.evaluate(
        "document.referrer.replace(location.origin + '/open/', '')"
    )


@with_and_without
def test_somebody_who_cannot_read_the_number_books_with_photos(shop, come_in, has_script):
    customer = come_in(shop, has_script=has_script)
    customer.visit("/book/family/")
    customer.choose("Carburettor")
    customer.click("Continue")
    customer.choose("I cannot read it, or there is none")
    customer.click("Continue")
    for _ in range(8):
        asked = customer.page.locator("input[type=radio][name=answer]").count()
        if not asked and not customer.page.locator("input[type=radio][name=unit_model]").count():
            break
        cannot_tell = customer.page.locator(f"input[type=radio][value={'unsure' if asked else 'none'}]")
        cannot_tell.check(force=True)
        customer.click("Continue")
    customer.click("Continue")  # what it is fitted to
    customer.click("Continue")  # symptoms
    first_shot = customer.page.locator("section.section > h2").first.inner_text()
    customer.sends_photos(shot=first_shot, names=["photo.png"])
    customer.click("Continue")
    give_contact(customer)
    customer.click("Continue")
    customer.page.locator("[name=limit_pounds]").fill("0")
    customer.click("Continue")
    customer.click("Send this booking")
    job = Job.objects.get()
    assert (job.stage, job.unit_model, job.number_as_read) == ("booked", "", "")
    assert Photo.objects.filter(job=job).count() == 1


def test_one_answer_is_changed_from_the_check_page_and_leads_back_to_it(shop, come_in):
    customer = come_in(shop)
    book_unit(customer, photos=False)
    customer.page.locator("main").get_by_role("link", name="Change").filter(has_text="itted").click()
    customer.fill("What is it fitted to?", "A tender of 1958")
    customer.click("Continue")
    customer.sees("A tender of 1958")
    assert customer.heading() == "Check your answers, then send the booking"


@with_and_without
def test_half_a_photo_is_refused_in_words_and_the_whole_one_stays(shop, come_in, tmp_path, has_script):
    whole = (FILES / "photo_gps_rotated.jpg").read_bytes()
    broken = tmp_path / "half.jpg"
    broken.write_bytes(whole[: len(whole) // 2])
    customer = come_in(shop, has_script=has_script)
    customer.visit("/book/family/")
    customer.choose("Carburettor")
    customer.click("Continue")
    customer.visit("/book/photos/")
    section = customer.page.locator("section.section").first
    for file in (FILES / "photo.png", broken):
        section.locator("input[type=file]").set_input_files(file)
        if not has_script:
            section.get_by_role("button", name="Save these photos").click()
        expect(section.locator("ul.photos > li").last).to_be_visible()
    expect(section.locator("ul.photos > li")).to_have_count(2)
    work_until_done()
    customer.visit("/book/photos/")
    assert sorted(Photo.objects.values_list("state", flat=True)) == ["ready", "refused"]
    refusal = Photo.objects.get(state="refused").refusal
    customer.sees(refusal)
    assert refusal.endswith(".")
    assert not any(word in refusal.lower() for word in ("invalid", "sorry", "error"))


@with_and_without
def test_a_file_that_is_no_photo_is_refused_at_once(shop, come_in, tmp_path, has_script):
    letter = tmp_path / "letter.jpg"
    letter.write_bytes(b"%PDF-1.7\n" + b"0" * 400)
    customer = come_in(shop, has_script=has_script)
    customer.visit("/book/family/")
    customer.choose("Carburettor")
    customer.click("Continue")
    customer.visit("/book/photos/")
    section = customer.page.locator("section.section").first
    section.locator("input[type=file]").set_input_files(letter)
    if not has_script:
        section.get_by_role("button", name="Save these photos").click()
    expect(customer.page.locator("section.section").first).to_contain_text("JPEG, PNG, WebP or HEIC")
    assert Photo.objects.count() == 0


def test_a_photo_that_did_not_get_through_is_tried_again_by_itself(shop, come_in):
    customer = come_in(shop)
    customer.visit("/book/family/")
    customer.choose("Carburettor")
    customer.click("Continue")
    customer.visit("/book/photos/")
    section = customer.page.locator("section.section").first
    customer.page.context.set_offline(True)
    section.locator("input[type=file]").set_input_files([FILES / "photo.png", FILES / "photo.heic"])
    expect(section.get_by_role("button", name="Try again")).to_have_count(2)
    customer.page.context.set_offline(False)
    section.get_by_role("button", name="Try again").first.click()
    expect(section.locator("ul.photos > li")).to_have_count(1)
    expect(section.get_by_role("button", name="Try again")).to_have_count(1)
    section.get_by_role("button", name="Leave out").click()
    expect(section.get_by_role("button", name="Try again")).to_have_count(0)
    assert Photo.objects.count() == 1
