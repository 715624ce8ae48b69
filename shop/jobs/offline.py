"""What makes the site work without a signal: the service worker with the list of what it keeps, and the manifest."""

import hashlib
import json
from typing import Any

from django.conf import settings
from django.contrib.staticfiles import finders
from django.templatetags.static import static
from django.urls import reverse

from shop.jobs.fonts import WEIGHTS, page_name

# Our own scripts and styles, all of them: they are small, and a page that lacks one is broken.
OWN = ("look/*.css", "look/*.js", "look/*.svg", "offline/*.js", "*.js")
# What a page needs beside them. Letters of other scripts are kept when they are first met.
PACKAGES = (
    *(f"fonts/{page_name(weight, 'latin')}" for weight in WEIGHTS),
    "npm/idb/index.js",
    "django_htmx/htmx-2.min.js",
)
WORKER = "offline/worker.js"
TEMPLATES = ("base.html", "jobs/no_signal.html")


def worker() -> str:
    """The service worker's script. Its first line changes whenever anything that it keeps does."""
    source = _text(WORKER)
    files = [static(name) for name in (*_own(), *PACKAGES)]
    said = {"shell": [reverse("no-signal"), *files], "noSignal": reverse("no-signal"), "notSent": reverse("not-sent")}
    said |= {"signOut": reverse("sign-out"), "statics": settings.STATIC_URL, "version": _version([source, *files])}
    return f"const SITE = {json.dumps(said)};\n{source}"


def _own() -> list[str]:
    root = settings.BROWSER_DIR / "static"
    found = {path.relative_to(root).as_posix() for pattern in OWN for path in root.glob(pattern)}
    return sorted(found - {WORKER})


def _version(parts: list[str]) -> str:
    pages = [(settings.BASE_DIR / "templates" / name).read_text() for name in TEMPLATES]
    return hashlib.sha256("\n".join([*parts, *pages]).encode()).hexdigest()[:12]


def _text(name: str) -> str:
    found = finders.find(name)
    if not isinstance(found, str):
        raise FileNotFoundError(name)
    with open(found, encoding="utf-8") as file:
        return file.read()


def manifest() -> dict[str, Any]:
    """The web app manifest: what a phone needs to put the site beside its other apps."""
    icon = {"src": static("look/icon.svg"), "sizes": "any", "type": "image/svg+xml"}
    return {
        "name": f"{settings.SHOP_NAME}: Racewright",
        "short_name": "Racewright",
        "id": "/",
        "start_url": reverse("today"),
        "scope": "/",
        "display": "standalone",
        "background_color": "#E9EDEA",
        "theme_color": "#E9EDEA",
        "icons": [icon],
    }
