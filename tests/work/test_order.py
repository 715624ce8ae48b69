"""Whatever is said, in whatever order it comes in, one by one or as a queue: one answer, and it is the fold's."""

import random
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import transaction

from shop.jobs import clock
from shop.requests.models import Paper, Revision, Run
from shop.work import derive, queries, services
from shop.work.again import derive_again
from shop.work.derive.vocabulary import FIELDS, VERBS
from shop.work.facts import facts_of, piece_fact, pieces_with_facts
from shop.work.models import Line, Piece, Record, RecordName, RecordPiece
from shop.work.said import OWN_SERVICE, Said
from shop.work.store import piece_key, record_of, run_key
from tests.requests.world import NOON, straight
from tests.work.floor import Floor

ARRIVED = NOON + timedelta(days=2)
VERBS_SAID = sorted(
    verb for verb, said in VERBS.items() if verb not in OWN_SERVICE and said.about & {"piece", "run", "record"}
)
PEOPLE = ("foreman", "installer", "lead", "hand", "driver", "office")


@pytest.fixture
def shop(floor):
    """Three alike of S-04 with B asked and released, a remake, another run of the same shape, one of another."""
    floor.release("S-04", quantity=3)
    floor.release("S-05", place=floor.world.other_room)
    floor.release("L-21", document=straight())
    b = floor.revise(Run.objects.get(tag="S-04"), quantity=2)
    Revision.objects.filter(pk=b.pk).update(state=Paper.OK)
    services.revision_release(revision=b, actor=floor.world.lead)
    services.piece_remake(piece=floor.piece("S-05"), actor=floor.world.hand, reason="kinked", old="maybe")
    return floor


class Talk:
    """Random words of random people about everything there is."""

    def __init__(self, floor: Floor, seed: int) -> None:
        self.world, self.dice = floor.world, random.Random(seed)
        self.pieces, self.runs = list(Piece.objects.order_by("pk")), list(Run.objects.order_by("pk"))
        self.places = [self.world.room, self.world.other_room, self.world.hoist, self.world.rack, self.world.bin]
        self.said: list[Said] = []

    def words(self, count: int) -> list[Said]:
        while len(self.said) < count:
            self.said.append(self._word(f"n-{len(self.said)}"))
        return self.said

    def _word(self, nonce: str) -> Said:
        verb = self.dice.choice(VERBS_SAID)
        said, by = VERBS[verb], self.dice.choice(sorted(set(PEOPLE) & VERBS[verb].who))
        fields, others = self._fields(verb)
        at = NOON + timedelta(minutes=self.dice.choice((*range(1, 1500, 7), *[700] * 200)))
        return Said(
            verb=verb,
            actor=getattr(self.world, by),
            nonce=nonce,
            device=by,
            seq=len(self.said),
            done_at=at,
            sent_at=ARRIVED,
            place=self.dice.choice(self.places) if said.place or self.dice.random() < 0.4 else None,
            names=self._names(said.names and verb != "annul"),
            fields=fields,
            others=others,
            **self._subject(said.about),
        )

    def _subject(self, about: frozenset[str]) -> dict[str, Any]:
        kinds = {"piece": lambda: self.dice.choice(self.pieces), "run": lambda: self.dice.choice(self.runs)}
        if "record" in about:
            return {"annuls": self._nonce()}
        kind = self.dice.choice(sorted(about & kinds.keys()))
        return {kind: kinds[kind]()}

    def _nonce(self) -> str:
        return f"n-{self.dice.randrange(max(1, len(self.said)) + 3)}"

    def _names(self, needed: bool) -> list[str]:
        return [self._nonce() for _ in range(self.dice.randint(1, 2))] if needed or self.dice.random() < 0.1 else []

    def _fields(self, verb: str) -> tuple[dict[str, Any], dict[str, Piece | Run]]:
        said = VERBS[verb]
        wanted = said.needs | {name for name in sorted(said.may) if self.dice.random() < 0.5}
        if verb == "decide":
            wanted |= {"into"}
        fields, others = {}, {}
        for name in sorted(wanted):
            kind = "piece" if verb == "decide" and name == "into" else FIELDS[name]
            if kind in ("piece", "run"):
                others[name] = self.dice.choice(self.pieces if kind == "piece" else self.runs)
            else:
                fields[name] = self._value(kind)
        return fields, others

    def _value(self, kind: Any) -> Any:
        if isinstance(kind, tuple):
            return self.dice.choice(kind)
        values = {"load": ["118", "121"], "into": ["4C", "5A"], "rev": ["A", "B"], "flag": [True, False]}
        return self.dice.choice({**values, "count": [0, 1, 2, 12], "any": ["x"]}[kind])


COLUMNS = [field.attname for field in Piece._meta.fields if field.name not in ("id", "last_record")]


def told() -> dict[str, Any]:
    """All that is kept, without the keys of records, which follow their arrival."""
    pieces = {
        piece.code: [getattr(piece, name) for name in COLUMNS] + [piece.last_record and piece.last_record.nonce]
        for piece in Piece.objects.select_related("last_record")
    }
    lines = sorted(map(str, Line.objects.values_list("code", "piece", "record__nonce", "person", "role")))
    return {"pieces": pieces, "lines": lines, "counts": queries.run_counts(Run.objects.all())}


@contextmanager
def undone() -> Iterator[None]:
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def after(batches: list[list[Said]]) -> dict[str, Any]:
    with undone(), clock.at(ARRIVED):
        for batch in batches:
            services.records_add(batch)
        return told()


@pytest.mark.parametrize("seed", range(8))
def test_any_order_of_arrival_and_any_cutting_into_queues_gives_one_answer(shop, seed):
    words = Talk(shop, seed).words(24)
    shuffled = random.Random(seed + 100).sample(words, len(words))
    one_by_one = after([[said] for said in words])
    assert after([[said] for said in shuffled]) == one_by_one
    assert after([shuffled]) == one_by_one
    assert after([words[:9], shuffled, words]) == one_by_one


@pytest.mark.parametrize("seed", range(8))
def test_what_is_kept_is_what_folding_everything_from_nothing_gives(shop, seed):
    with clock.at(ARRIVED):
        for said in Talk(shop, seed).words(24):
            services.records_add([said])
    answer = everything()
    for key, row in answer.pieces.items():
        kept = Piece.objects.select_related("last_record").get(pk=int(key[1:]))
        fills = kept.fills_id and run_key(kept.fills_id)
        last = kept.last_record and kept.last_record.nonce
        assert (kept.step, kept.rank, kept.level, kept.good, kept.word) == (
            row.step,
            row.rank,
            row.level,
            row.good,
            row.word,
        )
        assert (fills, last, kept.box or None) == (row.need if row.good else None, row.last, row.box)
        assert (kept.load or None, kept.trip or None, kept.account or None) == (row.load, row.trip, row.account)
        assert (tuple(kept.flags), tuple(kept.not_seen), kept.dead) == (row.flags, row.not_seen, row.dead)
    assert counted(queries.run_counts(Run.objects.all())) == needed(answer)


def everything() -> derive.Answer:
    records = [record_of(row) for row in Record.objects.all()]
    pieces = pieces_with_facts(piece_key(pk) for pk in Piece.objects.values_list("pk", flat=True))
    return derive.derive(records, facts_of(map(piece_fact, pieces.values()), records))


def counted(counts: dict[int, queries.Counts]) -> dict[str, tuple[int, ...]]:
    return {
        run_key(run): (c.asked, c.in_shop, c.on_truck, c.here, c.in_place, c.dropped, c.over, c.apart, c.total)
        for run, c in counts.items()
    }


def needed(answer: derive.Answer) -> dict[str, tuple[int, ...]]:
    return {
        run: (n.missing, n.in_shop, n.on_truck, n.here, n.in_place, n.dropped, n.over, len(n.but), n.asked)
        for run, n in answer.needs.items()
    }


@pytest.mark.parametrize("seed", range(8))
def test_deriving_again_finds_nothing_after_random_words(shop, seed):
    with clock.at(ARRIVED):
        services.records_add(Talk(shop, seed).words(30))
    assert Record.objects.count() > 15
    assert list(derive_again(at_once=2)) == []


# Deriving again finds what was tampered with


@pytest.fixture
def made(shop):
    shop.make(shop.piece("L-21"))
    shop.say(shop.piece("L-21"), "drop", "driver", place=shop.world.hoist)
    shop.say(shop.piece("L-21"), "swap", others={"other": shop.piece("S-05")})
    shop.say(None, "annul", annuls="r1")
    assert list(derive_again()) == []
    return shop


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("step", "in"),
        ("level", 3),
        ("good", False),
        ("flags", ["HOLD"]),
        ("load", "118"),
        ("fills", None),
        ("seen_at", NOON),
    ],
)
def test_a_tampered_row_is_found_and_mended(made, column, value):
    piece = made.piece("S-04", rev=2)
    Piece.objects.filter(pk=piece.pk).update(**{column: value})
    (found,) = derive_again()
    assert (found.subject, found.what) == (f"piece {piece.pk}", column)
    assert len(list(derive_again(mend=True))) == 1 and list(derive_again()) == []


def test_a_lost_and_an_invented_line_are_found_and_mended(made):
    line = Line.objects.get(code="dropped_not_received")
    Line.objects.create(code="find_or_remake", piece=made.piece("S-05"), role="lead")
    Line.objects.create(code="stray", role="lead")
    line.delete()
    assert sorted(d.kept for d in derive_again()) == ["nothing", "there", "there"]
    list(derive_again(mend=True))
    assert list(derive_again()) == [] and Line.objects.filter(code="dropped_not_received").exists()


def test_a_lost_look_up_is_found_and_mended(made):
    RecordPiece.objects.filter(word="other").delete()
    RecordName.objects.all().delete()
    assert {d.what for d in derive_again()} >= {"look-ups"}
    list(derive_again(mend=True))
    list(derive_again(mend=True))
    assert list(derive_again()) == []


def test_the_command_says_that_nothing_differs(made):
    said = StringIO()
    call_command("derive_again", stdout=said)
    assert "no difference" in said.getvalue()


def test_the_command_fails_with_what_differs_and_mends_when_told(made):
    Piece.objects.filter(pk=made.piece("S-05").pk).update(step="in")
    said = StringIO()
    with pytest.raises(CommandError) as failed:
        call_command("derive_again", stdout=said)
    assert failed.value.returncode == 1 and "step" in said.getvalue()
    call_command("derive_again", "--mend", stdout=said)
    call_command("derive_again", stdout=said)
