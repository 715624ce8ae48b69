"""Every address of the site, by role: who is let in, who is told no, and that a stranger sees nothing of a job."""

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from shop.jobs import services as jobs
from shop.jobs.models import Role
from shop.requests.services import question_ask
from tests.requests.test_lists import a_list
from tests.requests.test_photos import a_photo

FIELD = {"foreman", "installer"}
SHOP = {"lead", "hand", "driver", "office"}
ALL = FIELD | SHOP
ASKERS = {"foreman", "lead"}

# name: (which object's key it takes, who is let in by GET, who by POST; empty: the method isn't allowed)
PAGES: dict[str, tuple[str, set[str], set[str]]] = {
    "today": ("", ALL, set()),
    "needed": ("", FIELD, set()),
    "not-sent": ("", ALL, set()),
    "outbox": ("", ALL, ALL),
    "code-typed": ("", ALL, set()),
    "code-open": ("code", ALL, set()),
    "piece": ("piece", ALL, set()),
    "piece-record": ("piece", set(), ALL),
    "piece-remake": ("piece", set(), ALL - {"installer"}),
    "areas": ("", ALL, set()),
    "area": ("place", ALL, set()),
    "run-ask": ("", ASKERS, ASKERS),
    "run-ask-edit": ("", set(), ASKERS),
    "run-ask-live": ("", set(), ASKERS),
    "run-ask-keep": ("", set(), ASKERS),
    "run-ask-room": ("", set(), ASKERS),
    "run-ask-like": ("run", ASKERS, set()),
    "my-runs": ("", ALL, set()),
    "runs-file": ("", ALL, set()),
    "list-take": ("", ASKERS, ASKERS),
    "list-empty": ("", ASKERS, set()),
    "run-sketch": ("", ASKERS, ASKERS),
    "photo-add": ("run", ALL - {"office"}, ALL - {"office"}),
    "photo": ("photo", ALL, set()),
    "list-grid": ("", ASKERS, ASKERS),
    "list-copy": ("place", ASKERS, ASKERS),
    "list-row-leave": ("row", set(), ASKERS),
    "run-list": ("list", ASKERS, set()),
    "list-check": ("list", set(), ASKERS),
    "list-send": ("list", set(), ASKERS),
    "list-drop": ("list", set(), ASKERS),
    "list-problems": ("list", ASKERS, set()),
    "run": ("run", ALL, set()),
    "run-change": ("run", ASKERS, set()),
    "revision-withdraw": ("revision", set(), ASKERS),
    "question-answer": ("question", set(), {"foreman"}),
    "inbox": ("", {"lead", "office"}, set()),
    "review": ("revision", {"lead", "office"}, set()),
    "review-ask": ("revision", set(), {"lead"}),
    "review-ok": ("revision", set(), {"lead"}),
    "review-hold": ("revision", set(), {"lead"}),
    "review-unhold": ("revision", set(), {"lead"}),
    "review-release": ("revision", set(), {"lead"}),
    "board": ("", SHOP, set()),
    "ticket-pdf": ("release", set(), {"lead", "hand"}),
    "labels-pdf": ("release", set(), {"lead", "hand", "driver", "foreman"}),
    "label-pdf": ("piece", set(), {"lead", "hand", "driver", "foreman"}),
    "sign-pdf": ("place", set(), ALL),
}
# For everybody, signed in or not: they say nothing of anybody.
OPEN = {"sign-in", "sign-out", "worker", "manifest", "no-signal"}
ROLES = [role.value for role in Role]


def names(patterns=None):
    for entry in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(entry, URLResolver):
            yield from names(entry.url_patterns)
        elif isinstance(entry, URLPattern):
            yield entry.name


def test_every_address_stands_in_the_table():
    assert set(names()) - OPEN == set(PAGES)


@pytest.fixture
def keys(floor, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    release = floor.release()
    piece, revision = floor.piece(), floor.world.ask("S-05")
    question = question_ask(revision=revision, text="To which face?", actor=floor.world.lead)
    asked = a_list(floor.world)
    return {
        "piece": piece.pk,
        "release": release.pk,
        "code": piece.code,
        "place": floor.world.room.pk,
        "run": revision.run_id,
        "revision": revision.pk,
        "question": question.pk,
        "list": asked.pk,
        "photo": a_photo(revision.run, floor.world.foreman).pk,
        "row": asked.rows.get().pk,
    }


@pytest.fixture
def stranger(world):
    return jobs.person_add(username="else", title="Foreman", role=Role.FOREMAN, password=None, actor=None)


@pytest.fixture
def viewer(world):
    return jobs.person_add(username="viewer", title="Viewer", role=Role.VIEWER, password=None, actor=None)


def status(client, person, name, keys, method):
    client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    key = PAGES[name][0]
    path = reverse(name, args=[keys[key]] if key else [])
    return getattr(client, method)(path).status_code


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("by", sorted(ALL))
def test_get_lets_in_whom_the_table_says(client, world, keys, name, by):
    _, get, _post = PAGES[name]
    found = status(client, getattr(world, by), name, keys, "get")
    if by in get:
        assert found in (200, 302)
    else:
        assert found == (405 if not get else 403)


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("by", sorted(ALL))
def test_post_lets_in_whom_the_table_says(client, world, keys, name, by):
    _, _get, post = PAGES[name]
    found = status(client, getattr(world, by), name, keys, "post")
    if by in post:
        assert found in (200, 302, 409, 422)
    else:
        assert found == (405 if not post else 403)


@pytest.mark.parametrize("name", [name for name, (key, *_) in PAGES.items() if key])
def test_another_jobs_things_are_not_found(client, stranger, keys, name):
    method = "get" if PAGES[name][1] else "post"
    assert status(client, stranger, name, keys, method) == 404


@pytest.mark.parametrize("name", PAGES)
def test_a_viewer_sees_nothing(client, viewer, keys, name):
    method = "get" if PAGES[name][1] else "post"
    assert status(client, viewer, name, keys, method) in (403, 404)


@pytest.mark.parametrize("name", PAGES)
def test_nobody_gets_in_without_signing_in(client, keys, name):
    key, get, _ = PAGES[name]
    path = reverse(name, args=[keys[key]] if key else [])
    answer = client.get(path) if get else client.post(path)
    assert answer.status_code == 302 and answer.url.startswith("/sign-in/")
