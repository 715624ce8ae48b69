"""Two real connections at once: one wins, the other is told or waits; nothing is half done and nobody is deadlocked."""

import contextvars
from collections.abc import Callable
from threading import Barrier, Thread
from typing import Any

import pytest
from django.db import connection

from shop.jobs import clock
from shop.jobs.models import History
from shop.jobs.refusals import Refusal
from shop.requests import services as requests
from shop.requests.models import Paper, Request, Revision, Run
from shop.work import services
from shop.work.again import derive_again
from shop.work.models import Need, Piece, Record, Release
from tests.requests import world as worlds
from tests.work.floor import Floor

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def floor(transactional_db):
    with clock.at(worlds.NOON):
        yield Floor(worlds.make())


def at_once(*acts: Callable[[], Any]) -> list[Any]:
    """Runs the acts in threads with connections of their own, all started together: results, or refusals' codes."""
    found: list[Any] = [None] * len(acts)
    gate = Barrier(len(acts))

    def run(number: int, act: Callable[[], Any]) -> None:
        try:
            connection.ensure_connection()
            gate.wait(20)
            found[number] = act()
        except Refusal as refusal:
            found[number] = refusal.code
        except Exception as broken:  # a thread's own error must reach the test
            found[number] = broken
        finally:
            connection.close()

    threads = [Thread(target=contextvars.copy_context().run, args=(run, *one)) for one in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert not any(thread.is_alive() for thread in threads)
    for one in found:
        if isinstance(one, Exception):
            raise one
    return found


def test_two_leads_release_once(floor):
    revision = floor.world.ok(quantity=4)
    release = lambda: services.revision_release(revision=revision, actor=floor.world.lead)  # noqa: E731
    found = at_once(release, release)
    assert {type(one) for one in found} == {str, Release} and "already_released" in found
    assert (Release.objects.count(), Piece.objects.count(), Need.objects.count()) == (1, 4, 4)
    assert History.objects.filter(action="revision.release").count() == 1


def test_two_leads_on_two_benders_leave_one_living_ticket(floor):
    revision = floor.release(quantity=2).revision
    benders = [worlds.profile(name=name) for name in ("Electric", "Bench")]
    found = at_once(
        *[
            lambda bender=bender: services.revision_release(revision=revision, actor=floor.world.lead, profile=bender)
            for bender in benders
        ]
    )
    assert all(isinstance(one, Release) for one in found)
    living = Release.objects.get(replaced_at=None)
    assert living.number == 3 and living.pieces.count() == Piece.objects.count() == 2


def test_a_request_sent_twice_at_once_is_one(floor):
    world = floor.world
    send = lambda: requests.request_send(job=world.job, nonce="n-1", runs=[world.draft()], actor=world.foreman)  # noqa: E731
    first, second = at_once(send, send)
    assert first == second == Request.objects.get() and Run.objects.count() == 1


def test_two_foremen_dont_take_one_tag(floor):
    world = floor.world
    sends = [
        lambda nonce=nonce: requests.request_send(job=world.job, nonce=nonce, runs=[world.draft()], actor=world.foreman)
        for nonce in ("n-1", "n-2")
    ]
    found = at_once(*sends)
    assert "tag_taken" in found and Run.objects.count() == Request.objects.count() == 1


def test_two_bs_at_once_are_b_and_c(floor):
    run = floor.release().revision.run
    revise = lambda: floor.revise(run)  # noqa: E731
    at_once(revise, revise)
    states = list(Revision.objects.order_by("number").values_list("number", "state"))
    assert states == [(1, Paper.CHANGED), (2, Paper.CHANGED), (3, Paper.SENT)]
    assert Record.objects.filter(verb="supersede").count() == 2


def test_one_nonce_from_two_phones_is_one_record(floor):
    floor.release()
    piece = floor.piece()
    said = [floor.words("cut", "hand", 1, {"piece": piece, "nonce": "n-1"}) for _ in range(3)]
    found = at_once(*[lambda words=words: services.record_add(**words) for words in said])
    assert len({one.record for one in found}) == 1 and sorted(one.repeated for one in found) == [False, True, True]
    assert Record.objects.count() == 1


def test_two_loads_at_once_both_stand_and_the_first_holds(floor):
    floor.release()
    piece = floor.piece()
    said = [
        floor.words("load", "driver", minutes, {"piece": piece, "fields": {"load": load}, "nonce": load})
        for minutes, load in ((1, "118"), (2, "121"))
    ]
    at_once(*[lambda words=words: services.record_add(**words) for words in said])
    piece.refresh_from_db()
    assert (piece.load, Record.objects.count(), list(derive_again())) == ("118", 2, [])


def test_records_while_b_is_sent_and_withdrawn(floor):
    """Recording locks the log, revising locks the run and then the log: neither may wait for the other in a circle."""
    floor.release(quantity=3)
    run, pieces = Run.objects.get(), list(Piece.objects.all())
    said = [[floor.words(verb, "hand", None, {"piece": piece}) for verb in ("cut", "bend")] for piece in pieces]

    def revise() -> None:
        for _ in range(3):
            b = floor.revise(run)
            requests.revision_cancel(revision=b, actor=floor.world.foreman)

    def record(words: list[dict[str, Any]]) -> None:
        for one in words:
            services.record_add(**one)

    at_once(revise, *[lambda words=words: record(words) for words in said])
    assert Record.objects.filter(piece__isnull=False).count() == 6 and Run.objects.get().present.number == 1
    assert {piece.word for piece in Piece.objects.all()} == {"NOT CHECKED"} and list(derive_again()) == []


def test_a_piece_is_remade_once_by_two(floor):
    floor.release()
    piece = floor.piece()
    remake = lambda: services.piece_remake(piece=piece, actor=floor.world.hand, reason="kinked")  # noqa: E731
    found = at_once(remake, remake)
    assert "already_remade" in found and Piece.objects.count() == 2


def test_a_bender_changed_while_a_piece_is_cut_is_one_or_the_other(floor):
    older = floor.release()
    words = floor.words("cut", "hand", 1, {"piece": floor.piece()})
    electric = worlds.profile(name="Electric")
    found = at_once(
        lambda: services.record_add(**words),
        lambda: services.revision_release(revision=older.revision, actor=floor.world.lead, profile=electric),
    )
    assert floor.piece().step == "cut"
    assert (found[1] == "pieces_cut") == (floor.piece().release == older)
