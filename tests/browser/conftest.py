"""A real Chromium against a real server of the project."""

import os
import shutil
from collections.abc import Iterator
from typing import Any

import pytest
from django.test.testcases import LiveServerThread

CHROMIUM = os.environ.get("RACEWRIGHT_CHROMIUM") or shutil.which("chromium") or "/usr/bin/chromium"
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1400, "height": 900}


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    quiet = "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking"
    return {
        "executable_path": CHROMIUM,
        "args": [*quiet.split(), "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage"],
    }


@pytest.fixture
def site(transactional_db: None) -> Iterator[str]:
    """The address of the running site; static files come from whitenoise, as in a shop."""
    thread = LiveServerThread("localhost", lambda application: application)  # type: ignore[arg-type]
    thread.daemon = True
    thread.start()
    thread.is_ready.wait()
    if thread.error:
        raise thread.error
    yield f"http://localhost:{thread.port}"
    thread.terminate()
