"""Properties of what is derived: of metal, boxes, trucks, counts, needs, swaps, and of nonsense."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from hypothesis import assume
from hypothesis import strategies as st

from shop.work.derive import Answer, PieceAnswer, Record, derive
from shop.work.derive.scenario import DAY_0
from shop.work.derive.vocabulary import BACK, CUT, IN, LABELLED, RECEIVED, SHOUTED, STEPS, VERBS
from tests.work.derive.floor import FACTS, after, made, records_of
from tests.work.derive.strategies import MINUTE, PEOPLE, days, draft, ending, given, late_days, renamed

CODES = st.sampled_from(list(FACTS.pieces))
PLAIN = tuple(v for v in VERBS if v not in ("swap", "decide", "annul"))
SAYS_FORWARD = tuple(v for v in ("cut", "bend", "label", "pack", "drop", "receive", "seen", "in", "elsewhere"))
METAL = ("rank", "place", "box", "load", "trip", "not_seen", "seen", "account", "origin", "left")


def metal(row: PieceAnswer) -> tuple[Any, ...]:
    return tuple(getattr(row, name) for name in METAL)


def live(answer: Answer, code: str) -> PieceAnswer:
    """What a label means now: after rework, the newer piece."""
    row = answer.pieces[code]
    return live(answer, str(row.replaced_by)) if row.dead else row


def last(records: list[Record], record: Record) -> Record:
    """The record, done after all the others."""
    at = DAY_0 + 2000 * MINUTE
    return replace(record, nonce="last", seq=99, names=(), done_at=at, sent_at=at, recorded_at=at)


@given(days(), st.sampled_from(["piece", "run", "box"]))
def test_a_hold_stands_until_a_standing_unhold_names_it(records: list[Record], kind: str) -> None:
    subject = {kind: {"piece": "S.1", "run": "S-04", "box": "B7"}[kind]}
    free = [r for r in records if r.verb not in ("hold", "check")]
    hold, unhold = ending(free, "hold", **subject), ending(free, "unhold", 1, names=("end0",), **subject)
    annul = ending(free, "annul", 2, names=("end1",))
    meant = {"piece": ["S.1"], "run": ["S.1", "S.2", "S.3", "S.1.R1"], "box": derive(free, FACTS).boxes["B7"].inside}
    assert held(derive([*free, hold], FACTS)) == set(meant[kind])
    assert held(derive([*free, hold, unhold], FACTS)) == set()
    assert held(derive([*free, hold, unhold, annul], FACTS)) == set(meant[kind])


def held(answer: Answer) -> set[str]:
    return {code for code, row in answer.pieces.items() if "HOLD" in row.flags}


@given(days(), CODES)
def test_whatever_happened_before_in_is_in(records: list[Record], code: str) -> None:
    answer = derive([*records, ending(records, "in", piece=code)], FACTS)
    row = live(answer, code)
    assert (row.rank, row.box, row.load) == (IN, None, None)
    assert row.step in ("in", "closed") and row.account in (None, "in")


@given(days(verbs=PLAIN), draft(SAYS_FORWARD))
def test_a_forward_word_never_takes_a_piece_back(records: list[Record], word: Record) -> None:
    before, told = derive(records, FACTS), derive([*records, last(records, word)], FACTS)
    assert all(told.pieces[code].rank >= row.rank for code, row in before.pieces.items())


@given(days(), draft(tuple(v for v in PLAIN)))
def test_only_the_words_marked_back_take_a_piece_back(records: list[Record], word: Record) -> None:
    before, told = derive(records, FACTS), derive([*records, last(records, word)], FACTS)
    taken = [code for code, row in before.pieces.items() if told.pieces[code].rank < row.rank]
    assert not taken or word.verb in BACK
    assert not (taken and word.verb == "load") or word.fields.get("again") is True
    assert not (taken and word.verb == "check") or word.fields["result"] == "fail"


@given(late_days())
def test_not_seen_is_below_the_step_and_has_who_implied_it(records: list[Record]) -> None:
    for row in derive(records, FACTS).pieces.values():
        assert all(STEPS.index(step) <= row.rank for step in row.not_seen)
        assert not set(row.not_seen) & (FACTS.pieces[row.key].skip | row.seen.keys())
        assert all(row.inferred[step] in {r.nonce for r in records} for step in row.not_seen)


@given(days(), CODES)
def test_what_was_seen_before_a_return_belongs_to_an_earlier_trip(records: list[Record], code: str) -> None:
    back = ending(records, "return", piece=code, fields={"for": "again"})
    got = ending(records, "receive", 1, piece=code, place="Tern/L2")
    row = live(derive([*records, back, got], FACTS), code)
    assert {"bundled", "loaded", "dropped"} <= set(row.not_seen)
    assert row.rank == RECEIVED and row.seen["received"] == "end1"


@given(late_days(most=20))
def test_every_word_gets_an_answer_never_an_error(records: list[Record]) -> None:
    replies = derive(records, FACTS).replies
    assert replies.keys() == {r.nonce for r in records}
    assert all(codes and "" not in codes for codes in replies.values())


@given(days(), draft(("cut", "bend", "label", "load", "drop", "receive", "seen", "in")))
def test_the_same_scan_by_another_man_is_already_and_changes_nothing(records: list[Record], scan: Record) -> None:
    assume("count" not in scan.fields)
    first = last(records, scan)
    second = replace(first, nonce="again", person="lead-1", role="lead", device="other", seq=100)
    one, two = derive([*records, first], FACTS), derive([*records, first, second], FACTS)
    assert {code: metal(row) for code, row in one.pieces.items()} == {c: metal(r) for c, r in two.pieces.items()}
    assert one.needs == two.needs
    assert two.replies["again"] != ("ok",)


@given(late_days(most=20))
def test_a_piece_lies_in_one_box_and_n_of_m_add_up(records: list[Record]) -> None:
    answer = derive(records, FACTS)
    for code, row in answer.pieces.items():
        held = {key for key, box in answer.boxes.items() if code in box.inside}
        assert held == set(around(answer, row.box))
    for box in answer.boxes.values():
        assert box.m == box.n + len(box.gone) and not set(box.inside) & box.gone.keys()


def around(answer: Answer, box: str | None) -> Iterable[str]:
    while box is not None:
        yield box
        box = answer.boxes[box].box


@given(days(), st.sampled_from(["B7", "C4"]), st.sampled_from(["Tern/L2/@hoist", "Tern/L3/301", "Tern/L2"]))
def test_a_piece_inside_goes_where_its_box_goes(records: list[Record], box: str, place: str) -> None:
    before = derive(records, FACTS)
    told = derive([*records, ending(records, "seen", box=box, place=place)], FACTS)
    assert all(told.pieces[code].place == place for code in before.boxes[box].inside)
    assert told.boxes[box].inside == before.boxes[box].inside


@given(days())
def test_a_box_moves_only_what_lay_in_it(records: list[Record]) -> None:
    apart = [r for r in records if r.verb not in ("swap", "decide", "hold", "unhold", "annul", "snag")]
    packed = {r.piece for r in apart if r.verb == "pack"}
    alone = [r for r in apart if r.box is None]
    one, two = derive(apart, FACTS).pieces, derive(alone, FACTS).pieces
    assert {c: metal(one[c]) for c in one if c not in packed} == {c: metal(two[c]) for c in two if c not in packed}


@given(days(verbs=("cut", "bend", "label", "check", "pack", "load", "unpack")), CODES)
def test_the_first_of_two_trucks_holds(records: list[Record], code: str) -> None:
    shop = [r for r in records if r.verb != "load"]
    first = ending(shop, "load", piece=code, fields={"load": "118"}, person="driver-1")
    second = ending(shop, "load", 1, piece=code, fields={"load": "121"}, person="driver-2")
    told = derive([*shop, second, first], FACTS)
    assert (told.pieces[code].load, told.pieces[code].place) == ("118", "load/118")
    assert told.replies["end1"] == ("on_other_load",)
    assert ("on_other_load", "driver-2", "end1") in {line[:3] for line in told.lines}


@given(days(verbs=("cut", "bend", "label", "check", "pack", "unpack")), CODES, st.sampled_from(["shop", "shop/rack"]))
def test_seen_off_the_first_truck_it_holds_no_longer(records: list[Record], code: str, place: str) -> None:
    first = ending(records, "load", piece=code, fields={"load": "118"})
    seen = ending(records, "seen", 1, piece=code, place=place)
    second = ending(records, "load", 2, piece=code, fields={"load": "121"})
    told = derive([*records, first, seen, second], FACTS)
    assert (told.pieces[code].load, told.replies["end2"]) == ("121", ("ok",))


@given(days(), st.integers(0, 3), st.lists(st.integers(0, 3), max_size=3))
def test_a_final_count_closes_the_question(records: list[Record], count: int, others: list[int]) -> None:
    final = counted(records, 0, count, count, final=True)
    later = [counted(records, number, other, 3, final=False) for number, other in enumerate(others, 1)]
    box = derive([*records, final, *later], FACTS).boxes["B7"]
    assert (box.open, box.unnamed) == (False, 0)


def counted(records: list[Record], number: int, count: int, of: int, final: bool) -> Record:
    fields = {"count": count, "of": of, "final": final}
    return ending(records, "receive", number, box="B7", place="Tern/L2", fields=fields)


@given(late_days(most=20))
def test_each_asked_copy_is_in_exactly_one_bucket(records: list[Record]) -> None:
    for need in derive(records, FACTS).needs.values():
        columns = (need.in_shop, need.on_truck, need.here, need.in_place, need.missing)
        assert sum(columns) == need.asked and min(*columns, need.over, need.doubt) >= 0
        assert 0 <= need.dropped <= need.here


@given(days(most=20), st.permutations(["S.1", "S.2", "S.3"]))
def test_alike_copies_are_interchangeable(records: list[Record], names: list[str]) -> None:
    new = dict(zip(["S.1", "S.2", "S.3"], names, strict=True))
    apart = [r for r in records if r.verb not in ("remake", "cancel_remake")]
    one, two = derive(apart, FACTS).needs, derive([renamed(r, new) for r in apart], FACTS).needs
    assert {k: replace(n, but=()) for k, n in one.items()} == {k: replace(n, but=()) for k, n in two.items()}


@given(days(most=20))
def test_a_piece_and_its_remake_are_never_both_counted(records: list[Record]) -> None:
    remake = ending(records, "remake", piece="S.1", fields={"child": "S.1.R1", "old": "maybe"})
    free = [r for r in records if r.verb != "cancel_remake"]
    answer = derive([*free, remake], FACTS)
    assert not answer.pieces["S.1"].good
    assert "REPLACED" in answer.pieces["S.1"].flags


@given(late_days(most=20))
def test_bad_pieces_satisfy_no_need_and_say_so(records: list[Record]) -> None:
    bad = {"SCRAP", "REPLACED", "OLD REV", "DAMAGED", "LOST", "SHORT"}
    for row in derive(records, FACTS).pieces.values():
        loud = [flag for flag in SHOUTED if flag in row.flags]
        assert row.word == loud[0] if loud else row.word not in SHOUTED
        assert not (row.good and bad.intersection(row.flags))


@given(days(most=20))
def test_a_newer_revision_asks_again(records: list[Record]) -> None:
    answer = derive([*records, ending(records, "supersede", run="K-07", fields={"rev": "C"})], FACTS)
    settled = {r.fields["rev"] for r in records if r.verb == "decide"} >= {"C"}
    for code in ("K.A.1", "K.B.1"):
        row = answer.pieces[code]
        quiet = row.dead or row.rank < CUT or row.account or {"SCRAP", "REPLACED"}.intersection(row.flags)
        assert quiet or settled or "decide_old_rev" in {line.code for line in row.lines}


@given(days(most=20))
def test_silent_while_no_metal_exists(records: list[Record]) -> None:
    for row in derive(records, FACTS).pieces.values():
        assert row.rank >= CUT or "decide_old_rev" not in {line.code for line in row.lines}


@given(days())
def test_a_swap_exchanges_the_metal_and_nothing_of_the_tag(records: list[Record]) -> None:
    swap = ending(records, "swap", piece="S.1", fields={"other": "B.1", "base": 9})
    before, told = derive(records, FACTS), derive([*records, swap], FACTS)
    assume(not before.pieces["S.1"].dead and not before.pieces["B.1"].dead)
    one, two = before.pieces["S.1"], before.pieces["B.1"]
    assert (metal(told.pieces["S.1"])[:7], metal(told.pieces["B.1"])[:7]) == (metal(two)[:7], metal(one)[:7])
    for row in (one, two):
        tag = ("run", "rev", "copy", "prints", "replaced_by")
        assert [getattr(row, n) for n in tag[:4]] == [getattr(told.pieces[row.key], n) for n in tag[:4]]


@given(days())
def test_a_swap_told_twice_is_one_and_swapped_back_is_none(records: list[Record]) -> None:
    apart = [r for r in records if r.verb != "swap"]
    swap = ending(apart, "swap", piece="S.1", fields={"other": "S.2", "base": 0})
    same = ending(apart, "swap", 1, piece="S.2", fields={"other": "S.1", "base": 0}, person="hand-1")
    back = ending(apart, "swap", 2, piece="S.1", fields={"other": "S.2", "base": 1})
    none, one, two = (derive([*apart, *also], FACTS) for also in ([], [swap], [swap, same]))
    undone = derive([*apart, swap, same, back], FACTS)
    assert {c: metal(r) for c, r in one.pieces.items()} == {c: metal(r) for c, r in two.pieces.items()}
    assert {c: metal(r) for c, r in none.pieces.items()} == {c: metal(r) for c, r in undone.pieces.items()}


words = st.sampled_from([*VERBS, "", "drop_table", "S.1", "B7", "K-07", "n0", "n1", "n9", "shop", "Tern/L2", "118"])
anything = st.none() | st.booleans() | st.integers() | st.floats() | words | st.lists(words, max_size=2)


@st.composite
def nonsense(draw: st.DrawFn) -> Record:
    at = DAY_0 + draw(st.integers(-(10**9), 10**9)) * MINUTE / 1000
    person, subject = draw(st.sampled_from(list(PEOPLE))), st.none() | words
    return Record(
        nonce=draw(st.sampled_from(["n0", "n1", "n2", "n3"])),
        verb=draw(words),
        person=person,
        role=draw(st.sampled_from([PEOPLE[person], "viewer", "king"])),
        device=person,
        seq=draw(st.integers(-9, 9)),
        done_at=at,
        sent_at=draw(st.sampled_from([at, DAY_0])),
        recorded_at=DAY_0,
        **{name: draw(subject) for name in ("piece", "box", "run", "batch", "record", "place")},
        names=tuple(draw(st.lists(words, max_size=3))),
        fields=draw(st.dictionaries(st.sampled_from(["into", "load", "names", "rev", "count", "of", "x"]), anything)),
    )


@given(st.lists(nonsense(), max_size=8), days(most=5))
def test_it_answers_whatever_is_thrown_at_it(thrown: list[Record], records: list[Record]) -> None:
    answer = derive([*thrown, *records], FACTS)
    assert answer.replies.keys() == {r.nonce for r in (*thrown, *records)}
    assert answer.pieces.keys() == FACTS.pieces.keys()


def test_names_in_a_circle_are_ignored_and_the_others_count() -> None:
    lines = ("09:00 foreman-1 in S.1 #in", "09:10 lead annul ^in,b #a", "09:20 lead annul ^a #b")
    answer = derive(records_of(*lines), FACTS)
    assert (answer.pieces["S.1"].rank, answer.replies["in"]) == (0, ("annulled",))


def test_a_day_of_forty_says_the_same_as_its_last_word() -> None:
    lines = [*made("S.1"), *(f"{6 + n % 12:02}:{n % 60:02} driver-1 seen S.1 @shop" for n in range(36))]
    assert after(*lines).pieces["S.1"].rank == LABELLED
