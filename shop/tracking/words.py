"""What the one word at a scan looks like, and what it tells a man to do with the metal in his hand."""

from dataclasses import dataclass

from shop.work.derive.vocabulary import STEPS
from shop.work.models import Piece


@dataclass(frozen=True)
class Shout:
    """`look` is the band's colour (go, wait, stop, quiet), `sign` its shape; `says` is the sentence under the word."""

    word: str
    look: str
    sign: str
    says: str


BAD = {
    "SCRAP": ("stop", "octagon", "Don't use it. It belongs in the scrap bin."),
    "REPLACED": ("stop", "octagon", "Don't use it. {by} takes its place."),
    "OLD REV": (
        "stop",
        "octagon",
        "Stop. It is rev {rev}, and rev {now} exists. Keep it apart until somebody decides.",
    ),
    "HOLD": ("wait", "square", "Leave it as it is. Somebody holds it and says why below."),
    "DAMAGED": ("wait", "triangle", "Don't put it in. Ask for a remake, or say how it was made to fit."),
    "WRONG PLACE": ("wait", "triangle", "It isn't where it is wanted. It goes to {place}."),
    "LOST": ("wait", "triangle", "It was given up as lost. Say where you see it."),
    "SHORT": ("wait", "triangle", "It stood on the slip and wasn't there. Say where you see it."),
    "OVER": ("wait", "triangle", "Nobody needs it now. Send it back to the shop."),
    "NOT CHECKED": ("wait", "triangle", "Nobody has checked it yet. Check it before it goes on."),
}
GO = {
    "CUT": "It is next at the saw.",
    "BEND": "It is cut. It is next at the bender.",
    "CHECK": "It is bent. Measure it and say whether it passes.",
    "LABEL": "Put its label on.",
    "BUNDLE": "It goes to the rack, for the truck.",
    "LOAD": "It is ready for the truck.",
    "DROP": "It is on the truck for {drop}.",
    "RECEIVE": "It was left here. Count it and say that you have it.",
    "INSTALL": "It goes to {place}.",
}
QUIET = {"IN": "It is in, at {place}.", "CLOSED": "Its account is closed: {account}."}


def shout(piece: Piece) -> Shout:
    """The word of a piece with its look and its sentence. A word that has none is an error, not a blank."""
    if piece.word in BAD:
        look, sign, says = BAD[piece.word]
    elif piece.word in GO:
        look, sign, says = "go", "disc", GO[piece.word]
    elif piece.word in QUIET:
        look, sign, says = "quiet", "disc", QUIET[piece.word]
    else:
        raise ValueError(f"no picture for the word {piece.word!r}")
    return Shout(piece.word, look, sign, says.format(**_named(piece)))


def _named(piece: Piece) -> dict[str, str]:
    by = piece.replaced_by
    return {
        "by": f"{piece.run.tag} R{by.remake}" if by and by.remake else "A newer piece",
        "rev": piece.revision.letter,
        "now": piece.run.present.letter,
        "place": str(piece.run.place),
        "drop": str(piece.revision.drop or piece.run.place),
        "account": piece.account or "in",
    }


STEP_WORDS = {
    "labelled": "in shop, labelled",
    "bundled": "in shop, bundled",
    "loaded": "on the truck",
    "dropped": "here, left at the drop point",
    "received": "here, counted",
    "in the room": "here, in the room",
    "in": "in",
    "closed": "closed",
}


def step_words(piece: Piece) -> str:
    """How far a piece is, as it is said on the area page."""
    if piece.step in STEP_WORDS:
        return STEP_WORDS[piece.step]
    if piece.step in STEPS:
        return f"in shop, {piece.step}"
    raise ValueError(f"no words for the step {piece.step!r}")
