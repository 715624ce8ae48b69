"""What may be asked of a print."""

from collections.abc import Mapping

from django import forms

from shop.tickets.specs import LABELS, PAGES, LabelStock, PageStock


def _named(stocks: Mapping[str, PageStock | LabelStock]) -> list[tuple[str, str]]:
    return [("", "the usual one"), *((name, stock.name) for name, stock in stocks.items())]


class PageForm(forms.Form):
    """A page stock (`paper=a4`) and, for a ticket, a remade piece (`piece=12`)."""

    paper = forms.ChoiceField(
        required=False, choices=[("", ""), *((name, stock.name) for name, stock in PAGES.items())]
    )
    piece = forms.IntegerField(required=False, min_value=1)


class LabelForm(forms.Form):
    """A label stock (`stock=flag-3x1`)."""

    stock = forms.ChoiceField(required=False, choices=_named(LABELS))
