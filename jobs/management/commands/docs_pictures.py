"""Makes the pictures of the README: opens a fresh demo shop in a folder of its own, photographs four pages.

Needs Debian's chromium and the test packages. The pictures are reduced to a palette, so that they stay small.
"""

import os
import re
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from argparse import ArgumentParser
from io import BytesIO
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from PIL import Image

from jobs.demo import scenario

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
]
PHONE, DESK = (390, 844), (1280, 900)
COLOURS = 48
SHEET_PX = 772
WAIT_S = 300.0


class Command(BaseCommand):
    """`manage.py docs_pictures`: four PNG files under static/docs."""

    help = "Makes the pictures of the README from a fresh demo shop."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take where the pictures go."""
        parser.add_argument("--into", default=str(Path(settings.BASE_DIR) / "static" / "docs"))

    def handle(self, *args: Any, **options: Any) -> None:
        """Fill, serve, photograph, stop."""
        if not CHROMIUM.exists():
            raise CommandError("Install chromium first: apt-get install chromium")
        into = Path(options["into"])
        into.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory() as folder, socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            bind = f"127.0.0.1:{probe.getsockname()[1]}"
            probe.close()
            environment = {**os.environ, "DATA_DIR": folder, "SITE_URL": f"http://{bind}"}
            command = [sys.executable, str(Path(settings.BASE_DIR) / "manage.py"), "demo", "--bind", bind]
            server = subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL)  # noqa: S603
            try:
                self._wait_for(f"http://{bind}/healthz")
                link = _newest_link(environment=environment)
                for name, png in _photograph(f"http://{bind}", link=link).items():
                    (into / f"{name}.png").write_bytes(_small(png))
                    self.stdout.write(f"{into / name}.png")
            finally:
                server.terminate()
                server.wait(timeout=60)

    def _wait_for(self, address: str) -> None:
        give_up_at = time.monotonic() + WAIT_S
        while time.monotonic() < give_up_at:
            try:
                with urllib.request.urlopen(address, timeout=2):  # noqa: S310 - our own loopback address
                    return
            except OSError:
                time.sleep(0.5)
        raise CommandError("The demo shop did not open in time.")


def _newest_link(*, environment: dict[str, str]) -> str:
    """Return the job number and a fresh private token of a customer who is packing."""
    code = (
        "from django.utils import timezone; from jobs.models import Job; from jobs.services import links;"
        "job = Job.objects.filter(stage='cleared', unit_model='tolvane-kv4081').latest('booked_at');"
        "print(job.number, links.issue_job_link(job, now=timezone.now()))"
    )
    command = [sys.executable, str(Path(settings.BASE_DIR) / "manage.py"), "shell", "-v0", "-c", code]
    run = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)  # noqa: S603
    found = re.search(r"(\d{7}) (\S+)", run.stdout)
    if found is None:
        raise CommandError("The demo shop has no customer who is packing.")
    return f"{found[1]} {found[2]}"


def _photograph(site: str, *, link: str) -> dict[str, bytes]:
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - a test package, needed here only

    number, token = link.split()
    pictures: dict[str, bytes] = {}
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        phone = browser.new_page(viewport={"width": PHONE[0], "height": PHONE[1]}, device_scale_factor=1.5)
        phone.goto(f"{site}/")
        pictures["customer"] = phone.screenshot()
        phone.goto(f"{site}/open/{token}/")
        phone.click("main button")
        phone.goto(f"{site}/job/{number}/pack/")
        phone.evaluate("document.querySelectorAll('details').forEach(part => part.open = true)")
        drawn = phone.locator("figure.drawing").first.bounding_box()
        if drawn is None:
            raise CommandError("The packing page shows no drawing.")
        pictures["parcel-plan"] = phone.screenshot(
            clip={"x": drawn["x"], "y": drawn["y"], "width": drawn["width"], "height": SHEET_PX},
            full_page=True,
        )
        desk = browser.new_page(viewport={"width": DESK[0], "height": DESK[1]})
        desk.goto(f"{site}/account/sign-in/")
        desk.fill("input[name=email]", scenario.STAFF[0].email)
        desk.fill("input[name=password]", scenario.DEMO_PASSWORD)
        desk.click("main button")
        for name, path in (("counter", "/workshop/"), ("dashboard", "/owner/")):
            desk.goto(f"{site}{path}")
            pictures[name] = desk.screenshot()
        browser.close()
    return pictures


def _small(png: bytes) -> bytes:
    """Return the picture with few colours and without metadata."""
    out = BytesIO()
    Image.open(BytesIO(png)).convert("RGB").quantize(COLOURS).save(out, format="PNG", optimize=True)
    return out.getvalue()
