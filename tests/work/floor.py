"""What tests of the work say in one line: release this, record that, at so many minutes after noon."""

from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from shop.jobs import clock
from shop.requests.models import Revision, Run
from shop.work import services
from shop.work.models import Piece, Record, Release
from shop.work.services import Recorded, Said
from tests.requests.world import NOON, World

# what a good piece goes through in the shop, and by whom
MAKING = (
    ("cut", "hand", {}),
    ("bend", "hand", {}),
    ("check", "hand", {"result": "pass"}),
    ("print", "hand", {"how": "finish"}),
)


def later(minutes: float) -> datetime:
    return NOON + timedelta(minutes=minutes)


@dataclass
class Floor:
    world: World
    said: int = 0

    def release(self, tag: str = "S-04", **more: Any) -> Release:
        return services.revision_release(revision=self.world.ok(tag, **more), actor=self.world.lead)

    def piece(self, tag: str = "S-04", copy: int = 1, remake: int = 0, rev: int = 1) -> Piece:
        return Piece.objects.get(run__tag=tag, copy=copy, remake=remake, revision__number=rev)

    def words(self, verb: str, by: str, minutes: float | None, more: dict[str, Any]) -> dict[str, Any]:
        """What record_add takes; a phone that sends at once, with a right clock."""
        self.said += 1
        at = later(self.said if minutes is None else minutes)
        given = {"nonce": f"r{self.said}", "device": by, "seq": self.said, "done_at": at, "sent_at": at}
        return {"verb": verb, "actor": getattr(self.world, by), **given, **more}

    def say(
        self, piece: Piece | None, verb: str, by: str = "hand", minutes: float | None = None, **more: Any
    ) -> Recorded:
        words = self.words(verb, by, minutes, {"piece": piece, **more})
        with ExitStack() as stack:
            stack.enter_context(clock.at(words["sent_at"]))
            return services.record_add(**words)

    def saying(
        self, piece: Piece | None, verb: str, by: str = "hand", minutes: float | None = None, **more: Any
    ) -> Said:
        return Said(**self.words(verb, by, minutes, {"piece": piece, **more}))

    def make(self, piece: Piece) -> None:
        for verb, by, fields in MAKING:
            self.say(piece, verb, by, fields=fields, place=self.world.rack)

    def revise(self, run: Run, **more: Any) -> Revision:
        from shop.requests.services import run_revise

        return run_revise(run=run, draft=self.world.draft(run.tag, **more), actor=self.world.foreman)


def standing(piece: Piece) -> Piece:
    return Piece.objects.get(pk=piece.pk)


def records() -> int:
    return Record.objects.count()
