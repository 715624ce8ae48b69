"""A real Chromium against a real server of the project."""

import contextlib
import os
import shutil
import socket
from collections.abc import Iterator
from typing import Any

import pytest
from django.core.servers.basehttp import ThreadedWSGIServer
from django.test.testcases import LiveServerThread
from playwright.sync_api import ConsoleMessage, expect

# What a page shows is waited for this long before it is missed, milliseconds: two test processes share the machine.
expect.set_options(timeout=15_000)
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


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    """Only the tests of no signal keep pages for it: elsewhere the worker's fetching would keep the server from what
    is being tested."""
    return {**browser_context_args, "service_workers": "block"}


def complains(said: ConsoleMessage) -> bool:
    """Whether a page says that something is wrong; that the tests keep its worker out is none of its faults."""
    return said.type in {"error", "warning"} and "Service Worker registration blocked" not in said.text


class Hangs(ThreadedWSGIServer):
    """Hangs up on everybody when it is closed: a browser would go on talking over the lines that it has."""

    def __init__(self, *words: Any, **more: Any) -> None:
        self.lines: list[socket.socket] = []
        # It starts again while the lines that it hung up still linger at its port.
        super().__init__(*words, **more | {"allow_reuse_address": True})

    def process_request(self, request: Any, client_address: Any) -> None:
        self.lines.append(request)
        super().process_request(request, client_address)

    def server_close(self) -> None:
        super().server_close()
        for line in self.lines:
            with contextlib.suppress(OSError):
                line.shutdown(socket.SHUT_RDWR)


class Thread(LiveServerThread):
    server_class = Hangs


class Server:
    """The running site; static files come from whitenoise, as in a shop. Stopped, it starts again where it was."""

    port = 0

    def start(self) -> None:
        self.thread = Thread("localhost", lambda application: application, port=self.port)  # type: ignore[arg-type]
        self.thread.daemon = True
        self.thread.start()
        self.thread.is_ready.wait()
        if self.thread.error:
            raise self.thread.error
        self.port = self.thread.port

    def stop(self) -> None:
        self.thread.terminate()


@pytest.fixture
def server(transactional_db: None) -> Iterator[Server]:
    running = Server()
    running.start()
    yield running
    running.stop()


@pytest.fixture
def site(server: Server) -> str:
    """The address of the running site."""
    return f"http://localhost:{server.port}"
