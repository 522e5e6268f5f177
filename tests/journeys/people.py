"""Who walks through the site, with a browser each, and what the post and the worker bring them."""

import re
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.core import mail
from django.utils import timezone
from playwright.sync_api import Page, expect

from jobs.management.commands.worker import all_work, do_round
from tests.factories import open_shop

FILES = Path(__file__).parent.parent / "files"
PASSWORD = "seven rusty float bowls"
# Two cores shared by the site, the browser and other runs: slow is not wrong here; speed has its own tests.
PATIENCE_MS = 30_000
expect.set_options(timeout=PATIENCE_MS)
PRIVATE_LINK = re.compile(r"https?://\S+/open/[\w-]+/")


@dataclass
class Visitor:
    """One person with a browser window; `has_script` says whether their browser runs scripts."""

    page: Page
    site: str
    has_script: bool

    def visit(self, path):
        """Type an address."""
        self.page.goto(self.site + path)

    def click(self, name, *, first=False):
        """Press a button or follow a link of that name and wait for the page it leads to."""
        named = self.page.get_by_role("button", name=name).or_(self.page.get_by_role("link", name=name))
        (named.first if first else named).click()
        self.page.wait_for_load_state()

    def choose(self, name):
        """Choose an option or tick a box by its words; the drawn box belongs to the label, which is hit."""
        self.page.get_by_label(name, exact=True).check(force=True)

    def fill(self, label, words):
        """Type words into a field."""
        self.field(label).fill(words)

    def field(self, label):
        """Return the field of that label, also where it says that it is optional."""
        return self.page.get_by_label(re.compile(rf"^\s*{re.escape(label)}(\s+\(optional\))?\s*$"))

    def heading(self):
        """Return the page's heading."""
        return self.page.get_by_role("heading", level=1).inner_text()

    def sees(self, words):
        """Wait until the words are on the page."""
        expect(self.page.get_by_role("main")).to_contain_text(words)

    def sends_photos(self, *, shot, names):
        """Send photos for one shot: each by itself with a script, all in one form without."""
        section = self.page.locator("section").filter(
            has=self.page.get_by_role("heading", name=shot, exact=True)
        )
        field = section.locator("input[type=file]")
        field.set_input_files([FILES / name for name in names])
        if not self.has_script:
            section.get_by_role("button", name="Save these photos").click()
        kept = self.page.locator("section").filter(
            has=self.page.get_by_role("heading", name=shot, exact=True)
        )
        expect(kept.locator("ul.photos > li")).to_have_count(len(names))


def work_until_done():
    """Let the worker go round until it has nothing left to do."""
    work = all_work()
    while do_round(work, clock=timezone.now):
        continue


def mails_to(address):
    """Return the mails that one person has got, oldest first, after the worker went round."""
    work_until_done()
    return [message for message in mail.outbox if message.to == [address]]


def private_link(address):
    """Return the private link in the newest mail that has one."""
    found = [PRIVATE_LINK.findall(message.body) for message in mails_to(address)]
    assert any(found), [message.subject for message in mail.outbox]
    return [links for links in found if links][-1][0]


@pytest.fixture
def shop(live_site):
    """Return the address of a shop that is open for business, with nothing in it."""
    open_shop(now=timezone.now())
    return live_site


@pytest.fixture
def come_in(open_browser):
    """Return a function that opens a window for somebody."""

    def make(site, *, has_script=True, width_px=390):
        page = open_browser(width_px=width_px, java_script_enabled=has_script)
        page.set_default_timeout(PATIENCE_MS)
        return Visitor(page=page, site=site, has_script=has_script)

    return make


@pytest.fixture
def sign_in(come_in, django_user_model):
    """Return a function that signs one of the shop's people in through the real page."""

    def make(site, *, name, role, has_script=True):
        email = f"{name.split()[0].lower()}@quillfeather.example"
        if not django_user_model.objects.filter(email=email).exists():
            django_user_model.objects.create_user(email, PASSWORD, name=name, role=role)
        visitor = come_in(site, has_script=has_script, width_px=1280)
        visitor.visit("/workshop/")
        visitor.page.get_by_label("Your mail address").first.fill(email)
        visitor.fill("Your password", PASSWORD)
        visitor.page.get_by_role("button", name="Sign in", exact=True).click()
        visitor.page.wait_for_url("**/workshop/")
        return visitor

    return make
