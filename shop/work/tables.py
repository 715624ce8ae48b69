"""Tables of the shop's pages."""

from typing import Any

import django_tables2 as tables

from shop.requests.models import Revision
from shop.work.board import BOXES


def _column(template: str, words: str, look: str, **more: Any) -> tables.TemplateColumn:
    """A cell drawn by a template of its own; `look` says where it stands when the row folds up on a phone."""
    return tables.TemplateColumn(
        template_name=f"work/board_{template}.html", verbose_name=words, attrs={"td": {"class": look}}, **more
    )


class StepColumn(tables.TemplateColumn):
    """A small box that fills from the left: how many of the pieces have come so far."""

    def __init__(self, step: str) -> None:
        look = {"td": {"class": "at-middle at-named"}}
        super().__init__("{% fills value record.n %}", accessor=f"n_{step}", verbose_name=step, attrs=look)


class BoardTable(tables.Table):
    """One row a run, the first needed on top."""

    tag = _column("tag", "Tag", "at-tag", order_by="run__tag")
    place = _column("place", "For", "at-words", order_by="run__place__full_name")
    size = _column("size", "Size, bender", "", order_by=("raceway", "size"))
    pieces = tables.Column(accessor="n", verbose_name="pieces", attrs={"td": {"class": "at-named at-number"}})
    cut, bent, checked, labelled = (StepColumn(step) for step in BOXES)
    needed = _column("needed", "needed", "at-end", order_by="needed_at")

    class Meta:
        model = Revision
        fields: tuple[str, ...] = ()
        sequence = ("tag", "place", "size", "pieces", *BOXES, "needed")
        order_by = "needed"
        empty_text = "Nothing is released and still in the shop."
        attrs = {"class": "table quarters"}
