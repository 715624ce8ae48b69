# Shared by shop/start.sh and tests/run.sh: what a fresh machine needs before Python can take over.
# Debian 12 and 13, as root or through sudo; elsewhere install what a message names and run it again.

say() { printf '\n== %s\n' "$*"; }

stop() { printf 'Stopped: %s\n' "$*" >&2; exit 1; }

debian_install() {
  command -v apt-get >/dev/null || stop "this system has no apt-get; install by hand: $*"
  root=""
  if [ "$(id -u)" != 0 ]; then
    command -v sudo >/dev/null || stop "neither root nor sudo; ask somebody to install: $*"
    root="sudo"
  fi
  say "Installing $*"
  $root env DEBIAN_FRONTEND=noninteractive apt-get update -q >/dev/null
  $root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "$@" >/dev/null
}

# Sets $base to a Python from 3.11 to 3.13.
find_python() {
  for base in "${RACEWRIGHT_PYTHON:-python3}" python3.13 python3.12 python3.11; do
    "$base" -c 'import sys; sys.exit(not (3, 11) <= sys.version_info[:2] <= (3, 13))' 2>/dev/null && return
  done
  command -v python3 >/dev/null || { debian_install python3 python3-venv; find_python; return; }
  stop "a Python from 3.11 to 3.13 is needed; RACEWRIGHT_PYTHON may name one"
}

# make_environment FOLDER LOCKFILE: a virtual environment with exactly the locked packages; quick when nothing changed.
make_environment() {
  find_python
  if ! "$base" -c 'import ensurepip, venv' 2>/dev/null; then
    debian_install python3-venv
  fi
  [ -x "$1/bin/python" ] || { say "Making $1"; "$base" -m venv "$1"; }
  if ! cmp -s "$2" "$1/installed.txt"; then
    say "Installing the packages of $2"
    "$1/bin/python" -m pip install -q --disable-pip-version-check --require-hashes -r "$2"
    cp "$2" "$1/installed.txt"
  fi
}

# browser_packages PYTHON: what pages and paper take from npm; a machine without npm gets it from PyPI for the while.
browser_packages() {
  if [ shop/browser/package-lock.json -nt shop/browser/node_modules/.package-lock.json ]; then
    say "Installing the browser's packages"
    bin=""
    if ! command -v npm >/dev/null; then
      "$1" -m venv .var/node
      .var/node/bin/python -m pip install -q --disable-pip-version-check --require-hashes -r shop/browser/npm.txt
      bin="$PWD/.var/node/bin:"
    fi
    (cd shop/browser && PATH="$bin$PATH" npm ci --ignore-scripts --no-audit --no-fund --loglevel=error) ||
      stop "npm couldn't install what shop/browser/package-lock.json names; its own words stand above"
    touch shop/browser/node_modules/.package-lock.json
  fi
  "$1" manage.py fonts
}
