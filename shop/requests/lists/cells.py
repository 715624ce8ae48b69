"""Reading a list of runs from a file or from what was pasted: headings and rows of text, nothing understood yet."""

import csv
import io
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from itertools import islice
from typing import Any

from openpyxl import load_workbook
from openpyxl.utils.exceptions import InvalidFileException

from shop.jobs.refusals import Refusal
from shop.requests.builder import clean

MOST_ROWS = 10_000
MOST_COLUMNS = 120
MOST_BYTES = 12_000_000
# A spreadsheet is a zip: what it unpacks to is bounded before it is unpacked.
MOST_UNPACKED = 150_000_000
LONGEST_DOCUMENT = 20_000
SEPARATORS = ",;\t"


@dataclass(frozen=True)
class Cells:
    """Headings as written, and rows of as many texts; `numbers` are the rows' own in the file, from 1."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...]


def read_file(name: str, content: bytes) -> Cells:
    """A CSV or XLSX file. Refused: `file_too_big`, `not_a_list`, `not_text`, and what `cells` refuses."""
    if len(content) > MOST_BYTES:
        raise Refusal("file_too_big", f"At most {MOST_BYTES // 1_000_000} MB.")
    if name.lower().endswith(".xlsx") or content.startswith(b"PK\x03\x04"):
        return _cells(_sheet_rows(content))
    return read_text(_decoded(content))


def read_text(text: str) -> Cells:
    """What was pasted, or a CSV file's text: parted by tabs, commas or semicolons, whichever its first line has most
    of."""
    first = text.lstrip("\ufeff\r\n").partition("\n")[0]
    separator = max(SEPARATORS, key=first.count) if any(sign in first for sign in SEPARATORS) else ","
    try:
        return _cells(csv.reader(io.StringIO(text.lstrip("\ufeff"), newline=""), delimiter=separator, strict=True))
    except csv.Error as error:
        raise Refusal("not_a_list", f"This can't be read as a list: {error}.") from error


def _decoded(content: bytes) -> str:
    """UTF-8, or what spreadsheets on Windows write."""
    if b"\0" in content[:4000]:
        raise Refusal("not_text", "This is neither a CSV nor an XLSX file.")
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise Refusal("not_text", "There are signs in it that can't be read; save it as CSV in UTF-8.")


def _sheet_rows(content: bytes) -> Iterator[list[str]]:
    """The first sheet of a workbook; a formula gives the value that was saved with it."""
    try:
        unpacked = sum(part.file_size for part in zipfile.ZipFile(io.BytesIO(content)).infolist())
        if unpacked > MOST_UNPACKED:
            raise Refusal("file_too_big", "Unpacked, this workbook is too big.")
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        for row in sheet.iter_rows(max_col=MOST_COLUMNS + 1, values_only=True):
            yield [_text(value) for value in row]
    except (zipfile.BadZipFile, InvalidFileException, KeyError, IndexError, ValueError, TypeError) as error:
        raise Refusal("not_a_list", "This workbook can't be read; save it again as XLSX or CSV.") from error


def _text(value: Any) -> str:
    """A cell as it would be typed."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d}" if value.time() == time(0) else f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, date | time):
        return value.isoformat() if isinstance(value, date) else f"{value:%H:%M}"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return "" if value is None else str(value)


def _cells(rows: Iterable[list[str]]) -> Cells:
    """Refused: `list_empty`, `too_many_rows`, `too_many_columns`, `column_twice`."""
    numbered = ((number, row) for number, row in enumerate(rows, start=1) if any(text.strip() for text in row))
    head = next(numbered, None)
    if head is None:
        raise Refusal("list_empty", "There is nothing in it.")
    headings = tuple(clean(text) for text in head[1])
    while headings and not headings[-1]:
        headings = headings[:-1]
    if len(headings) > MOST_COLUMNS:
        raise Refusal("too_many_columns", f"At most {MOST_COLUMNS} columns.", most=MOST_COLUMNS)
    twice = next((name for name in headings if name and headings.count(name) > 1), "")
    if twice:
        raise Refusal("column_twice", f"Two columns are headed “{twice}”.", column=twice)
    found = list(islice(numbered, MOST_ROWS + 1))
    if not found:
        raise Refusal("list_empty", "There are headings, but no run below them.")
    if len(found) > MOST_ROWS:
        raise Refusal("too_many_rows", f"At most {MOST_ROWS} rows in one list.", most=MOST_ROWS)
    return Cells(headings, tuple(_row(row, len(headings)) for _, row in found), tuple(number for number, _ in found))


def _row(row: list[str], width: int) -> tuple[str, ...]:
    """As many texts as there are headings; a sign that keeps a spreadsheet from computing is taken off again."""
    cut = [text.strip()[:LONGEST_DOCUMENT].removeprefix("'") for text in row[:width]]
    return tuple([*cut, *[""] * (width - len(cut))])
