#!/usr/bin/env bash
# Sets everything up on a fresh machine, loads the demo and serves the site. Safe to run again.
set -euo pipefail
cd "$(dirname "$0")/.."
. shop/setup.sh

mkdir -p .var
make_environment .venv requirements.txt
browser_packages .venv/bin/python
exec .venv/bin/python manage.py demo --serve "$@"
