"""What one row of a list asks for: its texts read into a draft, or what is wrong with them, by column."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from difflib import get_close_matches
from functools import cached_property
from typing import Any
from zoneinfo import ZoneInfo

from bending.lengths import format_length
from shop.jobs import clock
from shop.jobs.models import Job, Place, PlaceKind
from shop.jobs.refusals import Refusal
from shop.requests import bends, builder, drafts
from shop.requests.doubts import doubts
from shop.requests.drafts import RunDraft
from shop.requests.lists import columns
from shop.requests.lists.columns import Column
from shop.requests.models import Profile
from shop.requests.rows import ROWS, Entry, Row
from shop.requests.shapes import Shape

YES, NO = ("yes", "y", "x", "1", "true", "rush"), ("", "no", "n", "0", "false")
CLOCKS = ("%H:%M", "%I:%M %p", "%I %p", "%I%p", "%I:%M%p", "%H:%M:%S")


@dataclass(frozen=True)
class Wrong:
    """One thing that is wrong in a row: its column (empty: the row), a code, and words with what would be right."""

    column: str
    code: str
    text: str

    def as_json(self) -> dict[str, str]:
        return {"column": self.column, "code": self.code, "text": self.text}


@dataclass(frozen=True)
class Read:
    """A row that was read: the draft and its solution, or what is wrong. `doubts` ask whether lengths are meant."""

    draft: RunDraft | None = None
    solved: bends.Solved | None = None
    wrong: tuple[Wrong, ...] = ()
    doubts: tuple[str, ...] = ()


@dataclass
class Reading:
    """What every row of one list is read with: the job's places, the shop's profiles, what empty cells mean."""

    job: Job
    headings: tuple[str, ...]
    usual: Mapping[str, str]
    _profiles: dict[tuple[str, str], Profile | None] = field(default_factory=dict)
    _meanings: dict[str, dict[str, Column]] = field(default_factory=dict)

    @cached_property
    def places(self) -> dict[str, list[Place]]:
        """Places by their plain names: in full, without the job, and alone."""
        found: dict[str, list[Place]] = {}
        for place in Place.objects.filter(job=self.job, retired_at=None).exclude(kind=PlaceKind.JOB):
            names = {place.full_name, place.full_name.partition(", ")[2], place.name, place.code}
            for name in {columns.plain(name) for name in names} - {""}:
                found.setdefault(name, []).append(place)
        return found

    @cached_property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.job.time_zone)

    def profile(self, raceway: str, size: str) -> Profile | None:
        if (raceway, size) not in self._profiles:
            self._profiles[raceway, size] = bends.profile_for(raceway, size)
        return self._profiles[raceway, size]

    def meanings(self, shape: Shape) -> dict[str, Column]:
        if shape.key not in self._meanings:
            self._meanings[shape.key] = columns.fields_of(shape)
        return self._meanings[shape.key]

    def read(self, cells: list[str]) -> Read:
        return _Row(self, cells).read()


class _Row:
    """One row while it is read."""

    def __init__(self, reading: Reading, cells: list[str]) -> None:
        self.reading = reading
        self.texts = {columns.plain(name): text for name, text in zip(reading.headings, cells, strict=True)}
        self.written = dict(zip(map(columns.plain, reading.headings), reading.headings, strict=True))
        self.wrong: list[Wrong] = []
        self.head: dict[str, str] = {}

    def fault(self, column: str, code: str, text: str) -> None:
        self.wrong.append(Wrong(column, code, text))

    def read(self) -> Read:
        shape = self._shape()
        if shape is None:
            return Read(wrong=tuple(self.wrong))
        values = self._values(shape)
        draft = self._draft(shape, values)
        if draft is None or self.wrong:
            return Read(wrong=tuple(self.wrong))
        solved, rows = bends.solve(draft.document, draft.profile), builder.rows_of(draft.document)
        self._tell(rows, solved)
        return Read(wrong=tuple(self.wrong)) if self.wrong else Read(draft, solved, doubts=_doubts(rows))

    def _shape(self) -> Shape | None:
        """The picture that the row means; a row that brings its own document needs none."""
        free = columns.shape_named("free")
        if self.texts.get(columns.plain(columns.HEAD["document"])):
            return free
        text = self.texts.get("shape") or self.reading.usual.get("shape", "")
        shape = columns.shape_named(text) if text else None
        if shape is None:
            names = ", ".join(one.words for one in columns.SHAPES)
            self.fault("Shape", "unknown_shape", f"“{text}” is none of: {names}." if text else f"One of: {names}.")
        return shape

    def _values(self, shape: Shape) -> dict[tuple[int, str], str]:
        """Texts of the shape's rows, by row and entry; the head's go to `head`."""
        meanings, found = self.reading.meanings(shape), dict[tuple[int, str], str]()
        for name, text in self.texts.items():
            column = meanings.get(name)
            if column is None:
                if text:
                    self.fault(self.written[name], "not_of_this_shape", f"{shape.words} has no such number.")
            elif column.row >= 0:
                found[column.row, column.field] = text
            else:
                self.head[column.field] = self.head.get(column.field) or text
        return self._usual(meanings) | {at: text for at, text in found.items() if text}

    def _usual(self, meanings: Mapping[str, Column]) -> dict[tuple[int, str], str]:
        """What empty cells of the shape's rows mean."""
        said = [(meanings.get(columns.plain(name)), text) for name, text in self.reading.usual.items()]
        return {(one.row, one.field): text for one, text in said if one and one.row >= 0}

    def said(self, name: str) -> str:
        return self.head.get(name) or self.reading.usual.get(name, "")

    # The head

    def _draft(self, shape: Shape, values: Mapping[tuple[int, str], str]) -> RunDraft | None:
        place, drop = self._place("place", needed=True), self._place("drop", needed=False)
        raceway, size = self._conduit()
        quantity, needed = self._quantity(), self._needed()
        document = self._document(shape, values, raceway, size)
        if self.wrong or place is None or document is None:
            return None
        draft = RunDraft(
            place=place, tag=builder.clean(self.said("tag")), document=document, quantity=quantity,
            title=self.said("title"), profile=self.reading.profile(*drafts.conduit(document)), note=self.said("note"),
            needed_at=needed, drop=drop, rush=self._rush(), rush_reason=self.said("rush_reason"), three_d_yes=True,
            cost_code=self.said("cost_code"),
        )  # fmt: skip
        try:
            drafts.check(draft, self.reading.job)
            drafts.check_sendable(draft)
        except Refusal as refusal:
            field = {"no_tag": "tag", "rush_without_hour": "needed_hour", "rush_without_reason": "rush_reason"}
            self.fault(columns.HEAD.get(field.get(refusal.code, ""), ""), refusal.code, refusal.words)
        return draft

    def _place(self, name: str, needed: bool) -> Place | None:
        text = self.said(name)
        if not text:
            if needed:
                self.fault(columns.HEAD[name], "missing", "Where does it go? A room of the job is needed.")
            return None
        found = self.reading.places.get(columns.plain(text), [])
        if len(found) == 1:
            return found[0]
        if found:
            names = " or ".join(sorted(place.full_name for place in found)[:3])
            self.fault(columns.HEAD[name], "two_places", f"Which one: {names}?")
        else:
            near = get_close_matches(columns.plain(text), self.reading.places, n=1)
            hint = f" Is it {self.reading.places[near[0]][0].full_name}?" if near else ""
            self.fault(columns.HEAD[name], "unknown_place", f"There is no place “{text}” in this job.{hint}")
        return None

    def _conduit(self) -> tuple[str, str]:
        """`3/4 EMT` or `EMT 3/4`."""
        words = self.said("conduit").replace("″", "").replace('"', "").split()
        if self.texts.get(columns.plain(columns.HEAD["document"])):
            return "", ""
        for size, raceway in (words, words[::-1]) if len(words) == 2 else ():
            if self.reading.profile(raceway.upper(), size):
                return raceway.upper(), size
        said = f"“{' '.join(words)}”" if words else "Nothing"
        self.fault(columns.HEAD["conduit"], "no_bender", f"{said} isn't a conduit that the shop has a bender for.")
        return "", ""

    def _quantity(self) -> int:
        text = self.said("quantity") or "1"
        if text.isascii() and text.isdigit() and 1 <= int(text[:6]) <= drafts.MOST_COPIES:
            return int(text)
        self.fault(columns.HEAD["quantity"], "no_quantity", f"A whole number from 1 to {drafts.MOST_COPIES}.")
        return 1

    def _rush(self) -> bool:
        text = self.said("rush").casefold()
        if text not in (*YES, *NO):
            self.fault(columns.HEAD["rush"], "not_yes_or_no", "Yes or no.")
        return text in YES

    def _needed(self) -> datetime | None:
        """The job's wall clock."""
        day, _, hour = self.said("needed_day").partition(" ")
        hour = self.said("needed_hour") or hour
        if not day and not hour:
            return None
        found_day, found_hour = self._day(day), self._hour(hour)
        if found_day is None or found_hour is None:
            return None
        moment = clock.at_wall(datetime.combine(found_day, found_hour), self.reading.zone)
        if moment is None:
            self.fault(columns.HEAD["needed_hour"], "hour_skipped", "The clocks skip this hour.")
        return moment

    def _day(self, text: str) -> date | None:
        try:
            return date.fromisoformat(text)
        except ValueError:
            self.fault(columns.HEAD["needed_day"], "not_a_day", "Write the day as 2027-03-31.")
            return None

    def _hour(self, text: str) -> time | None:
        for form in CLOCKS:
            try:
                return datetime.strptime(text.strip(), form).time()
            except ValueError:
                continue
        self.fault(columns.HEAD["needed_hour"], "not_an_hour", "Write the hour as 7:00 or 1:30 PM.")
        return None

    # The run

    def _document(
        self, shape: Shape, values: Mapping[tuple[int, str], str], raceway: str, size: str
    ) -> dict[str, Any] | None:
        tag = builder.clean(self.said("tag"))
        own = self.texts.get(columns.plain(columns.HEAD["document"]), "")
        if own:
            return self._own_document(own, tag)
        rows = [
            Row(row.kind, {**row.values, **self._row_values(number, row, values)})
            for number, row in enumerate(shape.rows)
        ]
        for one in builder.missing(rows):
            number, entry = one.removeprefix("r").split("-")
            self.fault(_column(rows, int(number), entry), "missing", "This is needed.")
        return builder.document(rows, tag=tag, raceway=raceway, size=size, kept={})

    def _row_values(self, number: int, row: Row, values: Mapping[tuple[int, str], str]) -> dict[str, str]:
        """What the row's cells say; an empty cell means what the shape begins with."""
        found = {}
        for entry in ROWS[row.kind].entries:
            text = values.get((number, entry.name), "")
            if text:
                found[entry.name] = self._picked(number, row, entry, text)
        return found

    def _picked(self, number: int, row: Row, entry: Entry, text: str) -> str:
        """A pick by its key or its words."""
        if entry.sort != "pick":
            return builder.clean(text)
        wanted = columns.plain(text)
        for key, words in entry.picks:
            if wanted in (columns.plain(key), columns.plain(words)):
                return key
        names = ", ".join(words for key, words in entry.picks if key)
        self.fault(
            f"{columns.ROWS[row.kind].words}: {entry.words.lower()}", "unknown_word", f"“{text}” is none of: {names}."
        )
        return ""

    def _own_document(self, text: str, tag: str) -> dict[str, Any] | None:
        column = columns.HEAD["document"]
        try:
            found = json.loads(text)
        except (ValueError, RecursionError):
            self.fault(column, "not_json", "This isn't a run/1 document.")
            return None
        if not isinstance(found, dict) or not drafts.can_be_kept(found):
            self.fault(column, "not_json", "This isn't a run/1 document.")
            return None
        return {**found, "tag": tag}

    def _tell(self, rows: Sequence[Row], solved: bends.Solved) -> None:
        """The solver's problems, by the column that each belongs to."""
        for problem in solved.problems:
            number, _, entry = builder.field_of(problem["at"], rows).removeprefix("r").partition("-")
            at = int(number) if number.isdigit() else -1
            whole = columns.row_names(rows)[at] if at >= 0 else ""
            self.fault(_column(rows, at, entry) or whole, problem["code"], problem["text"])


def _column(rows: Sequence[Row], row: int, entry: str) -> str:
    return next((one.name for one in columns.of_rows(rows) if (one.row, one.field) == (row, entry)), "")


def _doubts(rows: Sequence[Row]) -> tuple[str, ...]:
    asked = doubts(rows, lambda _: False)
    return tuple(f"{one.words}: {format_length(one.inches, feet=True)}?" for one in asked)
