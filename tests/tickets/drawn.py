"""Sheets drawn from sample rows, read back."""

import json
from pathlib import Path
from typing import Any

from shop.jobs.models import Place
from shop.tickets import compose
from shop.tickets.canvas import Paper
from shop.tickets.drawing.label import draw_label
from shop.tickets.drawing.sign import draw_sign
from shop.tickets.drawing.ticket import draw_ticket
from shop.tickets.specs import LABELS, PAGES, LabelStock
from shop.work.models import Release
from tests.tickets import sample
from tests.tickets.reading import Pages

_RUNS = json.loads(Path(sample.DEMO).read_text())["runs"]
RUNS = [run["tag"] for run in _RUNS]
BENT = [run["tag"] for run in _RUNS if len(run["document"]["path"]) > 1 or "features" in run["document"]["path"][0]]


def ticket(release: Release, stock: str = "letter", **more: Any) -> Pages:
    paper = Paper("test")
    for content in compose.tickets(release, number=1, at=sample.AT, **more):
        draw_ticket(paper, PAGES[stock], content)
    return Pages(paper.finish())


def demo_ticket(tag: str, stock: str = "letter", **changes: Any) -> Pages:
    return ticket(sample.release(sample.demo_run(tag), **changes), stock)


def label(release: Release, stock: str | LabelStock = "wrap-4x2", **changes: Any) -> Pages:
    paper = Paper("test")
    found = LABELS[stock] if isinstance(stock, str) else stock
    draw_label(paper, found, compose.label(sample.piece(release, **changes), number=1, at=sample.AT))
    return Pages(paper.finish())


def demo_label(tag: str, stock: str | LabelStock = "wrap-4x2", **changes: Any) -> Pages:
    return label(sample.release(sample.demo_run(tag)), stock, **changes)


def sign(place: Place, stock: str = "letter") -> Pages:
    paper = Paper("test")
    draw_sign(paper, PAGES[stock], compose.sign(place, number=1, at=sample.AT))
    return Pages(paper.finish())
