"""What a phone loads first of each page of asking: `python -m tests.bench.pages`, after `manage.py collectstatic`.

Prints kilobytes as a server sends them (gzip), page and every file that it names, on a database made for the while.
Nothing is asserted. The worker's copies, which come after the page and in the background, are counted apart.
"""

from __future__ import annotations

import gzip
import json
import os
import re
import tempfile
from pathlib import Path

NAMED = re.compile(r'(?:href|src)="(/static/[^"#]+)')
INSIDE = re.compile(r"""(?:from\s*|url\()["']?([^"')]+)""")


def main() -> None:
    os.environ["RACEWRIGHT_DATA"] = tempfile.mkdtemp(prefix="racewright-bench-")
    os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)
    _tell(*_signed_in())


def _signed_in():  # type: ignore[no-untyped-def]
    from django.conf import settings
    from django.test import Client

    from shop.jobs import clock
    from shop.jobs.outbox import pages_for
    from tests.requests import world as worlds

    settings.ALLOWED_HOSTS.append("testserver")
    with clock.at(worlds.NOON):
        world = worlds.make()
        run = world.ask().run
    client = Client()
    client.force_login(world.foreman, backend="django.contrib.auth.backends.ModelBackend")
    return client, [*pages_for(world.foreman), f"/runs/{run.pk}/", f"/runs/{run.pk}/change/"]


def _tell(client, pages) -> None:  # type: ignore[no-untyped-def]
    from shop.jobs import offline

    print(f"{'page':<34}{'page kB':>9}{'files':>7}{'files kB':>10}{'all kB':>9}")
    bodies = {page: client.get(page).content for page in pages}
    for page, body in bodies.items():
        files = _files(body.decode())
        weight = sum(map(_packed, files))
        print(f"{page:<34}{_kb(_gzip(body)):>9}{len(files):>7}{_kb(weight):>10}{_kb(_gzip(body) + weight):>9}")
    shell = json.loads(offline.worker().partition("\n")[0].removeprefix("const SITE = ").rstrip(";"))["shell"]
    print(f"\nworker: {_kb(_gzip(offline.worker().encode()))} kB")
    print(f"its files: {len(shell)}, {_kb(sum(_packed(file) for file in shell if file.startswith('/static/')))} kB")
    print(f"its pages for a foreman of one job: {len(pages)}, {_kb(sum(map(_gzip, bodies.values())))} kB")


def _files(page: str) -> set[str]:
    """Every file that the page names, and what these name; fonts of the Latin letters, signs, scripts' imports."""
    found, ahead = set(), list(NAMED.findall(page))
    while ahead:
        name = ahead.pop()
        if name in found:
            continue
        found.add(name)
        if name.endswith((".css", ".js")):
            text = _path(name).read_text()
            named = [inside for inside in INSIDE.findall(text) if inside.endswith((".js", ".svg", "latin.woff2"))]
            named += [inside for inside in INSIDE.findall(text) if re.search(r"-latin\.[0-9a-f]{12}\.woff2$", inside)]
            ahead += [os.path.normpath(os.path.join(os.path.dirname(name), inside)) for inside in named]
    return found


def _path(name: str) -> Path:
    from django.conf import settings

    return Path(settings.STATIC_ROOT) / name.removeprefix(settings.STATIC_URL)


def _packed(name: str) -> int:
    body = _path(name).read_bytes()
    return len(body) if name.endswith(".woff2") else _gzip(body)


def _gzip(body: bytes) -> int:
    return len(gzip.compress(body, 6))


def _kb(count: int) -> str:
    return f"{count / 1000:.1f}"


if __name__ == "__main__":
    main()
