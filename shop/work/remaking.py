"""Remake: a child R1 of a piece, for the same need, with its own code; the old one is dead at once."""

from dataclasses import replace
from datetime import datetime
from typing import Any
from uuid import uuid4

from django.db import transaction
from django.db.models import Max

from shop.jobs import clock
from shop.jobs.codes import new_code
from shop.jobs.models import Person, Place
from shop.jobs.permissions import may
from shop.jobs.refusals import Refusal
from shop.jobs.services import history_write
from shop.requests import bends
from shop.requests.drafts import can_be_kept, conduit
from shop.requests.models import Paper, Revision
from shop.requests.paper import check_nonce, locked, refusal
from shop.work.log import SERVER, lock_log, server_seq
from shop.work.models import Piece, Record, Release
from shop.work.recording import raise_refused, take
from shop.work.releasing import check_levels, next_number, present_release, skipped
from shop.work.said import SERVERS_OWN, Said

RELEASED_PAPER = (Paper.RELEASED, Paper.CLOSED)


@transaction.atomic
def piece_remake(
    *,
    piece: Piece,
    actor: Person,
    reason: str,
    old: str = "scrap",
    change: str = "",
    document: dict[str, Any] | None = None,
    override_reason: str = "",
    nonce: str = "",
    device: str = SERVER,
    seq: int | None = None,
    done_at: datetime | None = None,
    sent_at: datetime | None = None,
    place: Place | None = None,
) -> Piece:
    """The child, exactly once a nonce. `old`: "scrap", or "maybe" where the old one may still be of use.

    `change`: what is to be different, in words. `document`: the run/1 text with changed dimensions, for this piece
    alone; only who may release may give one, and it is solved and checked like a release.

    Refused: `already_remade`, `old_revision` and others by state, `dead_piece`, `bad_nonce`, `nonce_taken`, what a
    record is refused for (`role_not_allowed`, `bad_value` …), with a document `change_needs_lead`, `not_solved`,
    `needs_yes`, `another_conduit`, `parts_changed`, `cannot`, `rule_needs_reason`, `rule_needs_licence`.
    """
    said = Said(
        verb="remake", actor=actor, nonce=nonce or uuid4().hex, piece=piece, device=device, done_at=done_at,
        sent_at=sent_at, place=place, reason=reason, fields={"old": old, **({"change": change} if change else {})},
    )  # fmt: skip
    check_nonce(said.nonce, apart_from=SERVERS_OWN)
    revision = locked(piece.revision)
    lock = lock_log()
    if known := Record.objects.filter(nonce=said.nonce).first():
        return _child_of(known, piece)
    parent = _parent(piece, revision)
    child = _child(parent, _release_with(parent, document, actor, override_reason) if document else _release(parent))
    said = replace(said, seq=server_seq(lock) if seq is None else seq, others={"child": child})
    raise_refused(take([said], clock.now(), own=True)[0])
    _tell(child, revision, said)
    return Piece.objects.get(pk=child.pk)


def _child_of(known: Record, piece: Piece) -> Piece:
    """What the same nonce made before."""
    if known.verb != "remake" or known.piece_id != piece.pk:
        raise Refusal("nonce_taken", "This was sent about something else already.")
    return known.others.get(word="child").piece


def _tell(child: Piece, revision: Revision, said: Said) -> None:
    history_write(
        action="piece.remake", subject=child, actor=said.actor, job=revision.run.job, tag=revision.run.tag,
        copy=child.copy, remake=child.remake, of=child.remake_of_id, reason=said.reason, **said.fields,
    )  # fmt: skip


def _parent(piece: Piece, revision: Revision) -> Piece:
    """The piece as it stands under the lock."""
    parent = Piece.objects.select_related("need", "release").get(pk=piece.pk)
    if parent.dead:
        raise Refusal("dead_piece", "Its metal is another piece now; remake that one.")
    if parent.replaced_by is not None:
        raise Refusal("already_remade", f"{parent.replaced_by} replaces it already.", child=parent.replaced_by_id)
    if revision.state not in RELEASED_PAPER:
        raise refusal(revision)
    return parent


def _release(parent: Piece) -> Release:
    """As its paper is released now; one that was made with dimensions of its own keeps those."""
    release = parent.release if parent.release.remake_only else present_release(parent.revision)
    assert release is not None, "a released revision has a release"
    return release


def _child(parent: Piece, release: Release) -> Piece:
    family = Piece.objects.filter(revision=parent.revision_id, copy=parent.copy, part=parent.part)
    last = family.aggregate(last=Max("remake"))["last"]
    return Piece.objects.create(
        run_id=parent.run_id,
        need=parent.need,
        release=release,
        revision_id=parent.revision_id,
        copy=parent.copy,
        part=parent.part,
        remake=last + 1,
        remake_of=parent,
        code=new_code(),
        skips=skipped(release.layout)[parent.part - 1],
        made_at=clock.now(),
    )


def _release_with(parent: Piece, document: dict[str, Any], actor: Person, override_reason: str) -> Release:
    """A release that describes this remake alone; it replaces nothing."""
    if not may(actor, "revision.release"):
        raise Refusal("change_needs_lead", "Changed dimensions are the shop lead's to release; send a revision.")
    before = parent.release
    solved = _solved(parent, document)
    overrides = check_levels(solved, actor, override_reason)
    return Release.objects.create(
        revision=parent.revision,
        number=next_number(parent.revision),
        profile=before.profile,
        document=document,
        layout=solved.layout,
        shape=solved.shape,
        remake_only=True,
        code=new_code(),
        released_by=actor,
        released_at=clock.now(),
        override_reason=override_reason.strip() if overrides else "",
    )


def _solved(parent: Piece, document: dict[str, Any]) -> bends.Solved:
    before = parent.release
    if not can_be_kept(document) or conduit(document) != conduit(before.document):
        raise Refusal("another_conduit", "A remake is of the same conduit.")
    solved = bends.solve(document, before.profile)
    if solved.layout is None:
        raise Refusal("not_solved", f"It can't be bent so: {solved.problems[0]['text']}", problems=solved.problems)
    if solved.three_d and not parent.revision.three_d_yes:
        raise Refusal("needs_yes", "It leaves one plane, and nobody said yes to that.", reads=solved.reads)
    if solved.parts != len(before.layout["pieces"]):
        raise Refusal("parts_changed", "It would be made of another number of sticks; send a revision.")
    return solved
