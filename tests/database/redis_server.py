"""A Redis of the tests' own, on a free port, which keeps nothing."""

import os
import shutil
import socket
import subprocess
import time
from contextlib import contextmanager

import pytest


def free_port():
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return found.getsockname()[1]


@contextmanager
def a_redis(folder):
    """Yield the address of a Redis: the one that was given, else one started here, else skip in one line."""
    given = os.environ.get("TEST_REDIS_URL")
    if given:
        yield given
        return
    binary = shutil.which("redis-server")
    if binary is None:
        sentence = "No redis-server: run `apt-get install redis-server` to see Celery drain the outbox."
        if os.environ.get("CI", "").lower() in {"1", "true"}:
            pytest.fail(sentence)
        pytest.skip(sentence)
    port = free_port()
    server = subprocess.Popen(
        [binary, "--port", str(port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no"],
        cwd=folder,
        stdout=subprocess.DEVNULL,
    )
    try:
        end = time.monotonic() + 10
        while time.monotonic() < end:
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.05)
        yield f"redis://127.0.0.1:{port}/0"
    finally:
        server.terminate()
        server.wait(timeout=10)
