"""Release: freezes a revision, its layout and the bender's profile, and makes the needs and the pieces."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from shop.jobs import clock
from shop.jobs.codes import new_code
from shop.jobs.models import Person
from shop.jobs.refusals import Refusal
from shop.jobs.services import history_write
from shop.requests import bends
from shop.requests import services as requests
from shop.requests.drafts import write_solved
from shop.requests.models import Paper, Profile, Revision, Run
from shop.requests.paper import check_fits, has_open_question, locked, refusal
from shop.work.hearing import refold_elsewhere
from shop.work.log import lock_log
from shop.work.models import Need, Piece, Release
from shop.work.rows import refold
from shop.work.store import RowStore, piece_key

UNBENT = ["bent", "checked"]


@transaction.atomic
def revision_release(
    *, revision: Revision, actor: Person, profile: Profile | None = None, override_reason: str = ""
) -> Release:
    """Releases an OK'd revision on a bender; a released one again on another, while nothing of it is cut.

    Refused: by state `not_sent`, `not_ok`, `question_open`, `held`, `old_revision`, `cancelled`, `closed`,
    `already_released`; `no_profile`, `wrong_profile`, `not_solved`, `needs_yes`, `cannot`, `rule_needs_reason`,
    `rule_needs_licence`; again: `pieces_cut`, `parts_changed`.
    """
    found = locked(revision)
    lock_log()
    bender = _profile(found, profile)
    before = present_release(found)
    _check_state(found, before, bender)
    solved = bends.solve(found.document, bender)
    _check_solved(found, solved)
    overrides = check_levels(solved, actor, override_reason)
    release = _freeze(found, bender, solved, actor, override_reason if overrides else "")
    _write_paper(found, bender, solved)
    if before:
        _replace(before, release, solved.parts)
    else:
        _make_pieces(release, solved)
    refold_elsewhere(found.run_id)
    _tell(release, found, actor, overrides, before)
    return release


@transaction.atomic
def revision_ok_and_release(
    *, revision: Revision, actor: Person, profile: Profile | None = None, override_reason: str = ""
) -> Release:
    """The shop lead's OK and the release in one act: both or neither. Refused as both."""
    if Revision.objects.filter(pk=revision.pk, state=Paper.SENT).exists():
        requests.revision_ok(revision=revision, actor=actor)
    return revision_release(revision=revision, actor=actor, profile=profile, override_reason=override_reason)


def present_release(revision: Revision) -> Release | None:
    """The release whose ticket lives; those of remakes alone don't count."""
    rows = revision.releases.filter(replaced_at=None, remake_only=False)
    return rows.select_related("profile__bender").order_by("-number").first()


# Checks


def _profile(revision: Revision, chosen: Profile | None) -> Profile:
    profile = chosen or revision.profile or bends.profile_for(revision.raceway, revision.size)
    if profile is None:
        words = f"The shop has no bender for {revision.size} {revision.raceway}."
        raise Refusal("no_profile", words, raceway=revision.raceway, size=revision.size)
    if (profile.raceway, profile.size) != (revision.raceway, revision.size):
        raise Refusal("wrong_profile", f"{profile} doesn't bend {revision.size} {revision.raceway}.")
    return profile


def _check_state(revision: Revision, before: Release | None, profile: Profile) -> None:
    again = revision.state == Paper.RELEASED and before is not None and before.profile_id != profile.pk
    if revision.state == Paper.SENT:
        raise Refusal("not_ok", f"{revision} waits for the shop lead's OK.")
    if revision.state != Paper.OK and not again:
        raise refusal(revision)
    if has_open_question(revision):
        raise Refusal("question_open", f"A question on {revision} waits for its answer.")


def _check_solved(revision: Revision, solved: bends.Solved) -> None:
    if solved.layout is None:
        words = f"{revision} can't be bent on this bender: {solved.problems[0]['text']}"
        raise Refusal("not_solved", words, problems=solved.problems)
    if solved.three_d and not revision.three_d_yes:
        raise Refusal("needs_yes", f"Nobody said yes to how {revision} is read back.", reads=solved.reads)


def check_levels(solved: bends.Solved, actor: Person, reason: str) -> list[dict[str, Any]]:
    """The rules that are overridden. Refused: `cannot` always; `rule_needs_reason`, `rule_needs_licence`."""
    check_fits(reason, "override_reason", most=300)
    layout = solved.layout or {}
    if impossible := bends.checks_at(layout, "cannot"):
        raise Refusal("cannot", f"It can't be bent: {impossible[0]['words']}", checks=impossible)
    rules = bends.checks_at(layout, "rule")
    if rules and not licensed(actor, clock.now()):
        words = f"A rule forbids it: {rules[0]['words']} Only a licensed person may override it."
        raise Refusal("rule_needs_licence", words, checks=rules)
    if rules and not reason.strip():
        raise Refusal("rule_needs_reason", f"A rule forbids it: {rules[0]['words']} Say why it may be.", checks=rules)
    return rules


def licensed(person: Person, at: datetime) -> bool:
    """Whether the person has a licence on that day, in the shop's time zone."""
    day = timezone.localdate(at, ZoneInfo(settings.SHOP_TIME_ZONE))
    valid = person.licences.filter(since__lte=day)
    return valid.filter(until=None).exists() or valid.filter(until__gte=day).exists()


# Freezing and making


def _freeze(revision: Revision, profile: Profile, solved: bends.Solved, actor: Person, reason: str) -> Release:
    return Release.objects.create(
        revision=revision,
        number=next_number(revision),
        profile=profile,
        document=revision.document,
        layout=solved.layout,
        shape=solved.shape,
        code=new_code(),
        released_by=actor,
        released_at=clock.now(),
        override_reason=reason.strip(),
    )


def next_number(revision: Revision) -> int:
    last = revision.releases.order_by("-number").first()
    return last.number + 1 if last else 1


def _make_pieces(release: Release, solved: bends.Solved) -> None:
    revision = release.revision
    needs = _needs(revision.run, revision.quantity, solved.parts)
    skips = skipped(release.layout)
    pieces = Piece.objects.bulk_create(
        Piece(
            run=revision.run,
            need=need,
            release=release,
            revision=revision,
            copy=need.copy,
            part=need.part,
            code=new_code(),
            skips=skips[need.part - 1],
            fills=revision.run,
            made_at=release.released_at,
        )
        for need in needs
    )
    refold_pieces(pieces)


def _needs(run: Run, copies: int, parts: int) -> list[Need]:
    """The needs of these copies and parts; those of an earlier revision are the same needs."""
    there = {(need.copy, need.part): need for need in run.needs.filter(copy__lte=copies, part__lte=parts)}
    wanted = [(copy, part) for copy in range(1, copies + 1) for part in range(1, parts + 1)]
    new = [Need(run=run, copy=copy, part=part) for copy, part in wanted if (copy, part) not in there]
    there |= {(need.copy, need.part): need for need in Need.objects.bulk_create(new)}
    return [there[pair] for pair in wanted]


def skipped(layout: dict[str, Any]) -> list[list[str]]:
    """For each stick the steps that don't apply: one without a bend is neither bent nor checked."""
    return [[] if piece["marks"] else list(UNBENT) for piece in layout["pieces"]]


def _replace(before: Release, release: Release, parts: int) -> None:
    """The older ticket is dead; its pieces, none of them cut, are the newer one's."""
    pieces = list(before.pieces.order_by("copy", "part", "remake"))
    if cut := [piece for piece in pieces if piece.rank > 0]:
        tags = [str(piece) for piece in cut]
        raise Refusal("pieces_cut", f"{len(cut)} of them are cut already; scrap or use those first.", pieces=tags)
    if parts != len({piece.part for piece in pieces}):
        raise Refusal("parts_changed", "On that bender it is made of another number of sticks; send it as a revision.")
    before.replaced_at = release.released_at
    before.save(update_fields=["replaced_at"])
    before.pieces.update(release=release)
    refold_pieces(pieces)


def refold_pieces(pieces: Iterable[Piece]) -> None:
    refold([piece_key(piece.pk) for piece in pieces], RowStore())


def _write_paper(revision: Revision, profile: Profile, solved: bends.Solved) -> None:
    revision.state, revision.profile = Paper.RELEASED, profile
    write_solved(revision, solved)
    revision.save(update_fields=["state", "profile", "layout", "problems", "parts", "shape", "three_d"])
    run = revision.run
    if run.released_at is None:
        run.released_at = clock.now()
        run.save(update_fields=["released_at"])


def _tell(
    release: Release, revision: Revision, actor: Person, overrides: list[dict[str, Any]], before: Release | None
) -> None:
    history_write(
        action="revision.release",
        subject=revision,
        actor=actor,
        job=revision.run.job,
        tag=revision.run.tag,
        rev=revision.letter,
        release=release.number,
        profile=str(release.profile),
        replaces=before.number if before else None,
        overrides=[check["code"] for check in overrides],
        reason=release.override_reason,
    )
