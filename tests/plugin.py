"""What must stand before Django's settings are read: a data folder of the tests' own, and a database to test on.

RACEWRIGHT_TEST_ON=postgresql starts a throw-away PostgreSQL server in the temporary folder and stops it at the end;
anything else tests on SQLite. Worker processes of pytest-xdist find all of it in their environment.
"""

import os
import shutil
import subprocess
import tempfile
from glob import glob
from pathlib import Path

import pytest

STARTED: list[Path] = []


def _as_postgres(*words: str) -> None:
    """PostgreSQL refuses to run as root, so root lends the command to the postgres user."""
    lend = ["setpriv", "--reuid=postgres", "--regid=postgres", "--init-groups"] if os.geteuid() == 0 else []
    subprocess.run([*lend, *words], check=True, stdout=subprocess.DEVNULL)


def _server_programs() -> Path:
    found = sorted(glob("/usr/lib/postgresql/*/bin/initdb"))
    initdb = found[-1] if found else shutil.which("initdb")
    if not initdb:
        raise pytest.UsageError("PostgreSQL's server programs are missing: apt-get install postgresql")
    return Path(initdb).parent


def _start_postgres(folder: Path) -> str:
    programs, data = _server_programs(), folder / "postgres"
    data.mkdir()
    if os.geteuid() == 0:
        folder.chmod(0o755)
        shutil.chown(data, "postgres", "postgres")
    _as_postgres(str(programs / "initdb"), "-D", str(data), "-U", "racewright", "-A", "trust", "-E", "UTF8")
    # Nothing of it outlives the tests, so nothing has to reach the disk.
    quick = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off"
    options = f"-c listen_addresses='' -c unix_socket_directories={data} -c max_connections=60 {quick}"
    _as_postgres(str(programs / "pg_ctl"), "-D", str(data), "-w", "-l", str(data / "log"), "-o", options, "start")
    STARTED.append(data)
    return f"postgresql://racewright@/racewright?host={data}"


def _prepare() -> None:
    folder = Path(tempfile.mkdtemp(prefix="racewright-tests-"))
    os.environ["RACEWRIGHT_TESTS"] = str(folder)
    fonts = Path(__file__).parent.parent / ".var" / "fonts"
    os.environ.setdefault("RACEWRIGHT_FONTS", str(fonts))
    os.environ["RACEWRIGHT_DATA"] = str(folder / "data")
    os.environ["RACEWRIGHT_ADDRESS"] = "http://localhost:8000"
    if os.environ.get("RACEWRIGHT_TEST_ON") == "postgresql":
        os.environ["RACEWRIGHT_DATABASE"] = _start_postgres(folder)
    else:
        os.environ.pop("RACEWRIGHT_DATABASE", None)


# Playwright's event loop runs in the tests' thread; Django's guard against that would refuse every query.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
if "RACEWRIGHT_TESTS" not in os.environ:
    _prepare()


def pytest_unconfigure() -> None:
    if "PYTEST_XDIST_WORKER" in os.environ:
        return
    for data in STARTED:
        _as_postgres(str(_server_programs() / "pg_ctl"), "-D", str(data), "-m", "immediate", "stop")
    shutil.rmtree(os.environ["RACEWRIGHT_TESTS"], ignore_errors=True)
