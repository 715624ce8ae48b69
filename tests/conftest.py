"""Fixtures for every test."""

import os
import subprocess
import sys
from pathlib import Path


def pytest_configure() -> None:
    """Pages are tested with the same hashed static files that a shop serves; one process collects them for all."""
    manage = Path(__file__).parent.parent / "manage.py"
    if "PYTEST_XDIST_WORKER" not in os.environ:
        subprocess.run([sys.executable, str(manage), "collectstatic", "--noinput", "-v0"], check=True)
