"""One command serves the site: pages, static files, mails; it mends its worker and stops cleanly."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from tests.conventions.sources import ROOT

pytestmark = pytest.mark.slow


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def get(address):
    try:
        with urllib.request.urlopen(address, timeout=5) as response:
            return response.status, response.read().decode()
    except urllib.error.HTTPError as refused:
        return refused.code, refused.read().decode()


def wait_for(found, *, seconds=60):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if result := found():
            return result
        time.sleep(0.1)
    pytest.fail("waited in vain")


def is_up(address):
    try:
        return get(address)[0] == 200
    except OSError:
        return False


def children_of(pid):
    """Return the process ids and command lines of the children, from the system's own list."""
    found = {}
    for entry in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = entry.read_text().rsplit(")", 1)[1].split()
            command = (entry.parent / "cmdline").read_bytes().replace(b"\0", b" ").decode()
        except OSError:
            continue
        if int(fields[1]) == pid and fields[0] != "Z":
            found[int(entry.parent.name)] = command
    return found


def worker_of(pid):
    return next((child for child, command in children_of(pid).items() if " worker" in command), None)


@pytest.fixture
def site(tmp_path):
    port = free_port()
    environment = {
        "PATH": os.environ["PATH"],
        "DATA_DIR": str(tmp_path / "data"),
        "SITE_URL": f"http://127.0.0.1:{port}",
    }
    process = subprocess.Popen(
        [sys.executable, "manage.py", "serve", "--bind", f"127.0.0.1:{port}"],
        cwd=ROOT,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    address = f"http://127.0.0.1:{port}"
    wait_for(lambda: is_up(f"{address}/healthz"))
    yield address, process, tmp_path / "data"
    if process.poll() is None:
        process.kill()
        process.wait()


@pytest.mark.skipif(not Path("/proc").exists(), reason="looks at processes through /proc")
def test_the_site_serves_mends_its_worker_and_stops_cleanly(site):
    address, process, data = site
    status, page = get(f"{address}/account/sign-in/")
    assert status == 200
    style = page.split('rel="stylesheet" href="')[1].split('"')[0]
    assert get(f"{address}{style}")[0] == 200, "the page's own stylesheet"
    assert get(f"{address}/readyz") == (200, '{"ready": true}')
    assert get(f"{address}/no/such/page/")[0] == 404

    first = wait_for(lambda: worker_of(process.pid))
    os.kill(first, signal.SIGKILL)
    second = wait_for(lambda: worker_of(process.pid) not in {None, first} and worker_of(process.pid))
    assert second != first
    assert is_up(f"{address}/healthz")

    children = children_of(process.pid)
    process.send_signal(signal.SIGTERM)
    said, _ = process.communicate(timeout=45)
    assert process.returncode == 0, said
    assert "Traceback" not in said
    assert not [child for child in children if Path(f"/proc/{child}").exists()]
    assert (data / "site.sqlite3").exists()


@pytest.mark.skipif(sys.platform != "linux", reason="asks Linux to stop children with their parent")
def test_nothing_is_left_when_the_parent_is_killed(site):
    address, process, _ = site
    wait_for(lambda: worker_of(process.pid))
    children = children_of(process.pid)
    process.kill()
    process.wait()
    assert len(children) == 2
    wait_for(lambda: not [child for child in children if Path(f"/proc/{child}").exists()], seconds=40)
    assert not is_up(f"{address}/healthz")


def test_a_taken_port_is_told_and_ends_the_command(tmp_path):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        run = subprocess.run(
            [sys.executable, "manage.py", "serve", "--bind", f"127.0.0.1:{port}", "--no-worker"],
            cwd=ROOT,
            env={"PATH": os.environ["PATH"], "DATA_DIR": str(tmp_path)},
            capture_output=True,
            text=True,
            timeout=90,
            check=False,
        )
    assert run.returncode == 1
    assert "something else listening" in run.stdout
