"""What each verb does to one stick or box (`state`). `via`: the box through which it is meant; None is its own scan."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from shop.work.derive.facts import load_of, truck_place
from shop.work.derive.record import Record
from shop.work.derive.state import Snag, State
from shop.work.derive.vocabulary import (
    BENT,
    BUNDLED,
    CHECKED,
    CUT,
    DROPPED,
    IN,
    IN_ROOM,
    LABELLED,
    LOADED,
    RECEIVED,
    ROOM_KINDS,
)

if TYPE_CHECKING:
    from shop.work.derive.fold import World

# whether the record takes effect on it: what a box doesn't take, what lies in it doesn't take either
Handler = Callable[["World", State, Record, State | None], bool]


def made(step: int) -> Handler:
    """Cut, bent, labelled: forward, and where it was done."""

    def say(world: "World", state: State, record: Record, via: State | None) -> bool:
        if state.forward(step, record) and record.place:
            world.put_at(state, record.place, record)
        return True

    return say


def check(world: "World", state: State, record: Record, via: State | None) -> bool:
    state.verdict = record.text("result")
    if state.verdict == "pass":
        return made(CHECKED)(world, state, record, via)
    state.forget_check()
    if state.step == CHECKED:
        state.back(BENT, record, seen=False)
    if state.forward(BENT, record, seen=False) and record.place:
        world.put_at(state, record.place, record)
    return True


def printed(world: "World", state: State, record: Record, via: State | None) -> bool:
    return made(LABELLED)(world, state, record, via) if record.get("how") == "finish" else True


def pack(world: "World", state: State, record: Record, via: State | None) -> bool:
    into = world.box(str(record.text("into")))
    if via is None and world.lies_in(into, state):
        return False
    aboard = into.step == LOADED and into.load is not None and record.place is None
    if aboard and on_another(state, into.load):
        return refuse_truck(state, record, str(into.load))
    target = LOADED if aboard else BUNDLED
    if via is None:
        state.forward(BUNDLED, record)
    if target < state.step:
        return stands_later(state, record, via, already=state.box == into.key)
    if via is None:
        world.put_in(state, into)
    return _lie_in(world, state, record, into, aboard)


def _lie_in(world: "World", state: State, record: Record, into: State, aboard: bool) -> bool:
    place = record.place or into.place
    if aboard:  # F9: put into a box that is aboard; nobody saw it loaded
        state.forward(LOADED, record, seen=False)
        _board(world, state, record, str(into.load), loaded=False)
    elif place is not None:
        world.put_at(state, place, record)
    state.box_place = state.place
    return True


def unpack(world: "World", state: State, record: Record, via: State | None) -> bool:
    if via is None:
        world.take_out(state)
        if state.step == BUNDLED and not state.box_kind:
            state.back(LABELLED, record, seen=False)
    if record.place:
        world.put_at(state, record.place, record)
        state.box_place = record.place if via else None
    return True


def on_another(state: State, load: str | None) -> bool:
    """F5: loaded on another truck, and last seen on it."""
    still_on = state.step == LOADED and state.load is not None and state.place == truck_place(state.load)
    return still_on and state.load != load


def refuse_truck(state: State, record: Record, load: str) -> bool:
    state.note(record, "on_other_load")
    state.asked_of[record.nonce] = load
    return False


def stands_later(state: State, record: Record, via: State | None, already: bool = False) -> bool:
    if via is None and not already:
        state.note(record, "stands_later")
    return False


def load(world: "World", state: State, record: Record, via: State | None) -> bool:
    truck = str(record.text("load"))
    if state.step > LOADED:
        return _loaded_late(world, state, record, via, truck)
    if on_another(state, truck) and not record.flag("move"):
        return refuse_truck(state, record, truck)
    if via is None and world.box_of(state) is not None and world.box_load(state) not in (None, truck):
        world.leave(state, record)
    state.forward(LOADED, record)
    _board(world, state, record, truck)
    return True


def _loaded_late(world: "World", state: State, record: Record, via: State | None, truck: str) -> bool:
    """Loaded, though it stands dropped or further."""
    if record.flag("again") or (state.box_kind and via is None and state.trip not in (None, truck)):
        return _loaded_again(world, state, record, via, truck)
    if via is not None and state.trip not in (None, truck):  # F8
        world.leave(state, record)
        return False
    state.forward(LOADED, record)
    if state.trip in (None, truck):
        _set_trip(world, state, truck)
        state.loaded = True
    else:
        state.note(record, "loaded_after")
    return True


def _loaded_again(world: "World", state: State, record: Record, via: State | None, truck: str) -> bool:
    if via is None and world.box_of(state) is not None and world.box_load(state) != truck:
        world.leave(state, record)
    state.back(LOADED, record, seen=True)
    _board(world, state, record, truck)
    return True


def _board(world: "World", state: State, record: Record, truck: str, loaded: bool = True) -> None:
    world.put_at(state, truck_place(truck), record)
    state.load, state.box_place = truck, truck_place(truck)
    _set_trip(world, state, truck)
    state.loader, state.returned = (record.person, record.nonce), None
    state.loaded = state.loaded or loaded


def _set_trip(world: "World", state: State, truck: str | None) -> None:
    if truck is None:
        return
    if truck != state.trip:
        state.trip, state.loaded = truck, False
    state.rode = world.chain(state)
    state.asked_of = {nonce: other for nonce, other in state.asked_of.items() if other != truck}


def off_load(world: "World", state: State, record: Record, via: State | None) -> bool:
    if world.facts.on_site(record.place):
        return seen(world, state, record, via)
    if state.step != LOADED:
        return _off_load_unloaded(world, state, record, via)
    if via is None:
        world.leave(state, record)
    state.back(BUNDLED if state.box_kind or state.box else LABELLED, record, seen=False)
    world.put_at(state, record.place or world.facts.first_of("shop"), record)
    state.box_place = state.place
    return True


def _off_load_unloaded(world: "World", state: State, record: Record, via: State | None) -> bool:
    """Nothing to take back: it is only a sighting in the shop."""
    if state.step > LOADED:
        stands_later(state, record, via)
    return seen(world, state, record, via) if record.place else False


def kept(world: "World", state: State, record: Record, via: State | None) -> bool:
    truck = record.text("load") or state.trip
    if state.step > RECEIVED:
        if via is not None:
            world.leave(state, record)
        return stands_later(state, record, via)
    if truck is not None and on_another(state, truck):
        return refuse_truck(state, record, truck)
    if via is None:
        world.leave(state, record)
    if state.step > LOADED:
        state.back(LOADED, record, seen=True)
    state.forward(LOADED, record)
    if truck is not None:
        _board(world, state, record, truck)
    return True


def drop(world: "World", state: State, record: Record, via: State | None) -> bool:
    if state.step <= DROPPED:
        _leave_if_apart(world, state, record, via)
    _arrive(world, state, record, via, DROPPED)
    return True


def receive(world: "World", state: State, record: Record, via: State | None) -> bool:
    if state.box_kind and via is None and record.number("count") is not None:
        blocked = state.final and not record.flag("final")
        state.counts.append(record)
        if blocked:  # F10: after a final count one that isn't changes nothing
            return False
        state.final = state.final or record.flag("final")
    if via is not None and record.number("count") is not None:
        state.counted = record.nonce
    _arrive(world, state, record, via, RECEIVED)
    return True


def _arrive(world: "World", state: State, record: Record, via: State | None, step: int) -> None:
    truck = record.text("load")
    before = state.step
    if not state.forward(step, record):
        if state.trip is None:
            _set_trip(world, state, truck)
        return
    if before < step or state.trip is None:
        _set_trip(world, state, truck or state.load or state.trip)
    state.load, state.returned = None, None
    world.put_at(state, record.place, record)
    if via is not None:
        state.box_place = record.place


def seen(world: "World", state: State, record: Record, via: State | None) -> bool:
    facts, place = world.facts, record.place
    truck = load_of(place)
    elsewhere = facts.in_shop(place) or (facts.on_truck(place) and truck != state.trip)
    if via is not None and state.step >= DROPPED and elsewhere:  # F8
        world.leave(state, record)
        return False
    _leave_if_apart(world, state, record, via)
    if facts.on_site(place):
        _seen_on_site(state, record, IN_ROOM if facts.kind(place) in ROOM_KINDS else DROPPED)
    elif facts.on_truck(place):
        _seen_on_truck(world, state, record, truck)
    elif state.step == LOADED:
        state.load = None
    world.put_at(state, place, record)
    state.box_place = place if via else state.box_place
    return True


def _seen_on_site(state: State, record: Record, step: int) -> None:
    if state.forward(step, record):
        state.load, state.returned = None, None


def _seen_on_truck(world: "World", state: State, record: Record, truck: str | None) -> None:
    if state.forward(LOADED, record):
        state.load = truck
        _set_trip(world, state, truck)
        state.loader, state.loaded = (record.person, record.nonce), True


def _leave_if_apart(world: "World", state: State, record: Record, via: State | None) -> None:
    """F7: seen or dropped where its box is not."""
    if via is not None or state.box is None or state.box_place is None or record.place is None:
        return
    if record.place not in world.facts.upward(state.box_place):
        world.leave(state, record)


def installed(world: "World", state: State, record: Record, via: State | None) -> bool:
    world.leave(state, record)
    before = state.step
    state.forward(IN, record)
    state.load, state.returned = None, None
    state.drop_snags("over")
    place = record.place
    if place is None and (before < IN or state.place is None):
        place = world.wanted(state)
    if place is not None:
        world.put_at(state, place, record)
    return True


def pull(world: "World", state: State, record: Record, via: State | None) -> bool:
    world.leave(state, record)
    was_there = state.step >= IN_ROOM
    if state.step > IN_ROOM:
        state.back(IN_ROOM, record, seen=True)
    state.forward(IN_ROOM, record)
    state.load, state.elsewhere, state.elsewhere_need, state.account = None, None, None, None
    place = record.place or (state.place if was_there else None) or world.wanted(state)
    world.put_at(state, place, record)
    return True


def give_back(world: "World", state: State, record: Record, via: State | None) -> bool:
    """Return: to come again, or to stock and no longer for its need."""
    if via is None:
        world.leave(state, record)
    state.back(BUNDLED if state.box_kind or via else LABELLED, record, seen=False)
    state.elsewhere, state.elsewhere_need = None, None
    state.drop_snags("over")
    state.returned = record.text("for")
    truck = record.text("load")
    world.put_at(state, record.place or (truck_place(truck) if truck else world.facts.first_of("shop")), record)
    state.box_place = state.place
    return True


def scrap(world: "World", state: State, record: Record, via: State | None) -> bool:
    world.leave(state, record)
    state.forward(CUT, record, seen=False)
    if state.scrapped is None:
        state.scrapped, state.load = record.nonce, None
        world.put_at(state, record.place or world.facts.first_of("bin"), record)
    return True


def snag(world: "World", state: State, record: Record, via: State | None) -> bool:
    """A short that names a count was said of that count, and is heard there (`World.count_without`)."""
    if record.nonce in world.cleared or record.nonce in world.heard:
        return True
    raise_snag(world, state, record)
    return True


def raise_snag(world: "World", state: State, record: Record) -> None:
    """Raises a snag's flag; short or lost, nobody knows where it is."""
    kind = str(record.text("kind"))
    if kind in ("short", "lost"):
        world.leave(state, record)
        state.place, state.load, state.counted = None, None, None
    state.snags.append(Snag(kind, record.nonce))


def modified(world: "World", state: State, record: Record, via: State | None) -> bool:
    state.modified = record.nonce
    return True


def used_elsewhere(world: "World", state: State, record: Record, via: State | None) -> bool:
    world.leave(state, record)
    state.forward(IN, record)
    state.load, state.returned = None, None
    state.elsewhere, state.elsewhere_need = record.nonce, record.text("need")
    world.put_at(state, record.place, record)
    return True


def close(world: "World", state: State, record: Record, via: State | None) -> bool:
    account = record.text("account")
    if account == "in":
        installed(world, state, record, via)
    world.leave(state, record)
    state.account = "in" if state.step == IN else account
    state.turned_up = None
    return True


HANDLERS: dict[str, Handler] = {
    "cut": made(CUT),
    "bend": made(BENT),
    "check": check,
    "print": printed,
    "label": made(LABELLED),
    "pack": pack,
    "unpack": unpack,
    "load": load,
    "off_load": off_load,
    "kept": kept,
    "drop": drop,
    "receive": receive,
    "seen": seen,
    "in": installed,
    "pull": pull,
    "return": give_back,
    "scrap": scrap,
    "snag": snag,
    "modified": modified,
    "elsewhere": used_elsewhere,
    "close": close,
}
