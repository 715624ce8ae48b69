#!/usr/bin/env bash
# Installs what the tests need and runs the gate and all tests: SQLite, PostgreSQL, a real Chromium.
set -euo pipefail
cd "$(dirname "$0")/.."
. shop/setup.sh

mkdir -p .var
if [ -z "${RACEWRIGHT_CHROMIUM:-}" ] && ! command -v chromium >/dev/null; then debian_install chromium; fi
if ! ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 && ! command -v initdb >/dev/null; then debian_install postgresql; fi
make_environment .venv-test requirements-test.txt
browser_packages .venv-test/bin/python
export PATH="$PWD/.venv-test/bin:$PATH"

say "Format and lint"
ruff format --check .
ruff check .
say "Types"
mypy
say "Checks of Django, migrations, import arrows"
python manage.py check --fail-level WARNING
python manage.py makemigrations --check --dry-run
lint-imports
say "Tests on SQLite, with a real Chromium"
python -m pytest -n "${RACEWRIGHT_TEST_PROCESSES:-2}"
say "Tests on PostgreSQL: all that keep anything in a database"
RACEWRIGHT_TEST_ON=postgresql python -m pytest -n "${RACEWRIGHT_TEST_PROCESSES:-2}" --ignore tests/bending --ignore tests/work/derive
say "All green"
