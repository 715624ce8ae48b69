"""A small shop for tests, and records as one says them: "06:00 driver-1 load B7 load=118 #lod ^c12"."""

from shop.work.derive import Answer, Box, Facts, Load, Piece, Place, Record, Run, derive
from shop.work.derive.scenario import DAY_0, time

PLACES = {
    "shop": "shop",
    "shop/rack": "rack",
    "scrap": "bin",
    "Tern": "job",
    "Tern/@gate": "drop",
    "Tern/L2": "level",
    "Tern/L2/@hoist": "drop",
    "Tern/L2/214": "room",
    "Tern/L2/214/N": "wall",
    "Tern/L3": "level",
    "Tern/L3/301": "room",
    "Quillet": "job",
    "Quillet/L1": "level",
}
PIECES = {
    "S.1": ("S-04", "A", 1),
    "S.2": ("S-04", "A", 2),
    "S.3": ("S-04", "A", 3),
    "S.1.R1": ("S-04", "A", 1),
    "K.A.1": ("K-07", "A", 1),
    "K.B.1": ("K-07", "B", 1),
    "K.C.1": ("K-07", "C", 1),
    "B.1": ("B-11", "A", 1),
}
ROLES = ("foreman", "installer", "lead", "hand", "driver", "office", "viewer")
SUBJECTS = {"S-04": "run", "K-07": "run", "B-11": "run", "H-9": "run", "B7": "box", "B8": "box", "C4": "box"}


def facts() -> Facts:
    """Three stubs of S-04, K-07 in three revisions, B-11, and H-9 whose one copy is two sticks."""
    runs = [Run("S-04", "Tern/L2/214", "stub", {"A": 3}), Run("K-07", "Tern/L2/214", "saddle", dict.fromkeys("ABC", 1))]
    runs += [Run("B-11", "Tern/L3/301", "stub", {"A": 1}), Run("H-9", "Tern/L2/214", "home run", {"A": 1}, (1, 2))]
    pieces = [Piece(key, *piece, batch="b1", since=DAY_0) for key, piece in PIECES.items()]
    pieces += [Piece(f"H.{part}", "H-9", "A", 1, part, skip=frozenset({"checked"}), since=DAY_0) for part in (1, 2)]
    return Facts.of(
        places=[Place(key, kind, key.rpartition("/")[0] or None) for key, kind in PLACES.items()],
        runs=runs,
        pieces=pieces,
        boxes=[Box("B7", "bundle", DAY_0), Box("B8", "bundle", DAY_0), Box("C4", "cart", DAY_0)],
        loads=[Load("118", DAY_0), Load("121", DAY_0)],
    )


FACTS = facts()
VALUES = {"true": True, "false": False}


def said(text: str, number: int = 1) -> Record:
    """A record from one line; day 1 is "1+06:00", a place @, a nonce #, names ^a,b, the rest the verb's fields."""
    clock, by, verb, *rest = text.split()
    marked = {mark: [word[1:] for word in rest if word[0] == mark] for mark in "@#^"}
    plain = [word for word in rest if word[0] not in "@#^"]
    subject = next((word for word in plain if "=" not in word), None)
    given = dict(word.split("=") for word in plain if "=" in word)
    fields = {
        key: VALUES.get(v, int(v) if v.isdigit() and key in ("count", "of", "base") else v) for key, v in given.items()
    }
    done = time(clock.replace("+", " "))
    came = time(str(fields.pop("came")).replace("+", " ")) if "came" in fields else done
    return Record(
        nonce=(marked["#"] or [f"r{number}"])[0],
        verb=verb,
        person=by,
        role=next(role for role in ROLES if by.startswith(role)),
        device=by,
        seq=number,
        done_at=done,
        sent_at=max(done, came),
        recorded_at=came,
        place=(marked["@"] or [None])[0],
        names=tuple(name for names in marked["^"] for name in names.split(",")),
        fields=fields,
        **({SUBJECTS.get(subject, "batch" if verb == "close_batch" else "piece"): subject} if subject else {}),
    )


def records_of(*lines: str) -> list[Record]:
    return [said(line, number) for number, line in enumerate(lines, 1)]


def after(*lines: str) -> Answer:
    """What is derived when all of this was said."""
    return derive(records_of(*lines), FACTS)


def made(code: str) -> tuple[str, ...]:
    """Cut, bent, checked and labelled in the early morning."""
    return (
        f"04:00 hand-2 cut {code} @shop",
        f"05:00 hand-1 bend {code} @shop",
        f"05:10 hand-1 check {code} result=pass @shop",
        f"05:20 hand-1 print {code} how=finish @shop/rack",
    )
