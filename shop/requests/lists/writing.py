"""Runs written as a list: the same columns that are read, as CSV or XLSX."""

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any
from zoneinfo import ZoneInfo

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell

from bending.lengths import LengthError, parse_length
from shop.jobs.models import Job
from shop.requests import builder
from shop.requests.forms import place_words
from shop.requests.lists import columns
from shop.requests.models import Revision
from shop.requests.rows import Row
from shop.requests.shapes import BY_KEY, shape_of

# What makes a spreadsheet compute a cell instead of showing it.
COMPUTES = ("=", "+", "-", "@", "\t", "\r")
# The sign by which a spreadsheet takes what follows as text; reading takes one off again.
AS_TEXT = "'"


def rows_of(revisions: Iterable[Revision]) -> tuple[list[str], list[dict[str, str]]]:
    """Headings and rows by heading: the head's columns, then each shape's in the order that they come."""
    headings = dict.fromkeys(columns.HEAD.values())
    rows = [_row(revision) for revision in revisions]
    for row in rows:
        headings |= dict.fromkeys(row)
    document = columns.HEAD["document"]
    return [*(name for name in headings if name != document), document], rows


def _row(revision: Revision) -> dict[str, str]:
    head = {columns.HEAD[name]: text for name, text in _head(revision).items()}
    rows = builder.rows_of(revision.document)
    shape = shape_of(rows)
    if not _in_columns(rows, revision.document):
        text = json.dumps(revision.document, ensure_ascii=False)
        return head | {columns.HEAD["shape"]: BY_KEY["free"].words, columns.HEAD["document"]: text}
    said = {column.name: rows[column.row][column.field] for column in columns.of_shape(shape)}
    return head | {columns.HEAD["shape"]: shape.words} | said


def _in_columns(rows: Sequence[Row], document: Mapping[str, Any]) -> bool:
    """Whether the columns of its shape say all of a run."""
    alike = [row.kind for row in rows] == [row.kind for row in shape_of(rows).rows]
    kept = builder.kept_of(document) or any(row.kept for row in rows)
    return alike and not kept and not builder.missing(rows)


def _head(revision: Revision) -> dict[str, str]:
    job: Job = revision.run.job
    needed = revision.needed_at and revision.needed_at.astimezone(_zone(job))
    return {
        "tag": revision.run.tag,
        "quantity": str(revision.quantity),
        "place": place_words(revision.run.place),
        "conduit": f"{revision.size} {revision.raceway}".strip(),
        "title": revision.title,
        "needed_day": f"{needed:%Y-%m-%d}" if needed else "",
        "needed_hour": f"{needed:%H:%M}" if needed else "",
        "drop": place_words(revision.drop) if revision.drop else "",
        "rush": "yes" if revision.rush else "",
        "rush_reason": revision.rush_reason,
        "note": revision.note,
        "cost_code": revision.cost_code,
    }


def _zone(job: Job) -> ZoneInfo:
    return ZoneInfo(job.time_zone)


def safe(text: str) -> str:
    """A text that no spreadsheet computes; a length may begin with a minus."""
    if not text.startswith((*COMPUTES, AS_TEXT)):
        return text
    try:
        parse_length(text)
    except LengthError:
        return f"{AS_TEXT}{text}"
    return text


def as_csv(headings: Sequence[str], rows: Iterable[dict[str, str]]) -> bytes:
    """UTF-8 with the mark by which spreadsheets know it."""
    written = io.StringIO(newline="")
    table = csv.writer(written)
    table.writerow(headings)
    table.writerows(_texts(headings, rows))
    return written.getvalue().encode("utf-8-sig")


def as_xlsx(headings: Sequence[str], rows: Iterable[dict[str, str]]) -> bytes:
    """One sheet; every cell is text, so that 1/2 stays a half and no date."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Runs")
    for texts in [list(headings), *_texts(headings, rows)]:
        sheet.append([_text_cell(sheet, text) for text in texts])
    written = io.BytesIO()
    book.save(written)
    return written.getvalue()


def _text_cell(sheet: Any, text: str) -> Any:
    cell = WriteOnlyCell(sheet, value=text)
    cell.number_format = "@"
    cell.data_type = "s"
    return cell


def _texts(headings: Sequence[str], rows: Iterable[dict[str, str]]) -> Iterator[list[str]]:
    for row in rows:
        yield [safe(row.get(name, "")) for name in headings]
