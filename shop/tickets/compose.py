"""From rows to content: the only part of paper that knows models."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings

from bending.bender import Profile as Shoe
from bending.lengths import format_length
from shop.jobs.codes import printed
from shop.jobs.models import Job, Place, PlaceKind
from shop.jobs.sizes import size_colour
from shop.requests.models import Profile
from shop.tickets import checking, qr
from shop.tickets.booking import book_notes, book_rows
from shop.tickets.cautions import LONG_IN, cautions
from shop.tickets.content import BendRow, LabelContent, Printed, SignContent, TicketContent, TradeSize
from shop.work.models import Piece, Release

NO_FITTING = "no fitting asked for"
HAND_MARKS = {"arrow": "arrow", "notch": "notch", "star": "star", "centre": "centre"}


def tickets(release: Release, *, number: int, at: datetime, piece: Piece | None = None) -> tuple[TicketContent, ...]:
    """A release's tickets, one for each stick of its layout; `piece` makes them a remade piece's own."""
    return tuple(_ticket(release, part, number=number, at=at, piece=piece) for part in range(_parts(release)))


def _parts(release: Release) -> int:
    return len(release.layout["pieces"])


def _ticket(release: Release, part: int, *, number: int, at: datetime, piece: Piece | None) -> TicketContent:
    revision, document, layout = release.revision, release.document, release.layout
    run, stick = revision.run, layout["pieces"][part]
    bench = checking.Bench.of(layout, document, part)
    ends = ends_of(document, layout, part)
    remake = _remake(release, piece)
    return TicketContent(
        size=_size(document),
        quantity=_quantity(release, part, piece),
        tag=f"{run.tag} R{remake}" if remake else run.tag,
        place=run.place.full_name,
        title=revision.title,
        needed=f"needed {when(revision.needed_at, run.job)}" if revision.needed_at else "no day given",
        drop=f"drop: {_inside(revision.drop, run.job)}" if revision.drop else "",
        cut=stick["cut"],
        zero_words=_zero_words(ends, stick),
        zero_more=f"{_threads(stick, document)} {_runs_long(document, ends)}",
        cut_more=_cut_more(release, part),
        bends=_bends(bench, stick),
        layout=layout,
        document=document,
        piece=part,
        tape=bench.tape,
        checks=checking.boxes(bench),
        ticks=checking.ticks(bench),
        fittings=(_fitting(ends["start"]), _fitting(ends["end"])),
        fittings_more="Ream both ends. Cap both.",
        bender=_bender(release.profile, run.job),
        paper=_paper(release, number, at),
        cautions=cautions(stick, _weight(layout, part), document["raceway"], release.profile.bender.kind),
        printed=_printed(release.code, number, when(at, run.job)),
        loud=_loud(release, remake),
        names={**HAND_MARKS, **release.profile.data.get("marks", {})},
        tolerances=checking.tolerances(bench),
        book=book_rows(layout, part, bench.tape),
        book_notes=book_notes(layout),
    )


def _size(document: Mapping[str, Any]) -> TradeSize:
    return TradeSize(document["raceway"], document["size"], size_colour(document["size"]))


def _remake(release: Release, piece: Piece | None) -> int:
    """Which remake the ticket is for: 0 for none."""
    if piece is not None:
        return piece.remake
    if not release.remake_only:
        return 0
    return max((one.remake for one in release.pieces.all()), default=1)


def _quantity(release: Release, part: int, piece: Piece | None) -> int:
    """How many alike: a remade piece is one; a release's own pieces are its copies."""
    if piece is not None:
        return 1
    if release.remake_only:
        return max(sum(one.part == part + 1 for one in release.pieces.all()), 1)
    return release.revision.quantity


def _cut_more(release: Release, part: int) -> tuple[str, ...]:
    """What else the saw must know of this stick."""
    asked = (
        (_parts(release) > 1, f"stick {part + 1} of {_parts(release)}"),
        (release.layout["pieces"][part]["cut_length"] > LONG_IN, "longer than 10 ft"),
    )
    return tuple(words for true, words in asked if true)


def _loud(release: Release, remake: int) -> tuple[str, ...]:
    """What is out of the ordinary, in white on black."""
    revision = release.revision
    needed = revision.needed_at
    rush = f"RUSH {_hour(needed, revision.run.job)}" if needed else "RUSH"
    again = release.number > 1 and not release.remake_only and not remake
    asked = (
        (bool(remake), f"REMAKE R{remake}"),
        (revision.rush, rush),
        (again, "RE-TICKET"),
        (revision.number > 1, f"REV {revision.letter}"),
    )
    return tuple(words for true, words in asked if true)


def _bends(bench: checking.Bench, stick: Mapping[str, Any]) -> tuple[BendRow, ...]:
    after = checking.after_each(bench)
    return tuple(_bend(mark, stick["zero"], after) for mark in bench.marks)


def _bend(mark: Mapping[str, Any], zero: str, after: Mapping[int, str]) -> BendRow:
    seen_from = mark["from"] if mark["from"] in ("start", "end") else zero
    shoe, more = shoe_words(mark["in_shoe"], mark["roll"], seen_from)
    return BendRow(
        step=mark["step"],
        mark_at=mark["text"],
        mark=mark["mark"],
        hook=mark["hook"],
        zero=zero,
        shoe=shoe,
        shoe_more=more,
        roll=float(mark["roll"]) % 360,
        angle=round(float(mark["angle"]), 1),
        go_to=_go_to(mark),
        measured_from="" if mark["from"] == zero else _from_words(mark["from"], zero),
        check=after.get(mark["step"], ""),
        seen_from=seen_from,
    )


def _go_to(mark: Mapping[str, Any]) -> float | None:
    """The reading past the angle, where the bender springs back by as much as anybody can see."""
    reading = round(float(mark["bend_to"]), 1)
    return reading if abs(reading - round(float(mark["angle"]), 1)) >= 0.1 else None


def _from_words(measured_from: str, zero: str) -> str:
    return "far end" if measured_from in ("start", "end") else measured_from


def shoe_words(in_shoe: str, roll: float, zero: str) -> tuple[str, str]:
    """The line in the shoe as a word; an odd roll as degrees from the nearer of top and bottom, toward a side."""
    if in_shoe in ("top", "left", "bottom", "right"):
        return in_shoe.upper(), ""
    seen = (roll if zero == "start" else -roll) % 360
    side = "LEFT" if seen < 180 else "RIGHT"
    off = min(seen, 360 - seen)
    line, degrees = ("TOP", off) if off <= 90 else ("BOTTOM", 180 - off)
    return f"{checking.degrees(degrees)} from {line}", f"toward {side}"


def ends_of(document: Mapping[str, Any], layout: Mapping[str, Any], part: int) -> dict[str, Mapping[str, Any]]:
    """What stands at a stick's two ends: the run's own end, or what joins it to the stick beside it."""
    pieces = layout["pieces"]
    ends = {end: document.get(end) or {} for end in ("start", "end")}
    if part > 0:
        ends["start"] = _joint(pieces[part - 1], part)
    if part < len(pieces) - 1:
        ends["end"] = _joint(pieces[part], part + 2)
    return ends


def _joint(before: Mapping[str, Any], other: int) -> Mapping[str, Any]:
    """A joint as an end: where it goes, and what is put on it."""
    return {"to": f"piece {other}", "fitting": (before.get("then") or {}).get("fitting", "coupling"), "joint": True}


def _end_words(ends: Mapping[str, Mapping[str, Any]], end: str) -> str:
    """ "A end, box face, box C-3": A is always the one nearer to the run's start."""
    to = str(ends[end].get("to", ""))
    letter = "A end" if end == "start" else "B end"
    return f"{letter}, {to}" if to else letter


def _zero_words(ends: Mapping[str, Mapping[str, Any]], stick: Mapping[str, Any]) -> str:
    """The end that is zero; on a stick that is bent end for end, from which step on it is the other one."""
    zero = stick["zero"]
    far = "end" if zero == "start" else "start"
    turned = [mark["step"] for mark in stick["marks"] if mark["from"] == far]
    words = _end_words(ends, zero)
    return f"{words}. From bend {min(turned)} on: {_end_words(ends, far)}" if turned else words


def _fitting(end: Mapping[str, Any]) -> str:
    """Where the end goes and what is put on it."""
    return "; ".join(filter(None, (str(end.get("to", "")), str(end.get("fitting") or NO_FITTING))))


def _threads(stick: Mapping[str, Any], document: Mapping[str, Any]) -> str:
    ends = [("A", "start"), ("B", "end")]
    threaded = [letter for letter, end in ends if end in stick.get("threads", ())]
    if threaded:
        return f"Thread {' and '.join(threaded)} end before bending."
    return "No threads asked for." if document["raceway"] in ("RMC", "IMC") else "No threads."


def _runs_long(document: Mapping[str, Any], ends: Mapping[str, Mapping[str, Any]]) -> str:
    long = document.get("run_long")
    if not long or ends[long["end"]].get("joint"):
        return "No end runs long."
    letter = "A" if long["end"] == "start" else "B"
    return f"{letter} end runs {checking.bare(str(long['by']))} long: cut it in the field."


def _bender(profile: Profile, job: Job) -> str:
    shoe = Shoe.from_json(profile.data, profile.raceway, profile.size)
    tested = f"tested {when(profile.tested_at, job)}" if profile.tested_at else "NOT TESTED"
    take_up, gain = (checking.bare(format_length(value)) for value in (shoe.take_up, shoe.gain()))
    name = f"{profile.bender.name}, {profile.size} {profile.raceway}, version {profile.version}"
    return f"{name}, {tested}: take-up {take_up}, gain {gain}"


def _paper(release: Release, number: int, at: datetime) -> str:
    job = release.revision.run.job
    return (
        f"Rev {release.revision.letter}, release {release.number} of {when(release.released_at, job)}. "
        f"Ticket {printed(release.code)}, print {number}, {when(at, job)}."
    )


def _weight(layout: Mapping[str, Any], part: int) -> float | None:
    pieces = (layout.get("size") or {}).get("pieces") or []
    return float(pieces[part]["weight"]) if part < len(pieces) else None


def _printed(code: str, number: int, at: str) -> Printed:
    return Printed(code, qr.text_of(code, settings.LABEL_ADDRESS), number, at)


def when(moment: datetime, job: Job | None) -> str:
    """Thu Nov 27, 7:00 in the job's time zone."""
    local = moment.astimezone(_zone(job))
    return f"{local:%a %b} {local.day}, {local.hour}:{local:%M}"


def _hour(moment: datetime, job: Job) -> str:
    local = moment.astimezone(_zone(job))
    return f"{local:%a} {local.hour}:{local:%M}"


def _zone(job: Job | None) -> ZoneInfo:
    return ZoneInfo(job.time_zone if job else settings.SHOP_TIME_ZONE)


def _inside(place: Place, job: Job) -> str:
    """A place's full name without the job's own name before it."""
    return place.full_name.removeprefix(f"{job.name}, ")


def label(piece: Piece, *, number: int, at: datetime) -> LabelContent:
    """A piece's label, from the release that it was made by."""
    release, revision, run = piece.release, piece.revision, piece.run
    document, layout, part = release.document, release.layout, piece.part - 1
    bench = checking.Bench.of(layout, document, part)
    ends, parts = ends_of(document, layout, part), _parts(release)
    return LabelContent(
        size=_size(document),
        tag=run.tag,
        copy=f"copy {piece.copy} of {revision.quantity}",
        job=run.job.name,
        place=_inside(run.place, run.job),
        a_end=_end_label(ends["start"]),
        b_end=_end_label(ends["end"]),
        revision=revision.letter,
        overall=overall(layout, part, bench),
        layout=layout,
        printed=_printed(piece.code, number, when(at, run.job)),
        part=f"piece {piece.part} of {parts}" if parts > 1 else "",
        bundle=piece.box,
        remake=f"R{piece.remake}" if piece.remake else "",
        critical=_critical(bench),
    )


def label_query() -> Any:
    """Pieces with everything that their labels say, in one query."""
    return Piece.objects.select_related("release", "revision", "run__job", "run__place")


def _end_label(end: Mapping[str, Any]) -> str:
    """Where an end goes: a joint's stick, by the fitting between them."""
    to = str(end.get("to", "")) or "not named"
    return f"{end['fitting']} to {to}" if end.get("joint") else to


def overall(layout: Mapping[str, Any], part: int, bench: checking.Bench) -> str:
    """One length for a straight-through piece, else its box: 57 by 49 13/16."""
    for check in bench.dimensions:
        if check.ends == ("end", "end"):
            return f"overall {checking.bare(bench.length(check))}"
    box = layout["size"]["pieces"][part]["box"]
    first, second, _ = sorted((float(side) for side in box), reverse=True)
    return " by ".join(checking.bare(format_length(side, bench.tape)) for side in (first, second))


def _critical(bench: checking.Bench) -> str:
    """The first must-hit dimension, in words; the overall length stands on the label anyway."""
    starred = [check for check in bench.dimensions if bench.starred(check) and check.ends != ("end", "end")]
    return f"{checking.bare(bench.length(starred[0]))} {checking.words(starred[0], bench)}" if starred else ""


def sign(place: Place, *, number: int, at: datetime) -> SignContent:
    """A place's sign: its own name large, what it lies in above, and what to do there."""
    job = place.job
    return SignContent(
        job=job.name if job else settings.SHOP_NAME,
        above=_above(place),
        name=place.name,
        steps=SIGN_STEPS.get(place.kind, SIGN_STEPS[PlaceKind.AREA]),
        note=SIGN_NOTES.get(place.kind, ""),
        note_more="The phone's own camera opens it too.",
        printed=_printed(place.code, number, when(at, job)),
    )


def _above(place: Place) -> tuple[str, ...]:
    """What a place lies in, the outermost first; the job's own name stands elsewhere."""
    names: list[str] = []
    while place.parent is not None:
        place = place.parent
        if place.kind not in (PlaceKind.JOB, PlaceKind.SHOP):
            names.insert(0, place.name)
    return tuple(names)


SIGN_STEPS: dict[str, tuple[str, ...]] = {
    PlaceKind.DROP: ("Scan this sign.", "Scan each piece you leave.", "What is short or bent: say so now."),
    PlaceKind.RACK: ("Scan this sign.", "Scan each piece you put here.", "Take none without a scan."),
    PlaceKind.BENCH: ("Scan this sign.", "Scan the ticket.", "Scan each piece when it is done."),
    PlaceKind.BIN: ("Scan the piece first.", "Say why: short, kinked, wrong angle, mirrored.", "Then throw it in."),
    PlaceKind.TRUCK: ("Scan this sign.", "Scan each piece you load.", "Wrong job? It says so before you drive."),
    PlaceKind.AREA: ("Scan this sign.", "Scan each piece you bring.", "Scan it again when it is in."),
}
SIGN_NOTES: dict[str, str] = {
    PlaceKind.DROP: "Only what is meant for here.",
    PlaceKind.BIN: "Nothing comes back out of here.",
}
