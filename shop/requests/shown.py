"""What the builder's page shows of each row: its words, its fields with what was typed, and what is wrong beside it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.conf import settings

from bending.lengths import LengthError, format_length, parse_length
from shop.requests.builder import Placed, placed
from shop.requests.doubts import Doubt
from shop.requests.forms import AskForm, seal
from shop.requests.offers import Offer
from shop.requests.rows import FEATURES, ROWS, Entry, Picks, Row, new_row
from shop.requests.words import on_tape, row_detail, row_words

MOST_CHIPS = 5


@dataclass(frozen=True)
class FieldShown:
    """One input: `also` is the length in its other writing; `wrong` are the texts that stand under it;
    `doubt` asks whether the length is meant."""

    name: str
    words: str
    sort: str
    value: str
    picks: Picks
    hint: str
    needed: bool
    also: str
    wrong: tuple[str, ...]
    offers: tuple[Offer, ...]
    doubt: Doubt | None

    @property
    def chips(self) -> bool:
        """Few choices stand as keys in sight; many fold into a list."""
        return 0 < len(self.picks) <= MOST_CHIPS


@dataclass(frozen=True)
class RowShown:
    number: int
    name: str
    kind: str
    words: str
    detail: str
    hint: str
    sealed: str
    fields: tuple[FieldShown, ...]
    more: tuple[FieldShown, ...]
    wrong: tuple[str, ...]
    closes: int | None

    @property
    def can_go(self) -> bool:
        """A feature can be taken out, and a corner with the leg after it."""
        return self.kind == "corner" or self.kind in FEATURES

    @property
    def more_open(self) -> bool:
        return any(field.wrong or field.doubt for field in self.more)


@dataclass(frozen=True)
class _Found:
    """What is to be said beside the fields: texts by field or row, empty fields, keys that mend one, and doubts."""

    texts: Mapping[str, tuple[str, ...]]
    gaps: frozenset[str]
    offers: Mapping[str, tuple[Offer, ...]]
    doubts: Mapping[str, Doubt]


def rows_shown(form: AskForm, offers: Mapping[str, tuple[Offer, ...]]) -> tuple[RowShown, ...]:
    """`offers` are the keys that would mend something, by the field beside which they stand."""
    texts = {name: tuple(str(one["text"]) for one in problems) for name, problems in form.wrong.items()}
    gaps = frozenset(form.missing if form.told else ())
    found = _Found(texts, gaps, offers, {doubt.field: doubt for doubt in form.doubts})
    return tuple(_row(form.rows, one, found) for one in placed(form.rows))


def kit_shown() -> tuple[RowShown, ...]:
    """One empty row of every kind: what a page without a signal makes new rows from."""
    nothing = _Found({}, frozenset(), {}, {})
    return tuple(_row(rows, placed(rows)[0], nothing) for kind in ROWS for rows in [(new_row(kind),)])


def _row(rows: Sequence[Row], one: Placed, found: _Found) -> RowShown:
    kind = ROWS[one.row.kind]
    fields = [_field(one, entry, found) for entry in kind.entries]
    more = {entry.name for entry in kind.entries if entry.more}
    wrong = found.texts.get(one.name, ())
    return RowShown(
        number=one.number,
        name=one.name,
        kind=one.row.kind,
        words=row_words(rows, one.number),
        detail=row_detail(rows, one.number),
        hint=kind.hint,
        sealed=seal(one.row.kept),
        fields=tuple(field for field in fields if field.name.partition("-")[2] not in more),
        more=tuple(field for field in fields if field.name.partition("-")[2] in more),
        wrong=wrong,
        closes=_closes(rows, one.number),
    )


def _closes(rows: Sequence[Row], number: int) -> int | None:
    """The leg that ends with this row, for the keys that add to it; None inside a leg and elsewhere."""
    last = number + 1 >= len(rows) or rows[number + 1].kind not in FEATURES
    if not last or rows[number].kind not in ("leg", *FEATURES):
        return None
    return next((n for n in range(number, -1, -1) if rows[n].kind == "leg"), None)


def _field(one: Placed, entry: Entry, found: _Found) -> FieldShown:
    name, value = one.field(entry.name), one.row[entry.name]
    empty = ("Not filled in yet.",) if name in found.gaps else ()
    return FieldShown(
        name=name,
        words=entry.words,
        sort=entry.sort,
        value=value,
        picks=_picks(entry, value),
        hint=entry.hint,
        needed=entry.needed,
        also=other_writing(value) if entry.sort == "length" else "",
        wrong=(*empty, *found.texts.get(name, ())),
        offers=found.offers.get(name, ()),
        doubt=found.doubts.get(name),
    )


def _picks(entry: Entry, value: str) -> Picks:
    """What a document says beyond the offered words stays to be picked."""
    known = not entry.picks or not value or any(value == key for key, _ in entry.picks)
    return entry.picks if known else (*entry.picks, (value, value))


def other_writing(text: str) -> str:
    """A length that was typed in one writing in its other one: 5'-2 1/2" for 62½, 62 1/2" for 5' 2 1/2"."""
    try:
        inches = parse_length(text)
    except LengthError:
        return ""
    plain, feet = format_length(inches, settings.TAPE), format_length(inches, settings.TAPE, feet=True)
    other = plain if any(sign in text for sign in "'’′m") else feet
    about = "" if on_tape(text) is not None else "about "
    return f"{about}{other}".replace('"', "″").replace("'", "′") if about or plain != feet else ""
