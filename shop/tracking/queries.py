"""What the pages of tracking show: a piece, a find, an area, today."""

from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.urls import reverse

from shop.jobs.codes import SHORT, clean_code, is_code
from shop.jobs.models import Person, Place
from shop.jobs.permissions import may, visible
from shop.jobs.templatetags.times import said
from shop.requests import drawings
from shop.tracking.forms import places_for
from shop.tracking.life import life
from shop.tracking.words import shout, step_words
from shop.work import services as work
from shop.work.models import Piece, Release

MOST_FOUND = 30


@dataclass(frozen=True)
class Hit:
    """One thing that was found by what somebody typed: where it opens, and what it is."""

    url: str
    tag: str
    words: str
    detail: str


# Finding


def find(person: Person, typed: str) -> list[Hit]:
    """By whole code; else the last six of one; else tag, tag and copy; else room. The first that finds anything."""
    code = clean_code(typed)
    if is_code(code):
        return _by_code(person, code)
    ways = (_by_short_code(person, code), _by_tag(person, typed), _by_place(person, typed))
    return next((found for found in ways if found), [])


def _by_code(person: Person, code: str) -> list[Hit]:
    pieces = _pieces(person).filter(code=code)
    releases = visible(person, Release).filter(code=code).select_related("revision__run__place")
    places = visible(person, Place).filter(code=code)
    return [*map(_piece_hit, pieces), *map(_release_hit, releases), *map(_place_hit, places)]


def _by_short_code(person: Person, code: str) -> list[Hit]:
    if len(code) != SHORT:
        return []
    return [_piece_hit(piece) for piece in _pieces(person).filter(code__endswith=code)[:MOST_FOUND]]


def _by_tag(person: Person, typed: str) -> list[Hit]:
    """`S-04`, `S-04 3` or `S-04 R1`: the wanted copies first, the dead ones last."""
    tag, _, rest = " ".join(typed.split()).rpartition(" ")
    whole = _pieces(person).filter(run__tag__iexact=" ".join(typed.split()))
    if rest.isascii() and rest.isdigit() and len(rest) < 6 and tag:
        whole = whole | _pieces(person).filter(run__tag__iexact=tag, copy=int(rest))
    elif rest[:1].upper() == "R" and rest[1:].isascii() and rest[1:].isdigit() and len(rest) < 6 and tag:
        whole = whole | _pieces(person).filter(run__tag__iexact=tag, remake=int(rest[1:]))
    return [_piece_hit(piece) for piece in whole.order_by("dead", "run__tag", "copy", "-remake")[:MOST_FOUND]]


def _by_place(person: Person, typed: str) -> list[Hit]:
    words = " ".join(typed.split())
    if len(words) < 2:
        return []
    rows = visible(person, Place).filter(full_name__icontains=words, retired_at=None).exclude(job=None)
    return [_place_hit(place) for place in rows.order_by("path")[:MOST_FOUND]]


def _pieces(person: Person) -> QuerySet[Piece]:
    return visible(person, Piece).select_related("run__job", "run__place", "revision", "place")


def _piece_hit(piece: Piece) -> Hit:
    remade = f" R{piece.remake}" if piece.remake else ""
    words = f"copy {piece.copy}, {piece.word.lower() if piece.flags else step_words(piece)}"
    return Hit(reverse("piece", args=[piece.pk]), f"{piece.run.tag}{remade}", words, str(piece.run.place))


def _release_hit(release: Release) -> Hit:
    revision = release.revision
    words = "an old ticket: don't use it" if release.dead else "its ticket"
    return Hit(reverse("run", args=[revision.run_id]), revision.run.tag, f"rev {revision.letter}, {words}", "")


def _place_hit(place: Place) -> Hit:
    return Hit(reverse("area", args=[place.pk]), place.name, place.get_kind_display(), place.full_name)


# One piece


def piece(shown: Piece, person: Person) -> dict[str, Any]:
    """Everything that a piece's page shows."""
    run, layout = shown.run, shown.release.layout
    return {
        "piece": shown,
        "run": run,
        "revision": shown.revision,
        "copies": shown.revision.quantity,
        "shout": shout(shown),
        "lines": _lines(shown),
        "shape": drawings.views(shown.release.document, layout),
        "ends": _ends(shown.release.document),
        "cut": layout["pieces"][shown.part - 1]["cut_length"],
        "where": _where(shown),
        "step_words": step_words(shown),
        "life": life(shown),
        "remakes": list(Piece.objects.filter(run=run, copy=shown.copy, part=shown.part).exclude(pk=shown.pk)),
        "places": [(place.pk, place.full_name) for place in places_for(shown, person)],
        "can_remake": not shown.dead and shown.replaced_by_id is None and may(person, "piece.remake"),
    }


def _lines(shown: Piece) -> list[str]:
    """Everything else that is true, under the word."""
    told = [flag for flag in shown.flags_told if flag != shown.word]
    if shown.remake:
        told.append(f"REMAKE R{shown.remake}")
    if shown.replaced_by_id and shown.word != "REPLACED":
        told.append(f"R{shown.replaced_by.remake} replaces this")  # type: ignore[union-attr]
    return told


def _ends(document: dict[str, Any]) -> dict[str, str]:
    """A is the zero end, B the far one; each says what it was measured to and what goes on it."""
    named = {"a": document.get("start") or {}, "b": document.get("end") or {}}
    return {end: ", ".join(filter(None, (told.get("to"), told.get("fitting")))) for end, told in named.items()}


def _where(shown: Piece) -> str:
    """Where it was last seen, in which bundle, on which load, and when."""
    told = [str(shown.place) if shown.place else ""]
    told += [f"bundle {shown.box}"] if shown.box else []
    told += [f"load {shown.load}"] if shown.load else []
    told += [said(shown.seen_at, shown.run.job)] if shown.seen_at else []
    return ", ".join(filter(None, told)) or "not seen yet"


def answer_words(done: work.Recorded, words: str) -> str:
    """What the maker of a record hears: thanks, or that it was known already."""
    heard = {reply.partition(":")[0] for reply in done.replies}
    for code, told in HEARD.items():
        if code in heard:
            return told
    return f"{words}. Kept."


HEARD = {
    "already": "That was known already; nothing changed.",
    "on_other_load": "It is on another load. Say it again with the load that it is really on.",
    "loaded_after": "It stands as received. If it is taken along again, say so.",
    "stands_later": "Kept. It stands further on already, so nothing moved.",
    "not_yours_now": "Kept, but somebody else has to decide that now.",
    "ask_lead": "Only the shop lead can take that back now.",
    "phone_clock": "Kept. The clock of this device is off, so the shop's time was used.",
}
