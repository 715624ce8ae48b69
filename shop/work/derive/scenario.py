"""Reads a file of scenarios (people, places, facts, records in short form) and says what is derived from each.

A time is `HH:MM` on day 0, `N HH:MM` on day N, or ISO. A record's nonce is r1, r2 … by position unless it is given, its
`seq` the position, its device the person's own. `came` (recorded) and `sent` follow `at` where they aren't given: a
record can't have been sent before it was done.
"""

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from shop.work.derive.answer import Answer, BoxAnswer, LoadAnswer, NeedAnswer, PieceAnswer
from shop.work.derive.derivation import derive, word_at
from shop.work.derive.facts import Box, Facts, Load, Piece, Place, Run
from shop.work.derive.lookup import look_up, resolve
from shop.work.derive.record import Record

DAY_0 = datetime(2001, 1, 1, tzinfo=UTC)
OWN = frozenset({"by", "at", "came", "sent", "nonce", "seq", "device", "verb", "place", "names"})
SUBJECTS = ("piece", "box", "run", "batch")


@dataclass(frozen=True, slots=True)
class Scenario:
    name: str
    facts: Facts
    records: tuple[Record, ...]
    expected: Mapping[str, Any]


def read(path: Path) -> list[Scenario]:
    """The scenarios of a file. Raises OSError, json.JSONDecodeError, KeyError or ValueError for what isn't one."""
    document = json.loads(path.read_text(encoding="utf-8"))
    return [_scenario(item, document) for item in document["scenarios"]]


def replay(path: Path) -> Iterator[str]:
    """One JSON line a scenario: its name and what was got, with exactly the keys that it expects."""
    for scenario in read(path):
        got = got_of(scenario, derive(scenario.records, scenario.facts))
        yield json.dumps({"name": scenario.name, "got": got}, ensure_ascii=False)


def _scenario(item: Mapping[str, Any], document: Mapping[str, Any]) -> Scenario:
    facts = _facts(item["facts"], document["places"])
    records = tuple(_record(short, number, document["people"]) for number, short in enumerate(item["records"], 1))
    return Scenario(item["name"], facts, records, item["expected"])


def time(text: str) -> datetime:
    """A short time as an aware one."""
    if "T" in text:
        found = datetime.fromisoformat(text)
        return found if found.tzinfo else found.replace(tzinfo=UTC)
    day, _, clock = text.rpartition(" ")
    hours, minutes = clock.split(":")
    return DAY_0 + timedelta(days=int(day or 0), hours=int(hours), minutes=int(minutes))


def _facts(facts: Mapping[str, Any], places: Mapping[str, str]) -> Facts:
    return Facts.of(
        places=[Place(path, kind, _parent(path, places)) for path, kind in places.items()],
        runs=[_run(key, run) for key, run in facts["runs"].items()],
        pieces=[_piece(key, piece) for key, piece in facts["pieces"].items()],
        boxes=[Box(key, box["kind"], _since(box)) for key, box in facts["boxes"].items()],
        loads=[Load(key, _since(load)) for key, load in facts["loads"].items()],
    )


def _parent(path: str, places: Mapping[str, str]) -> str | None:
    around = path.rpartition("/")[0]
    return around if around in places else None


def _since(item: Mapping[str, Any]) -> datetime:
    return time(item["since"]) if "since" in item else DAY_0


def _run(key: str, run: Mapping[str, Any]) -> Run:
    parts = run.get("parts", 1)
    numbers = tuple(range(1, parts + 1)) if isinstance(parts, int) else tuple(parts)
    return Run(key, run["place"], run["shape"], run["asked"], numbers, _since(run))


def _piece(key: str, piece: Mapping[str, Any]) -> Piece:
    return Piece(
        key,
        run=piece["run"],
        rev=piece["rev"],
        copy=piece["copy"],
        part=piece.get("part", 1),
        batch=piece.get("batch"),
        size=piece.get("size", ""),
        shape=piece.get("shape", ""),
        lengths=tuple(piece.get("lengths", ())),
        skip=frozenset(piece.get("skip", ())),
        since=_since(piece),
    )


def _record(short: Mapping[str, Any], number: int, people: Mapping[str, str]) -> Record:
    at = time(short["at"])
    came = time(short["came"]) if "came" in short else at
    names, by = tuple(short.get("names", ())), short["by"]
    annuls = names[0] if short["verb"] == "annul" and names else None
    return Record(
        nonce=short.get("nonce", f"r{number}"),
        verb=short["verb"],
        person=by,
        role=short.get("role", people.get(by, "")),
        device=short.get("device", by),
        seq=short.get("seq", number),
        done_at=at,
        sent_at=time(short["sent"]) if "sent" in short else max(at, came),
        recorded_at=came,
        place=short.get("place"),
        names=names,
        record=annuls,
        fields={key: value for key, value in short.items() if key not in OWN and key not in SUBJECTS},
        **{key: short[key] for key in SUBJECTS if key in short},
    )


# what is got, in the file's words


def got_of(scenario: Scenario, answer: Answer) -> dict[str, Any]:
    """What is derived, under exactly the keys that the scenario expects."""
    return {key: READERS[key](asked, answer, scenario) for key, asked in scenario.expected.items()}


def _rows(asked: Mapping[str, Any], rows: Mapping[str, Any], field: Callable[[Any, str, Any], Any]) -> dict[str, Any]:
    return {key: {name: field(rows[key], name, want) for name, want in wants.items()} for key, wants in asked.items()}


def _pieces(asked: Mapping[str, Any], answer: Answer, _: Scenario) -> dict[str, Any]:
    persons = {line[2]: line.to for line in answer.lines if not line.role}

    def field(row: PieceAnswer, name: str, want: Any) -> Any:
        if name == "lines":
            told = [(note.code, persons.get(note.record), note.record) for note in row.notes if note.listed]
            return [list(line) for line in (*(line[:3] for line in row.lines), *told)]
        return _plain(getattr(row, name), want)

    return _rows(asked, answer.pieces, field)


def _boxes(asked: Mapping[str, Any], answer: Answer, _: Scenario) -> dict[str, Any]:
    def field(row: BoxAnswer, name: str, want: Any) -> Any:
        return list(row.gone) if name == "gone" else _plain(getattr(row, name), want)

    return _rows(asked, answer.boxes, field)


def _needs(asked: Mapping[str, Any], answer: Answer, _: Scenario) -> dict[str, Any]:
    def field(row: NeedAnswer, name: str, want: Any) -> Any:
        return _plain(row.in_place if name == "in" else getattr(row, name), want)

    return _rows(asked, answer.needs, field)


def _loads(asked: Mapping[str, Any], answer: Answer, _: Scenario) -> dict[str, Any]:
    def field(row: LoadAnswer, name: str, want: Any) -> Any:
        return {key: row.lines.get(key) for key in want} if name == "lines" else _plain(getattr(row, name), want)

    return _rows(asked, answer.loads, field)


def _batches(asked: Mapping[str, Any], answer: Answer, _: Scenario) -> dict[str, Any]:
    return _rows(asked, answer.batches, lambda row, name, want: _plain(getattr(row, name), want))


def _assemblies(asked: Mapping[str, Any], answer: Answer, _: Scenario) -> dict[str, Any]:
    return {key: answer.assemblies.get(_tag_and_copy(key)) for key in asked}


def _tag_and_copy(text: str) -> tuple[str, int]:
    tag, _, copy = text.rpartition("#")
    return tag, int(copy)


def _resolve(asked: Mapping[str, Any], answer: Answer, _: Scenario) -> dict[str, Any]:
    return {key: list(resolve(*_tag_and_copy(key), answer.pieces.values())) for key in asked}


def _look_up(asked: list[dict[str, Any]], _: Answer, scenario: Scenario) -> list[dict[str, Any]]:
    return [
        item | {"found": list(look_up(scenario.facts, item["size"], item["shape"], item["lengths"]))} for item in asked
    ]


def _words(asked: Mapping[str, Any], _: Answer, scenario: Scenario) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key in asked:
        code, _at, place = key.partition(" @ ")
        found[key] = word_at(code, place, scenario.records, scenario.facts)
    return found


def _lists(asked: Mapping[str, Any], answer: Answer, _: Scenario) -> dict[str, Any]:
    return {key: list(answer.listed(key)) for key in asked}


def _replies(asked: Mapping[str, Any], answer: Answer, _: Scenario) -> dict[str, Any]:
    return {key: list(answer.replies[key]) for key in asked}


def _plain(value: Any, want: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(item, None) for item in value]
    if isinstance(value, Mapping):
        return {key: value.get(key) for key in want} if isinstance(want, Mapping) else dict(value)
    return value


READERS: dict[str, Callable[[Any, Answer, Scenario], Any]] = {
    "pieces": _pieces,
    "boxes": _boxes,
    "needs": _needs,
    "loads": _loads,
    "batches": _batches,
    "assemblies": _assemblies,
    "replies": _replies,
    "lists": _lists,
    "words": _words,
    "resolve": _resolve,
    "look_up": _look_up,
}
