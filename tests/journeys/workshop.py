"""The workshop's part of a story: answer, scan, receive, inspect, rebuild, test, pack, send back."""

from playwright.sync_api import expect

from jobs.domain.job_number import show
from jobs.models import Job, Photo
from tests.journeys.people import FILES

EXTRA_WORK = "Re-bush the spindle"


def open_job(worker, job):
    """Open the page of a job."""
    worker.visit(f"/workshop/jobs/{job.number}/")


def press_next(worker):
    """Press the one large action."""
    worker.page.locator(".panel.next .action").click()
    worker.page.wait_for_load_state()


def stage_of(job):
    return Job.objects.get(pk=job.pk).stage


def clear(worker, job):
    """Say yes to a booking."""
    worker.visit("/workshop/bookings/")
    worker.page.get_by_role("link", name=show(job.number)).first.click()
    open_job(worker, job)
    press_next(worker)
    worker.sees("It hunts and will not idle.")
    worker.click("Say yes: it may be sent")
    assert stage_of(job) == "cleared"


def scan(worker, typed):
    """Type into the scan field as a scanner does, quickly and with Enter at the end."""
    worker.visit("/workshop/")
    field = worker.page.locator("input[data-scan]")
    if worker.has_script:
        expect(field).to_be_focused()
    else:
        field.focus()
    worker.page.keyboard.type(typed, delay=8)
    worker.page.keyboard.press("Enter")
    worker.page.wait_for_url("**/workshop/jobs/**")


def receive(worker, job, *, scanned):
    """Scan the slip, take the photos in their order, and record the box."""
    scan(worker, scanned)
    assert stage_of(job) == "posted"
    press_next(worker)
    take_photos(worker)
    assert Photo.objects.filter(job=job, by_role="workshop").count() >= 3
    worker.choose("No smell")
    worker.page.locator("[name=carton_state][value=corner_crushed]").check(force=True)
    worker.page.locator("[name=packing_found][value=loose_or_moved]").check(force=True)
    worker.click("The box is recorded")
    assert stage_of(job) == "arrived"


def take_photos(worker):
    """Take every photo of the box in its turn: sent on choosing with a script, by its button without."""
    for _ in range(12):
        next_shot = worker.page.locator("li[aria-current=step]")
        if not next_shot.count():
            return
        done = worker.page.locator("#box-shots > li.done").count()
        next_shot.locator("input[type=file]").set_input_files([FILES / "photo.png"] * 2)
        if worker.has_script:
            expect(worker.page.locator(".uploads > li")).to_have_count(0, timeout=20_000)
        else:
            next_shot.locator("button").click()
            worker.page.wait_for_load_state()
        expect(worker.page.locator("#box-shots > li.done")).to_have_count(done + 1)


def inspect(worker, job):
    """Read the number again, tick what is here, and enter one piece of damage."""
    press_next(worker)
    worker.fill("The number, read again on the unit", "KV4081B")
    for box in worker.page.locator("[name=found]").all():
        box.check(force=True)
    worker.page.locator("[name=grade][value=complete_with_damage]").check(force=True)
    worker.page.locator("summary").get_by_text("Add a mark").click()
    row = worker.page.get_by_role("group", name="Mark 1")
    row.get_by_label("Where", exact=True).select_option(index=1)
    row.get_by_label("What", exact=True).select_option("bent")
    row.get_by_label("How bad").select_option("3")
    row.get_by_label("What exactly, and how big").fill("Throttle lever bent by 4 mm")
    worker.click("Check, and say where damage was made")
    expect(worker.page.get_by_role("group", name="Mark 1")).to_contain_text("Where it was made:")
    worker.click("The unit is inspected")
    assert stage_of(job) == "inspected"
    assert Job.objects.get(pk=job.pk).worst_severity == 3


def finish_step(worker, job):
    """Start the next bench step and finish it."""
    before = stage_of(job)
    open_job(worker, job)
    press_next(worker)
    press_next(worker)
    assert stage_of(job) != before


def ask_for_more_work(worker, job):
    """Record a finding with a photo and ask for the work it takes."""
    open_job(worker, job)
    worker.click("Record a finding")
    worker.fill("What was found, where, how big", "Spindle worn oval by 0.4 mm")
    worker.field("A photo of it").set_input_files(FILES / "photo.png")
    worker.click("Keep the finding")
    worker.click("Ask for extra work")
    worker.fill("Work 1", EXTRA_WORK)
    worker.fill("Price 1, in pounds", "64")
    worker.fill("Working days more", "3")
    worker.click("Work out price and date")
    worker.sees("above the agreed limit")
    worker.click("Ask the customer")
    assert Job.objects.get(pk=job.pk).hold == "answer"


def rebuild(worker, job):
    """Go through the steps that are left and read the figures at the test stand."""
    while stage_of(job) != "tested":
        before = Job.objects.get(pk=job.pk).event_count
        open_job(worker, job)
        press_next(worker)
        if "/readings/" in worker.page.url:
            read_figures(worker)
        assert Job.objects.get(pk=job.pk).event_count > before


def read_figures(worker):
    """Enter a figure within its limits for every line."""
    for field in worker.page.locator("main input[inputmode=decimal]").all():
        hint = worker.page.locator(f"#{field.get_attribute('aria-describedby').split()[0]}").inner_text()
        field.fill(within(hint))
    worker.click("Judge them against the limits")


def within(limits_in_words):
    """Return a figure between the limits that a hint tells."""
    figures = [float(word) for word in limits_in_words.replace(",", "").split() if is_figure(word)]
    assert figures, limits_in_words
    return f"{sum(figures[:2]) / len(figures[:2]):g}"


def is_figure(word):
    try:
        float(word)
    except ValueError:
        return False
    return True


def sign_off(tester, second, job):
    """See the tester hand over, then let a second person sign."""
    open_job(tester, job)
    press_next(tester)
    tester.sees("A second person signs this one")
    expect(tester.page.get_by_role("button", name="Sign it off as")).to_have_count(0)
    tester.click("Hand over: sign in as the second person")
    assert tester.heading() == "Sign in"
    assert stage_of(job) == "tested"
    open_job(second, job)
    press_next(second)
    second.sees("you sign as the second person")
    second.sees("Check this before you sign")
    second.fill("Why it goes back without its settings", "its screws were renewed")
    second.page.locator("main .actions button").click()
    second.page.wait_for_load_state()
    assert stage_of(job) == "signed_off"


def send_back(worker, job, *, tracking):
    """Drain the bench fluid, pack by the plan, and hand the parcel over."""
    open_job(worker, job)
    press_next(worker)
    worker.page.get_by_role("checkbox").first.check(force=True)
    worker.choose("No smell")
    worker.click("Record the check")
    press_next(worker)
    for step in worker.page.locator("[name=steps]").all():
        step.check(force=True)
    worker.click("It is packed")
    assert stage_of(job) == "packed"
    press_next(worker)
    worker.fill("Parcel number", tracking)
    worker.click("It is handed over")
    assert stage_of(job) == "sent_back"
