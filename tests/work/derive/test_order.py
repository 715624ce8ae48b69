"""Properties of the one order: what arrival, repeats and clocks can and can't change."""

import random
from dataclasses import replace
from datetime import timedelta

from hypothesis import strategies as st

from shop.work.derive import Log, MemoryStore, Record, derive, derive_pieces, neighbourhood, problems, stored_time
from shop.work.derive.scenario import DAY_0
from shop.work.derive.vocabulary import CUT
from tests.work.derive.floor import FACTS, records_of
from tests.work.derive.keeper import Keeper, facts_of
from tests.work.derive.strategies import MINUTE, PEOPLE, days, ending, given, late_days

FORWARD = ("cut", "bend", "label", "load", "drop", "receive", "in")


@given(late_days(), st.randoms(use_true_random=False))
def test_any_order_of_arrival_gives_one_answer(records: list[Record], order: random.Random) -> None:
    shuffled = order.sample(records, len(records))
    assert derive(shuffled, FACTS) == derive(records, FACTS)


@given(late_days(), st.randoms(use_true_random=False))
def test_sending_again_changes_nothing(records: list[Record], order: random.Random) -> None:
    again = [replace(r, sent_at=r.sent_at + MINUTE, recorded_at=r.recorded_at + MINUTE) for r in records]
    assert derive(order.sample(records + again, 2 * len(records)), FACTS) == derive(records, FACTS)


@given(late_days(), st.randoms(use_true_random=False))
def test_kept_up_to_date_equals_from_scratch_after_every_record(records: list[Record], order: random.Random) -> None:
    keeper, shuffled = Keeper(FACTS), order.sample(records, len(records))
    for number, record in enumerate(shuffled, 1):
        keeper.add(record)
        whole = derive(shuffled[:number], FACTS)
        assert (keeper.pieces, keeper.boxes) == (whole.pieces, whole.boxes)


@given(late_days())
def test_a_queue_sent_at_once_equals_from_scratch(records: list[Record]) -> None:
    keeper, whole = Keeper(FACTS), derive(records, FACTS)
    keeper.add(*records)
    assert (keeper.pieces, keeper.boxes) == (whole.pieces, whole.boxes)


@given(days(), st.data())
def test_when_it_arrived_does_not_matter_while_clocks_are_possible(records: list[Record], data: st.DataObject) -> None:
    late = data.draw(st.lists(st.integers(0, 5000), min_size=len(records), max_size=len(records)))
    came = [r.done_at + n * MINUTE for r, n in zip(records, late, strict=True)]
    later = [replace(r, sent_at=at, recorded_at=at) for r, at in zip(records, came, strict=True)]
    assert derive(later, FACTS) == derive(records, FACTS)


@given(late_days())
def test_nothing_sorts_before_what_it_names(records: list[Record]) -> None:
    log = Log(records, FACTS)
    for nonce, named in log.names.items():
        assert all(log.keys[other] < log.keys[nonce] for other in named if other in log.keys)


@given(late_days(), st.sampled_from(list(FACTS.pieces)))
def test_every_neighbourhood_sees_the_same_order(records: list[Record], code: str) -> None:
    whole = Log(records, FACTS)
    part = Log(neighbourhood([code], MemoryStore(FACTS, records), FACTS).records, FACTS)
    assert part.keys == {nonce: whole.keys[nonce] for nonce in part.keys}
    assert part.struck == whole.struck & part.keys.keys()


@given(late_days(), st.sampled_from(list(FACTS.pieces)))
def test_a_piece_needs_no_records_but_its_neighbourhood(records: list[Record], code: str) -> None:
    reach = neighbourhood([code], MemoryStore(FACTS, records), FACTS)
    rows = derive_pieces([code], reach.records, facts_of(reach, FACTS))
    assert rows[code] == derive(records, FACTS).pieces[code]


@given(days(verbs=FORWARD))
def test_a_device_keeps_its_own_order_at_one_instant(records: list[Record]) -> None:
    at_once = [replace(r, done_at=DAY_0, sent_at=DAY_0, recorded_at=DAY_0) for r in records]
    for person in PEOPLE:
        said = [r.seq for r in Log(at_once, FACTS).ordered if r.device == person]
        assert said == sorted(said)


@given(days(), st.sampled_from(list(PEOPLE)), st.integers(-400000, 400000))
def test_a_wrong_clock_known_at_sending_is_put_right(records: list[Record], person: str, off: int) -> None:
    by = [r for r in records if r.person == person]
    wrong = {r.nonce: replace(r, done_at=r.done_at + off * MINUTE, sent_at=r.sent_at + off * MINUTE) for r in by}
    told = derive([wrong.get(r.nonce, r) for r in records], FACTS) if abs(off) > 5 else derive(records, FACTS)
    assert told.pieces == derive(records, FACTS).pieces


@given(days(verbs=FORWARD), st.data())
def test_forward_words_are_deaf_to_clocks(records: list[Record], data: st.DataObject) -> None:
    singly = [replace(r, fields={**r.fields, "load": "118"} if r.verb == "load" else {}) for r in records if r.piece]
    singly = [replace(r, fields={"load": "118"} if r.verb == "load" else {}) for r in singly]
    times = data.draw(st.lists(st.integers(0, 999), min_size=len(singly), max_size=len(singly)))
    moved = [_done(r, DAY_0 + n * MINUTE) for r, n in zip(singly, times, strict=True)]
    one, two = derive(singly, FACTS).pieces, derive(moved, FACTS).pieces
    assert {c: (r.step, r.not_seen) for c, r in one.items()} == {c: (r.step, r.not_seen) for c, r in two.items()}


def _done(record: Record, at: object) -> Record:
    return replace(record, done_at=at, sent_at=at, recorded_at=at)


@given(late_days(), st.integers(-3000, 3000))
def test_at_is_the_phones_time_or_the_servers(records: list[Record], off: int) -> None:
    for record in (replace(r, done_at=r.done_at + off * MINUTE) for r in records):
        skew = record.recorded_at - record.sent_at
        phones = record.done_at + (skew if abs(skew) > 5 * MINUTE else timedelta())
        at, phone_clock = stored_time(record, FACTS)
        assert at in (phones, record.recorded_at)
        assert phone_clock == (at != phones or abs(skew) > 5 * MINUTE)


def test_the_times_of_the_law() -> None:
    """Skew beyond five minutes is put right; the impossible future and past are the server's time."""
    on_time, fast, ahead, before = records_of(
        "06:14 driver-1 seen S.1 @shop",
        "08:14 driver-1 seen S.1 @shop came=06:14",
        "08:14 driver-1 seen S.1 @shop",
        "0+00:00 driver-1 seen S.1 @shop came=07:00",
    )
    ahead = replace(ahead, sent_at=ahead.recorded_at, done_at=ahead.done_at + 6 * MINUTE)
    before = replace(before, done_at=DAY_0 - 6 * MINUTE)
    assert stored_time(on_time, FACTS) == (on_time.done_at, False)
    assert stored_time(fast, FACTS) == (fast.recorded_at, True)
    assert stored_time(ahead, FACTS) == (ahead.recorded_at, True)
    assert stored_time(before, FACTS) == (before.recorded_at, True)


def struck_out(records: list[Record], number: int) -> tuple[list[Record], Record] | None:
    """The set without one record that nobody names, and that record."""
    if not records:
        return None
    chosen = records[number % len(records)]
    named = any(chosen.nonce in r.names for r in records) or chosen.verb == "release"
    return None if named else ([r for r in records if r is not chosen], chosen)


@given(days(), st.integers(0, 99))
def test_annulled_by_the_lead_is_as_never_made(records: list[Record], number: int) -> None:
    found = struck_out(records, number)
    if found:
        annul = ending(records, "annul", names=(found[1].nonce,))
        told, never = derive([*records, annul], FACTS), derive(found[0], FACTS)
        assert (told.pieces, told.boxes, told.needs) == (never.pieces, never.boxes, never.needs)


@given(days(), st.integers(0, 99))
def test_annul_annulled_is_as_never_made(records: list[Record], number: int) -> None:
    found = struck_out(records, number)
    if found:
        first = ending(records, "annul", names=(found[1].nonce,))
        second = ending(records, "annul", 1, names=(first.nonce,))
        told, never = derive([*records, second, first], FACTS), derive(records, FACTS)
        assert (told.pieces, told.boxes, told.needs) == (never.pieces, never.boxes, never.needs)


@given(days(), st.integers(0, 99), st.sampled_from(list(PEOPLE)), st.integers(0, 3000))
def test_annul_by_its_maker_within_a_day_or_by_the_lead_only(
    records: list[Record], number: int, person: str, late: int
) -> None:
    found = struck_out(records, number)
    if found:
        at = found[1].done_at + late * MINUTE
        annul = _done(ending(records, "annul", names=(found[1].nonce,), person=person), at)
        may = person == "lead-1" or (person == found[1].person and late <= 24 * 60)
        told = derive([*records, annul], FACTS)
        assert (told.replies[found[1].nonce] == ("annulled",)) == (may and not problems(found[1], FACTS))
        assert may or problems(found[1], FACTS) or told.replies[annul.nonce] == ("ask_lead",)


@given(late_days())
def test_a_refusal_looks_at_the_record_alone(records: list[Record]) -> None:
    for record in records:
        alone = derive([record], FACTS).replies[record.nonce] == ("refused",)
        among = derive(records, FACTS).replies[record.nonce] == ("refused",)
        assert alone == among == bool(problems(record, FACTS))


def test_a_late_cut_is_metal() -> None:
    lines = records_of("07:00 lead supersede K-07 rev=B", "06:50 hand-2 cut K.A.1 came=09:00")
    assert derive(lines, FACTS).pieces["K.A.1"].rank == CUT
