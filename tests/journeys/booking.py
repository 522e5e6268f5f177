"""The first part of every story: a customer on a phone answers one question after the other."""

from tests.journeys.people import private_link

EMAIL = "ada@example.com"


def book_unit(customer, *, number="KV4O8IB", photos=True, limit="0"):
    """Write a booking up to the page on which it is checked."""
    customer.visit("/")
    customer.click("Book a rebuild")
    customer.choose("Carburettor")
    customer.click("Continue")
    customer.fill("The number, exactly as you read it", number)
    customer.choose("Stamped by hand or punched: a list or model number")
    customer.click("Continue")
    choose_model(customer, "Tolvane KV 40/81 float-feed carburettor")
    customer.fill("What is it fitted to?", "Launch of 1961")
    customer.click("Continue")
    customer.fill("In your own words", "It hunts and will not idle.")
    customer.click("Continue")
    if photos:
        send_three_photos(customer)
    customer.click("Continue" if photos else "Continue without photos")
    give_contact(customer)
    customer.click("Continue")  # no wished day
    customer.page.locator("[name=limit_pounds]").fill(limit)
    customer.click("Continue")


def choose_model(customer, name):
    """Say that the proposed model is the right one."""
    customer.page.get_by_role("radio").first.check(force=True)
    customer.click("Continue")


def send_three_photos(customer):
    """Send a JPEG with a place in it, a PNG and a HEIC."""
    titles = customer.page.locator("section.section > h2").all_inner_texts()
    customer.sends_photos(shot=titles[0], names=["photo_gps_rotated.jpg"])
    customer.sends_photos(shot=titles[1], names=["photo.png", "photo.heic"])


def give_contact(customer, *, email=EMAIL, name="Ada Thornby"):
    """Fill in where the unit goes back to."""
    customer.fill("Your name", name)
    customer.fill("Email address", email)
    customer.fill("Phone number", "01632 960 555")
    customer.fill("Return address", "2 Quay Cottages\nSaltmere")
    customer.fill("Postal code", "SA1 2BC")
    customer.fill("Country", "England")
    customer.choose("Millimetres and kilograms")
    customer.click("Continue")


def open_by_mail(customer, *, email=EMAIL):
    """Open the newest private link and press the button that uses it."""
    customer.page.goto(private_link(email))
    customer.page.locator("main button.action").click()
    customer.page.wait_for_load_state()
