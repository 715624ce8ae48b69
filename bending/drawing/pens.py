"""Style names and what they mean on a screen and on paper.

A page may restyle every name through its class (`d-` and the name): the values here are what a picture looks like by
itself, in light. Line widths are px on a screen and pt on paper.
"""

from __future__ import annotations

from dataclasses import dataclass

MEDIA = ("screen", "paper")

INK, SECOND, SHEET = "#101A16", "#3F4B45", "#FFFFFF"
PIPE, SOLID = "#CBD4CF", "#9AA59F"
DIP, FAINT = "#DDE3DF", "#BFC8C2"
ACT, ACT_WASH = "#0B4A7D", "#DCEAF5"
STOP, STOP_WASH = "#B01218", "#FBE4E1"


@dataclass(frozen=True)
class Pen:
    """Stroke and fill colours (None: not drawn), widths and dashes on a screen and on paper, weight of letters."""

    stroke: str | None = None
    fill: str | None = None
    screen: float = 0
    paper: float = 0
    dash: tuple[float, ...] = ()
    paper_dash: tuple[float, ...] = ()
    paper_fill: str | None = None
    weight: int = 400

    def width(self, medium: str) -> float:
        """Line width on `paper` or on a screen, in drawing units."""
        return self.paper if medium == "paper" else self.screen

    def dashes(self, medium: str) -> tuple[float, ...]:
        """Dash and gap lengths on `paper` or on a screen; empty for a whole line."""
        return self.paper_dash if medium == "paper" else self.dash

    def fills(self, medium: str) -> str | None:
        """The fill on `paper` or on a screen; None for an open shape."""
        return self.paper_fill if medium == "paper" and self.paper_fill else self.fill


PENS = {
    "pipe": Pen(INK, PIPE, 2.5, 1.25, paper_fill=SHEET),
    "pipe-lit": Pen(ACT, ACT_WASH, 3, 2.2),
    "pipe-bad": Pen(STOP, STOP_WASH, 3.5, 2.2),
    "body": Pen(None, PIPE, paper_fill=SHEET),
    "body-lit": Pen(None, ACT_WASH),
    "body-bad": Pen(None, STOP_WASH),
    "bore": Pen(INK, SHEET, 1.25, 0.6),
    "cut": Pen(INK, None, 2.5, 1.25),
    "cut-lit": Pen(ACT, None, 3, 2.2),
    "cut-bad": Pen(STOP, None, 3.5, 2.2),
    "was": Pen(INK, None, 1.5, 0.8, (5, 4), (2, 2)),
    "gap": Pen(None, SHEET),
    "break": Pen(INK, None, 1.5, 0.8),
    "stripe": Pen(INK, None, 1.5, 0.8, (14, 3), (9, 3)),
    "solid": Pen(INK, SOLID, 2, 1, paper_fill="#D9D9D9"),
    "surface": Pen(None, DIP, paper_fill=SHEET),
    "grid": Pen(FAINT, None, 1.5, 0.4),
    "hatch": Pen(SECOND, None, 1, 0.4),
    "dim": Pen(SECOND, None, 1.25, 0.6),
    "slash": Pen(INK, None, 2, 1.2),
    "ext": Pen(SECOND, None, 1, 0.4),
    "lit": Pen(ACT, None, 3, 1.5),
    "bad": Pen(STOP, None, 3, 1.5),
    "mark": Pen(INK, None, 3, 2.2),
    "flag": Pen(None, INK),
    "open": Pen(INK, SHEET, 2.2, 1.4),
    "mark-lit": Pen(ACT, None, 5, 3),
    "flag-lit": Pen(None, ACT),
    "open-lit": Pen(ACT, SHEET, 3, 2),
    "mark-done": Pen(SECOND, None, 3, 2.2),
    "flag-done": Pen(None, SECOND),
    "open-done": Pen(SECOND, SHEET, 2.2, 1.4),
    "disc": Pen(INK, SHEET, 1.5, 0.6),
    "saw": Pen(INK, None, 4, 2.2),
    "zero": Pen(None, INK),
    "zero-open": Pen(INK, SHEET, 2.2, 1.4),
    "shoe": Pen(None, INK),
    "line-in-shoe": Pen(INK, None, 11, 4),
    "line-under": Pen(SHEET, None, 11, 4),
    "text": Pen(None, INK),
    "note": Pen(None, SECOND),
    "name": Pen(None, INK, weight=600),
    "loud": Pen(None, INK, weight=800),
    "on-shoe": Pen(None, SHEET, weight=800),
    "number": Pen(None, INK, weight=800),
    "number-lit": Pen(None, ACT, weight=800),
    "number-bad": Pen(None, STOP, weight=800),
    "number-done": Pen(None, SECOND, weight=600),
    "star": Pen(None, INK),
}
