"""What somebody says about a piece, a run or another record, before it is stored: read, cleaned, checked."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from shop.jobs.models import Person, Place
from shop.requests.drafts import can_be_kept
from shop.requests.models import Run
from shop.work import derive
from shop.work.facts import BOX_KIND, place_fact
from shop.work.models import Piece
from shop.work.store import piece_key, place_key, run_key

OWN_SERVICE = frozenset({"release", "supersede", "remake"})
SERVERS_OWN = "server-"
LONGEST_KEY = 64
LONGEST_LOAD = 30
LONGEST_REASON = 300
MOST_NAMES = 50
LARGEST_SEQ = 2**63
YEARS = range(1900, 2201)
# Anything below may be shown to its maker for as long as the shop keeps it.
WORDS = {
    "own_service": "This is said on a page of its own, not by a scan.",
    "bad_nonce": "What makes this happen once is missing; load the page again.",
    "bad_value": "This can't be read; type it again.",
    "text_too_long": "That is too long.",
    "bad_time": "The device's clock gives no time that can be kept.",
    "role_not_allowed": "This isn't yours to say; ask the shop lead.",
    "one_subject": "Say it about one piece.",
    "wrong_subject": "This can't be said about that.",
    "unknown_verb": "The shop doesn't know this word.",
    "unknown_piece": "There is no such piece.",
    "unknown_run": "There is no such run.",
    "unknown_place": "There is no such place.",
    "unknown_load": "There is no such load.",
    "unknown_box": "There is no such bundle.",
    "unknown_rev": "There is no such revision.",
    "unknown_record": "There is no such record.",
    "unknown_field": "Something was sent that doesn't belong here.",
    "missing_field": "Something is missing.",
    "missing_place": "Say where.",
    "missing_names": "Say what it answers.",
}


@dataclass(frozen=True, kw_only=True)
class Said:
    """One thing said; exactly one of `piece`, `run`, `annuls` (a nonce). Times default to the server's.

    `fields`: the verb's own. `load` and `into` (a bundle) are texts; other pieces stand in `others` under `child`,
    `other` or `into`, a run for `need` too. `names`: the nonces that it answers.
    """

    verb: str
    actor: Person
    nonce: str
    piece: Piece | None = None
    run: Run | None = None
    annuls: str = ""
    device: str = "server"
    seq: int = 0
    done_at: datetime | None = None
    sent_at: datetime | None = None
    place: Place | None = None
    names: Sequence[str] = ()
    reason: str = ""
    fields: Mapping[str, Any] = field(default_factory=dict)
    others: Mapping[str, Piece | Run] = field(default_factory=dict)

    def record(self, now: datetime) -> derive.Record:
        """As the derivation reads it, with the time of storing it."""
        return derive.Record(
            nonce=self.nonce,
            verb=self.verb,
            person=str(self.actor.pk),
            role=str(self.actor.role),
            device=self.device,
            seq=self.seq,
            done_at=self.done_at or now,
            sent_at=self.sent_at or now,
            recorded_at=now,
            piece=piece_key(self.piece.pk) if self.piece else None,
            run=run_key(self.run.pk) if self.run else None,
            record=self.annuls or None,
            place=place_key(self.place.pk) if self.place else None,
            names=tuple(dict.fromkeys(self.names)),
            fields={**{name: _tidy(value) for name, value in self.fields.items()}, **self._others()},
        )

    def _others(self) -> dict[str, str]:
        return {word: piece_key(o.pk) if isinstance(o, Piece) else run_key(o.pk) for word, o in self.others.items()}


def _tidy(value: Any) -> Any:
    return value.strip() if isinstance(value, str) else value


def facts_for(said: Said) -> derive.Facts:
    """What a refusal may look at: the things that it mentions, which are there, and nothing about them."""
    pieces = [one for one in (said.piece, *said.others.values()) if isinstance(one, Piece)]
    runs = [one for one in (said.run, *said.others.values()) if isinstance(one, Run)]
    texts = {name: _tidy(said.fields[name]) for name in ("load", "into") if isinstance(said.fields.get(name), str)}
    return derive.Facts.of(
        places=[place_fact(said.place)] if said.place else [],
        runs=[derive.Run(run_key(run.pk), place_key(run.place_id), "", {}) for run in runs],
        pieces=[_bare(piece) for piece in pieces],
        boxes=[derive.Box(texts["into"], BOX_KIND)] if texts.get("into") else [],
        loads=[derive.Load(texts["load"])] if texts.get("load") else [],
    )


def _bare(piece: Piece) -> derive.Piece:
    return derive.Piece(piece_key(piece.pk), run_key(piece.run_id), "", piece.copy, since=piece.made_at)


def problems(said: Said, now: datetime, own: bool) -> tuple[derive.Problem, ...]:
    """Why it is refused, by itself alone; none if it is to be taken. `own`: a service says it."""
    if unkept := _unkept(said):
        return (unkept,)
    if not own and (said.verb in OWN_SERVICE or said.annuls.startswith(SERVERS_OWN)):
        return (derive.Problem("own_service", said.verb),)
    return derive.problems(said.record(now), facts_for(said))


def bad_nonce(said: Said, own: bool) -> bool:
    """Whether it can't be kept at all, not even as refused."""
    fits = isinstance(said.nonce, str) and 0 < len(said.nonce) <= LONGEST_KEY and can_be_kept(said.nonce)
    return not fits or (not own and said.nonce.startswith(SERVERS_OWN))


def _unkept(said: Said) -> derive.Problem | None:
    """The first thing that no table could hold."""
    names = [*said.names, *([said.annuls] if said.annuls else [])]
    tests = (
        (0 < len(said.device) <= LONGEST_KEY and can_be_kept(said.device), "bad_value", "device"),
        (0 <= said.seq < LARGEST_SEQ, "bad_value", "seq"),
        (len(said.reason) <= LONGEST_REASON, "text_too_long", "reason"),
        (can_be_kept(said.reason), "bad_value", "reason"),
        (len(names) <= MOST_NAMES and all(map(_is_name, names)), "bad_value", "names"),
        (can_be_kept(dict(said.fields)) and len(repr(said.fields)) <= 4000, "bad_value", "fields"),
        (all(_is_label(said.fields.get(name)) for name in ("load", "into")), "bad_value", "load"),
        (_is_time(said.done_at) and _is_time(said.sent_at), "bad_time", "done_at"),
    )
    return next((derive.Problem(code, about) for fine, code, about in tests if not fine), None)


def _is_name(nonce: Any) -> bool:
    return isinstance(nonce, str) and 0 < len(nonce) <= LONGEST_KEY and can_be_kept(nonce)


def _is_label(text: Any) -> bool:
    return not isinstance(text, str) or len(text.strip()) <= LONGEST_LOAD


def _is_time(moment: datetime | None) -> bool:
    """Aware, and in a year that every database can hold in any zone."""
    if moment is None:
        return True
    return moment.tzinfo is not None and moment.year in YEARS and moment.astimezone(UTC).year in YEARS


def as_json(said: Said) -> dict[str, Any]:
    """What was said, for keeping it as refused; what can't be kept is kept as Python writes it."""
    told = {
        "verb": said.verb,
        "run": said.run.pk if said.run else None,
        "annuls": said.annuls,
        "place": said.place.pk if said.place else None,
        "device": said.device,
        "seq": said.seq,
        "done_at": said.done_at.isoformat() if said.done_at else None,
        "sent_at": said.sent_at.isoformat() if said.sent_at else None,
        "names": list(said.names),
        "reason": said.reason,
        "fields": dict(said.fields),
        "others": {word: other.pk for word, other in said.others.items()},
    }
    return {name: value if can_be_kept(value) else ascii(value)[:1000] for name, value in told.items()}
