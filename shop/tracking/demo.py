"""Loads the demo scenario of fixtures/demo.json, through the same services that people use."""

import json
from collections.abc import Callable, Iterator
from datetime import datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import transaction

from shop.jobs import clock
from shop.jobs import services as jobs
from shop.jobs.models import Job, Licence, Person, Place, PlaceKind
from shop.requests import services as requests
from shop.requests.models import Bender, Profile, Revision, Run
from shop.work import services as work
from shop.work.models import Piece

FILE = Path(settings.BASE_DIR) / "fixtures" / "demo.json"
MARK = "demo.load"
Told = Callable[[str], None]


class Demo:
    """One loading: the scenario, the day it is loaded on, and who and what was made so far."""

    def __init__(self, tell: Told) -> None:
        self.scenario: dict[str, Any] = json.loads(FILE.read_text())
        self.tell = tell
        self.zone = ZoneInfo(settings.SHOP_TIME_ZONE)
        self.today = clock.now().astimezone(self.zone).date()
        self.people: dict[str, Person] = {}
        self.places: dict[tuple[str, str], Place] = {}
        self.seq = 0

    def when(self, text: str) -> datetime:
        """`-2 08:10` is ten past eight two days before today, in the shop's time zone."""
        day, hour = text.split()
        moment = datetime.combine(self.today + timedelta(days=int(day)), time.fromisoformat(hour), self.zone)
        return moment

    @transaction.atomic
    def load(self) -> None:
        """All of it or nothing. The last line of history says that it is the demo's database."""
        with clock.at(self.when("-40 05:30")):
            self._people_and_places()
            self._benders()
        runs = self.scenario["runs"]
        for number, run in enumerate(runs, 1):
            self.tell(f"{number} of {len(runs)}: {run['tag']}, {run['title'].lower()}")
            self._run(run)
        jobs.history_write(action=MARK, subject=self.people["lead"], actor=None)

    # people, jobs, places, benders

    def _people_and_places(self) -> None:
        for job in self.scenario["jobs"]:
            jobs.job_add(**job, actor=None)
        for person in self.scenario["people"]:
            self._person(person)
        for licence in self.scenario["licences"]:
            since = self.when(f"{licence['since']} 00:00").date()
            Licence.objects.create(person=self.people[licence["person"]], number=licence["number"], since=since)
        for owner, places in self.scenario["places"].items():
            for path, kind, *more in places:
                self._place(owner, path, kind, *more)

    def _person(self, given: dict[str, Any]) -> None:
        words = {name: given[name] for name in ("username", "title", "role")}
        person = jobs.person_add(**words, password=self.scenario["password"], actor=None)
        for job in given["jobs"]:
            jobs.member_add(job=Job.objects.get(name=job), person=person, actor=None)
        self.people[person.username] = person

    def _place(self, owner: str, path: str, kind: str, closes: dict[str, str] | None = None) -> None:
        above, _, name = path.rpartition("/")
        if owner == "shop":
            parent = self.places[owner, above] if above else None
        else:
            parent = self.places[owner, above] if above else Place.objects.get(job__name=owner, kind=PlaceKind.JOB)
        place = jobs.place_add(name=name, kind=kind, parent=parent, actor=None)
        self.places[owner, path] = place
        if closes:
            moment = self.when(closes["closes"])
            jobs.place_close_set(place=place, closes_at=moment, word=closes["word"], actor=self.people["office"])

    def _benders(self) -> None:
        for given in self.scenario["benders"]:
            bender = Bender.objects.create(name=given["name"], kind=given["kind"])
            for profile in given["profiles"]:
                since, tested = self.when(profile["since"]), self.when(profile["tested"])
                words = {name: profile[name] for name in ("raceway", "size", "data")}
                Profile.objects.create(bender=bender, since=since, tested_at=tested, **words)

    # one run and its life

    def _run(self, given: dict[str, Any]) -> None:
        revision = self._ask(given)
        if "question" in given:
            self._question(revision, given["question"])
        if "ok" in given:
            with clock.at(self.when(given["ok"])):
                requests.revision_ok(revision=revision, actor=self.people["lead"])
        if "release" in given:
            with clock.at(self.when(given["release"])):
                work.revision_release(revision=revision, actor=self.people["lead"])
        run = revision.run
        self._records(run, given.get("records", []), remake=0)
        if "remake" in given:
            self._remake(run, given["remake"])
            self._records(run, given["remake_records"], remake=1)
        if "revise" in given:
            self._revise(run, given)

    def _draft(self, given: dict[str, Any]) -> requests.RunDraft:
        place = self.places[given["job"], given["place"]]
        return requests.RunDraft(
            place=place,
            tag=given["tag"],
            title=given["title"],
            document=given["document"],
            quantity=given["quantity"],
            note=given.get("note", ""),
            needed_at=self.when(given["needed"]),
            drop=self.places[given["job"], given["drop"]],
            rush="rush" in given,
            rush_reason=given.get("rush", ""),
            three_d_yes=given.get("three_d", False),
        )

    def _ask(self, given: dict[str, Any]) -> Revision:
        actor, draft = self.people[given["by"]], self._draft(given)
        job = Job.objects.get(name=given["job"])
        with clock.at(self.when(given["asked"])):
            if given.get("draft"):
                return requests.draft_save(run_draft=draft, job=job, actor=actor)
            sent = requests.request_send(job=job, nonce=f"demo-{draft.tag}", runs=[draft], actor=actor)
        return sent.runs.get().present

    def _question(self, revision: Revision, given: dict[str, Any]) -> None:
        with clock.at(self.when(given["at"])):
            requests.question_ask(
                revision=revision,
                at=given["place"],
                text=given["text"],
                choices=given["choices"],
                actor=self.people[given["by"]],
            )

    def _revise(self, run: Run, given: dict[str, Any]) -> None:
        change, document = given["revise"], json.loads(json.dumps(given["document"]))
        for place, value in change["change"].items():
            _put(document, place, value)
        draft = self._draft({**given, "document": document, "note": change["note"]})
        with clock.at(self.when(change["at"])):
            requests.run_revise(run=run, draft=draft, actor=self.people[change["by"]])

    def _remake(self, run: Run, given: dict[str, Any]) -> None:
        piece = run.pieces.get(copy=given["copy"], remake=0)
        with clock.at(self.when(given["at"])):
            words = {name: given[name] for name in ("old", "reason")}
            work.piece_remake(piece=piece, actor=self.people[given["by"]], **words)

    def _records(self, run: Run, records: list[dict[str, Any]], remake: int) -> None:
        for given in records:
            for piece in self._pieces(run, given["copies"], remake):
                self._record(piece, dict(given))

    def _pieces(self, run: Run, copies: str, remake: int) -> Iterator[Piece]:
        wanted = set(_numbers(copies)) if copies != "all" else None
        for piece in run.pieces.filter(remake=remake).order_by("copy"):
            if wanted is None or piece.copy in wanted:
                yield piece

    def _record(self, piece: Piece, given: dict[str, Any]) -> None:
        self.seq += 1
        verb, at, by = given.pop("verb"), self.when(given.pop("at")), self.people[given.pop("by")]
        given.pop("copies")
        where, reason = given.pop("place", None), given.pop("reason", "")
        with clock.at(at):
            work.record_add(
                verb=verb,
                piece=piece,
                actor=by,
                nonce=f"demo-{self.seq}",
                device=f"demo-{by.username}",
                seq=self.seq,
                done_at=at,
                sent_at=at,
                place=self._where(piece, where) if where else None,
                reason=reason,
                fields=given,
            )

    def _where(self, piece: Piece, path: str) -> Place:
        return self.places["shop", path] if path.startswith("Shop") else self.places[piece.run.job.name, path]


def _numbers(text: str) -> Iterator[int]:
    """`1-3,6`: 1, 2, 3, 6."""
    for part in text.split(","):
        first, _, last = part.partition("-")
        yield from range(int(first), int(last or first) + 1)


def _put(document: Any, place: str, value: Any) -> None:
    """Sets `path[0].features[0].rise` in a document."""
    *way, last = place.replace("[", ".").replace("]", "").split(".")
    for step in way:
        document = document[int(step) if step.isdigit() else step]
    document[last] = value
