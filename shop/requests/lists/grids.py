"""A grid of like pieces: what is the same for all is said once, then a row for each with its tag and its lengths."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from shop.jobs.models import Job, Person
from shop.requests import queries
from shop.requests.builder import clean
from shop.requests.lists import columns
from shop.requests.lists.cells import Cells
from shop.requests.lists.columns import Column
from shop.requests.lists.forms import UsualForm
from shop.requests.rows import ROWS, Entry
from shop.requests.shapes import BY_KEY, Shape

# Said of one run only, or usual.
NOT_COMMON = ("name", "after", "measured")
FIRST_ROWS, MORE_ROWS, MOST_ROWS = 6, 6, 120


@dataclass(frozen=True)
class Common:
    """One thing that is the same for all rows: its column, its field and what was said."""

    column: Column
    entry: Entry
    name: str
    value: str


@dataclass(frozen=True)
class Line:
    """One row of the grid: names and texts of its fields, in the order of the columns."""

    number: int
    cells: tuple[tuple[str, str, str], ...]


class Grid:
    """A grid as it was posted, or a fresh one whose tags count up from what this person asked for last."""

    def __init__(self, data: Mapping[str, Any] | None, *, person: Person, job: Job | None, shape: str) -> None:
        self.data, self.person, self.job = data or {}, person, job
        self.shape: Shape = BY_KEY.get(shape, BY_KEY["stub"])
        self.form = UsualForm(data, person=person, job=job, initial=self._last())

    def _last(self) -> dict[str, Any]:
        last = queries.last_revision(self.person, self.job)
        return {"job": self.job and self.job.pk} | (
            {"place": last.run.place.full_name, "conduit": f"{last.size} {last.raceway}", "cost_code": last.cost_code}
            if last
            else {}
        )

    @cached_property
    def entries(self) -> list[tuple[Column, Entry]]:
        found = []
        for column in columns.of_shape(self.shape):
            kinds = ROWS[self.shape.rows[column.row].kind].entries
            found.append((column, next(entry for entry in kinds if entry.name == column.field)))
        return found

    @cached_property
    def lengths(self) -> list[tuple[Column, Entry]]:
        """What differs from row to row: the lengths that a man must measure."""
        return [(column, entry) for column, entry in self.entries if entry.sort == "length" and entry.needed]

    @property
    def common(self) -> list[Common]:
        """What every row shares: ends, turns and angles; what folds away elsewhere isn't asked for here."""
        return [
            Common(column, entry, _name(column), self._common_text(column))
            for column, entry in self.entries
            if (column, entry) not in self.lengths
            and not entry.more
            and entry.name not in ("name", "after", "measured")
        ]

    def _common_text(self, column: Column) -> str:
        first = self.shape.rows[column.row][column.field]
        return clean(self.data.get(_name(column), first))

    @property
    def count(self) -> int:
        typed = str(self.data.get("count", ""))
        count = int(typed[:4]) if typed.isascii() and typed.isdigit() else FIRST_ROWS
        return min(MOST_ROWS, count + (MORE_ROWS if self.data.get("do") == "more" else 0))

    @property
    def headings(self) -> tuple[str, ...]:
        return (columns.HEAD["tag"], columns.HEAD["quantity"], *(column.name for column, _ in self.lengths))

    @cached_property
    def lines(self) -> list[Line]:
        return [self._line(number) for number in range(self.count)]

    def _line(self, number: int) -> Line:
        names = ["tag", "qty", *(_name(column) for column, _ in self.lengths)]
        texts = [clean(self.data.get(f"g{number}-{name}", "")) for name in names]
        if not self.data and number == 0:
            texts[0] = queries.last_asked(self.person, self.job).get("tag", "")
        return Line(number, tuple(zip((f"g{number}-{name}" for name in names), texts, self.headings, strict=True)))

    @property
    def filled(self) -> Cells:
        """The rows in which a length stands; a tag left empty counts up from the one above it."""
        rows, numbers, tag = [], [], ""
        for line in self.lines:
            texts = [text for _, text, _ in line.cells]
            if not any(texts[2:]):
                continue
            tag = texts[0] or counted_up(tag)
            rows.append((tag, texts[1] or "1", *texts[2:]))
            numbers.append(line.number + 1)
        return Cells(self.headings, tuple(rows), tuple(numbers))

    @property
    def usual(self) -> dict[str, str]:
        """What each row takes beside its own cells."""
        said = {one.column.name: one.value for one in self.common if one.value}
        return {**said, **self.form.usual, "shape": self.shape.key}


def _name(column: Column) -> str:
    return f"c{column.row}-{column.field}"


def counted_up(tag: str) -> str:
    """S-05 after S-04; empty where the tag has no number."""
    found = queries.LAST_NUMBER.fullmatch(tag)
    return f"{found[1]}{int(found[2]) + 1:0{len(found[2])}d}{found[3]}" if found else ""
