"""The customer's part after the shop's yes: strip, drain, smell, slip, post; and the end of the story."""

from datetime import timedelta
from urllib.parse import urlsplit

from django.utils import timezone
from playwright.sync_api import expect

from jobs.models import Job

TRACKING = "RB123456785GB"


def tick_everything(customer, job):
    """Tick every step of both lists and save them."""
    customer.visit(f"/job/{job.number}/pack/")
    for part in ("strip", "gate", "packing"):
        if not customer.page.locator(f"#{part} ol.steps").first.is_visible():
            customer.page.locator(f"#{part} > details > summary").click()
        form = customer.page.locator(f"#{part}")
        boxes = form.get_by_role("checkbox")
        assert boxes.count() >= 4
        for at in range(boxes.count()):
            boxes.nth(at).check(force=True)
        form.get_by_role("button", name="Save these ticks").click()
        expect(customer.page.locator(f"#{part} input[type=checkbox]:not(:checked)")).to_have_count(0)
    total = customer.page.locator("ol.steps input[type=checkbox]").count()
    customer.sees(f"{total} of {total} steps ticked")


def drain(customer, *, hours_ago):
    """Say when the unit was drained, and once more where that was before the booking."""
    at = timezone.localtime(timezone.now() - timedelta(hours=hours_ago))
    customer.fill("Day", f"{at:%Y-%m-%d}")
    customer.fill("Time", f"{at:%H:%M}")
    customer.click("It is drained and stands outside")
    if at.date() < timezone.localdate():
        customer.choose("Yes, I drained it on that day, and it has stood open to the air since")
        customer.click("It is drained and stands outside")


def find_the_slip_locked(customer, job):
    """Look for the slip before the unit may be posted."""
    customer.visit(f"/job/{job.number}/slip/")
    assert customer.page.locator(".slip-number").count() == 0
    customer.visit(f"/job/{job.number}/pack/")
    expect(customer.page.locator("#send")).to_contain_text("The slip is locked")


def pack_and_post(customer, job):
    """Take the unit from the shop's yes to the post office."""
    tick_everything(customer, job)
    find_the_slip_locked(customer, job)
    drain(customer, hours_ago=1)
    customer.sees("Stands in the air")
    find_the_slip_locked(customer, job)
    customer.page.get_by_text("Drained again, or at another time?").click()
    drain(customer, hours_ago=200)
    customer.choose("No smell at all")
    customer.click("Record the smell test")
    customer.click("Print the slip")
    assert (
        customer.page.locator(".slip-number").inner_text().replace("\u00a0", "").replace("-", "")
        == job.number
    )
    customer.visit(f"/job/{job.number}/pack/")
    customer.click("I have posted it")
    customer.fill("Tracking number", TRACKING)
    customer.click("Yes, it is posted")
    customer.sees(TRACKING)
    assert Job.objects.get(pk=job.pk).stage == "posted"


def say_yes_to_more_work(customer, job):
    """Read the request, see its price and date, and say yes on the page after it."""
    customer.click("See the work and answer")
    customer.sees("£64.00")
    customer.click("Yes, do this work")
    customer.fill("Anything the bench should know?", "Thank you for asking.")
    customer.click("Yes, do this work")
    customer.sees("You said yes")
    assert urlsplit(customer.page.url).path == f"/job/{job.number}/extra-work/1/"


def take_home(customer, job):
    """Confirm that the unit came back in order."""
    customer.visit(f"/job/{job.number}/")
    customer.click("I have received it")
    customer.click("Yes, close the job")
    assert Job.objects.get(pk=job.pk).stage == "closed"
