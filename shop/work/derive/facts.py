"""What is frozen before any record is made: places, runs, pieces, boxes, loads. Keys are strings, the caller's own."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from shop.work.derive.vocabulary import SHOP_KINDS, SITE_KINDS, TRUCK_KIND, rev_rank

TRUCK_PREFIX = "load/"


@dataclass(frozen=True, slots=True)
class Place:
    """One place of the tree. `kind`: one of `vocabulary.PLACE_KINDS`. A drop point serves its parent."""

    key: str
    kind: str
    parent: str | None = None
    since: datetime | None = None


@dataclass(frozen=True, slots=True)
class Run:
    """A need: one run at its place. `asked`: copies per revision. `parts`: the sticks that one copy is made of."""

    key: str
    place: str
    shape: str
    asked: Mapping[str, int]
    parts: tuple[int, ...] = (1,)
    since: datetime | None = None

    def __post_init__(self) -> None:
        if not self.parts:
            raise ValueError(f"run {self.key} has no parts: a copy is made of one stick at least")

    @property
    def first(self) -> str:
        return min(self.asked, key=rev_rank, default="A")

    def quantity(self, rev: str) -> int:
        """Copies asked of a revision; of one that says nothing, what the one before it asked."""
        known = [r for r in self.asked if rev_rank(r) <= rev_rank(rev)]
        return self.asked[max(known, key=rev_rank)] if known else 0


@dataclass(frozen=True, slots=True)
class Piece:
    """One bent stick as it was released. `skip`: the steps that don't apply. `lengths` in inches."""

    key: str
    run: str
    rev: str
    copy: int
    part: int = 1
    batch: str | None = None
    size: str = ""
    shape: str = ""
    lengths: tuple[float, ...] = ()
    skip: frozenset[str] = frozenset()
    since: datetime | None = None


@dataclass(frozen=True, slots=True)
class Box:
    """A bundle, bag or cart. `kind`: one of `vocabulary.BOX_KINDS`."""

    key: str
    kind: str
    since: datetime | None = None


@dataclass(frozen=True, slots=True)
class Load:
    """A truck's trip. Its place is `truck_place(key)`."""

    key: str
    since: datetime | None = None


@dataclass(frozen=True, slots=True)
class Facts:
    """All that is frozen, by key. Build it with `Facts.of`. For a few pieces: what their records mention is enough."""

    places: Mapping[str, Place] = field(default_factory=dict)
    runs: Mapping[str, Run] = field(default_factory=dict)
    pieces: Mapping[str, Piece] = field(default_factory=dict)
    boxes: Mapping[str, Box] = field(default_factory=dict)
    loads: Mapping[str, Load] = field(default_factory=dict)

    @classmethod
    def of(
        cls,
        *,
        places: Iterable[Place] = (),
        runs: Iterable[Run] = (),
        pieces: Iterable[Piece] = (),
        boxes: Iterable[Box] = (),
        loads: Iterable[Load] = (),
    ) -> "Facts":
        return cls(
            {place.key: place for place in places},
            {run.key: run for run in runs},
            {piece.key: piece for piece in pieces},
            {box.key: box for box in boxes},
            {load.key: load for load in loads},
        )

    def knows_place(self, key: str) -> bool:
        return key in self.places or load_of(key) in self.loads

    def kind(self, key: str | None) -> str:
        """The kind of a place; "" where the place is unknown."""
        if key is None:
            return ""
        if key in self.places:
            return self.places[key].kind
        return TRUCK_KIND if load_of(key) is not None else ""

    def in_shop(self, key: str | None) -> bool:
        return self.kind(key) in SHOP_KINDS

    def on_site(self, key: str | None) -> bool:
        return self.kind(key) in SITE_KINDS

    def on_truck(self, key: str | None) -> bool:
        return self.kind(key) == TRUCK_KIND

    def upward(self, key: str | None) -> Iterator[str]:
        """The place and everything that it lies in, innermost first."""
        seen: set[str] = set()
        while key is not None and key not in seen:
            yield key
            seen.add(key)
            key = self.places[key].parent if key in self.places else None

    def root(self, key: str | None) -> str | None:
        return next(reversed(list(self.upward(key))), None)

    def served(self, key: str) -> str:
        """What a place is good for: a drop point serves its parent, any other place itself."""
        place = self.places.get(key)
        return place.parent or key if place is not None and place.kind == "drop" else key

    def around(self, key: str, wanted: str | None) -> bool:
        """Whether a place is in the wanted one or around it."""
        if wanted is None:
            return True
        return wanted in self.upward(key) or self.served(key) in self.upward(wanted)

    def wanted(self, piece: str) -> str | None:
        """The place of a piece's need."""
        run = self.runs.get(self.pieces[piece].run) if piece in self.pieces else None
        return run.place if run else None

    def first_of(self, kind: str) -> str | None:
        """The first place of a kind: the shop itself, the scrap bin."""
        return next((key for key, place in self.places.items() if place.kind == kind), None)


def truck_place(load: str) -> str:
    return TRUCK_PREFIX + load


def load_of(place: str | None) -> str | None:
    """The load whose truck a place is, if it is one."""
    if place is None or not place.startswith(TRUCK_PREFIX):
        return None
    return place.removeprefix(TRUCK_PREFIX)
