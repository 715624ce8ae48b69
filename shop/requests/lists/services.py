"""Services of lists of runs: read, check a part, send whole, throw away."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from shop.jobs.models import Job, Person, Place
from shop.jobs.refusals import Refusal
from shop.jobs.services import history_write
from shop.requests import bends, drafts, sending
from shop.requests.drafts import RunDraft
from shop.requests.lists import columns, copies
from shop.requests.lists.cells import Cells
from shop.requests.lists.copies import Target
from shop.requests.lists.reading import Read, Reading
from shop.requests.models import Profile, Request, RunList, RunListRow
from shop.requests.paper import lock_job

PART = 250
TAG_TAKEN = "tag_taken"
_AS_ASKED = ("tag", "document", "quantity", "title", "note", "rush", "rush_reason", "cost_code")


def list_read(*, job: Job, cells: Cells, usual: Mapping[str, str], name: str = "", actor: Person) -> RunList:
    """Keeps a list's texts, to be checked. Refused: `unknown_column`, `no_tag_column`."""
    _check_headings(cells.headings)
    with transaction.atomic():
        found = RunList.objects.create(
            job=job, made_by=actor, name=name[:120], headings=list(cells.headings), usual=dict(usual)
        )
        rows = [
            RunListRow(run_list=found, line=line, cells=list(row))
            for line, row in zip(cells.numbers, cells.rows, strict=True)
        ]
        RunListRow.objects.bulk_create(rows, batch_size=500)
        history_write(action="list.read", subject=found, actor=actor, job=job, rows=len(rows), name=found.name)
        return found


def _check_headings(headings: Sequence[str]) -> None:
    known = columns.all_names()
    for name in headings:
        if columns.plain(name) not in known:
            near = columns.nearest(name)
            hint = f" Is it “{near}”?" if near else " See the empty lists for the names."
            raise Refusal("unknown_column", f"No run has a “{name}”.{hint}", column=name, nearest=near)
    if columns.plain("Tag") not in map(columns.plain, headings):
        raise Refusal("no_tag_column", "A column “Tag” is needed.")


def list_check(*, run_list: RunList, actor: Person, most: int = PART) -> int:
    """Checks the next rows; answers how many are left. Nothing of the job is written. Refused: `list_sent`."""
    _check_open(run_list)
    reading = Reading(run_list.job, tuple(run_list.headings), run_list.usual)
    with transaction.atomic():
        rows = list(run_list.rows.filter(checked=False).order_by("line")[:most])
        for row in rows:
            _note(row, reading.read(row.cells))
        fields = ["checked", "problems", "asked", "solved", "reads"]
        RunListRow.objects.bulk_update(rows, fields, batch_size=100)
        left = run_list.rows.filter(checked=False).count()
        if not left:
            _check_tags(run_list)
        return left


def _note(row: RunListRow, read: Read) -> None:
    row.checked, row.problems = True, [one.as_json() for one in read.wrong]
    if read.draft is None or read.solved is None:
        return
    draft, solved = read.draft, read.solved
    row.asked = {name: getattr(draft, name) for name in _AS_ASKED} | {
        "place": draft.place.pk,
        "drop": draft.drop and draft.drop.pk,
        "needed_at": draft.needed_at and draft.needed_at.isoformat(),
        "profile": draft.profile and draft.profile.pk,
    }
    row.solved = {"layout": solved.layout, "three_d": solved.three_d, "shape": solved.shape, "parts": solved.parts}
    row.reads = " ".join([*([solved.reads] if solved.three_d else []), *read.doubts])


def _check_tags(run_list: RunList) -> None:
    """Tags that stand twice in the list or are taken in the job, told at each of their rows."""
    rows = list(run_list.rows.exclude(solved={}).only("pk", "line", "asked", "problems"))
    lines: dict[str, list[int]] = {}
    for row in rows:
        lines.setdefault(row.asked["tag"].strip(), []).append(row.line)
    taken = drafts.tags_taken(run_list.job, lines)
    faulty = []
    for row in rows:
        tag = row.asked["tag"].strip()
        others = [str(line) for line in lines[tag] if line != row.line]
        words = f"There is a run {tag} in the job already." if tag in taken else ""
        words = words or (f"{tag} stands in line {others[0]} too." if others else "")
        if words:
            row.problems = [{"column": "Tag", "code": TAG_TAKEN, "text": words}]
            faulty.append(row)
    RunListRow.objects.bulk_update(faulty, ["problems"], batch_size=200)


def list_copy(*, place: Place, targets: Sequence[Target], make: bool, actor: Person) -> RunList:
    """A list that asks for a place's runs in other places; with `make`, rooms and walls that they lack are made.

    Refused: `no_runs`, `no_target`, `too_many_rows`, and what `place_add` refuses.
    """
    cells = copies.cells_of(place, targets)
    assert place.job is not None
    with transaction.atomic():
        if make:
            copies.make_places(place, targets, actor)
        return list_read(job=place.job, cells=cells, usual={}, name=f"{place.name} again", actor=actor)


def list_send(*, run_list: RunList, said_yes: bool, actor: Person) -> Request:
    """Sends every run of a checked list, or none; sent again, the same request comes back.

    Refused: `not_checked`, `list_wrong`, `needs_yes`, `bender_changed`, and as `request_send`.
    """
    with transaction.atomic():
        lock_job(run_list.job)
        found = RunList.objects.select_for_update().get(pk=run_list.pk)
        if found.request:
            return found.request
        rows = list(found.rows.order_by("line"))
        _check_sendable(rows, said_yes)
        known = _Known(run_list.job)
        asked, solved = [_draft_of(row, known) for row in rows], [bends.Solved(**row.solved) for row in rows]
        nonce = f"list-{found.pk}"
        found.request = sending.solved_send(job=run_list.job, nonce=nonce, runs=asked, solved=solved, actor=actor)
        found.save(update_fields=["request"])
        found.rows.all().delete()
        return found.request


def _check_open(run_list: RunList) -> None:
    if run_list.request_id:
        raise Refusal("list_sent", "This list is sent.")


def _check_sendable(rows: Sequence[RunListRow], said_yes: bool) -> None:
    if not all(row.checked for row in rows):
        raise Refusal("not_checked", "Not every row is checked yet.")
    wrong = sum(bool(row.problems) for row in rows)
    if wrong:
        raise Refusal("list_wrong", f"{wrong} rows have something wrong; nothing is sent.", rows=wrong)
    if any(row.reads for row in rows) and not said_yes:
        raise Refusal("needs_yes", "Some runs are easily meant otherwise: say yes to how they are read back.")


class _Known:
    """Rows of other tables that a list's rows name by their keys; refuses what has changed since they were checked."""

    def __init__(self, job: Job) -> None:
        self.places = {place.pk: place for place in Place.objects.filter(job=job)}
        self.profiles: dict[int, Profile] = {}

    def profile(self, key: int | None, document: Any) -> Profile | None:
        if key is None:
            return None
        if key not in self.profiles:
            present = bends.profile_for(*drafts.conduit(document))
            if present is None or present.pk != key:
                raise Refusal(
                    "bender_changed", "The shop's bender was tested since this list was checked. Read it in again."
                )
            self.profiles[key] = present
        return self.profiles[key]


def _draft_of(row: RunListRow, known: _Known) -> RunDraft:
    asked = row.asked
    return RunDraft(
        place=known.places[asked["place"]],
        drop=known.places.get(asked["drop"]),
        needed_at=asked["needed_at"] and datetime.fromisoformat(asked["needed_at"]),
        profile=known.profile(asked["profile"], asked["document"]),
        three_d_yes=row.solved["three_d"],
        **{name: asked[name] for name in _AS_ASKED},
    )


def row_leave(*, row: RunListRow, actor: Person) -> None:
    """Leaves one row out of an unsent list; the others are checked against each other again. Refused: `list_sent`,
    `last_row`."""
    with transaction.atomic():
        found = RunList.objects.select_for_update().get(pk=row.run_list_id)
        _check_open(found)
        if found.rows.count() == 1:
            raise Refusal("last_row", "It is the only row; throw the list away instead.")
        row.delete()
        history_write(action="list.leave", subject=found, actor=actor, job=found.job, line=row.line, cells=row.cells)
        found.rows.filter(problems__0__code=TAG_TAKEN).update(problems=[])
        if not found.rows.filter(checked=False).exists():
            _check_tags(found)


def list_drop(*, run_list: RunList, actor: Person) -> None:
    """Throws an unsent list away. Refused: `list_sent`."""
    with transaction.atomic():
        found = RunList.objects.select_for_update().get(pk=run_list.pk)
        _check_open(found)
        history_write(action="list.drop", subject=found, actor=actor, job=found.job, name=found.name)
        found.delete()
