"""PDFs to print. What can't be printed comes back as a page that says so: no wrong sheet is about.

A print is counted, and a label may say that a piece is labelled: so it is asked for by a POST, never by an address that
a browser may fetch by itself.
"""

from collections.abc import Callable

from django.forms import Form
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.http import content_disposition_header
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from shop.jobs.http import PersonRequest
from shop.jobs.models import Place
from shop.jobs.permissions import get_for
from shop.jobs.refusals import Refusal
from shop.tickets import services
from shop.tickets.forms import LabelForm, PageForm
from shop.work.models import Piece, Release


@never_cache
@require_POST
def ticket_pdf(request: PersonRequest, pk: int) -> HttpResponse:
    release = get_for(request.user, "ticket.print", Release, pk=pk)
    form = _read(PageForm(request.POST))
    remade = form.cleaned_data["piece"]
    piece = get_for(request.user, "ticket.print", Piece, pk=remade) if remade else None
    paper = form.cleaned_data["paper"]
    return _answer(
        request, lambda: services.print_ticket(release=release, actor=request.user, stock=paper, piece=piece)
    )


@never_cache
@require_POST
def labels_pdf(request: PersonRequest, pk: int) -> HttpResponse:
    """Every living piece of a release, in bending order."""
    release = get_for(request.user, "label.print", Release, pk=pk)
    stock = _read(LabelForm(request.POST)).cleaned_data["stock"]
    return _answer(
        request,
        lambda: services.print_labels(pieces=services.release_pieces(release), actor=request.user, stock=stock),
    )


@never_cache
@require_POST
def label_pdf(request: PersonRequest, pk: int) -> HttpResponse:
    piece = get_for(request.user, "label.print", Piece, pk=pk)
    stock = _read(LabelForm(request.POST)).cleaned_data["stock"]
    return _answer(request, lambda: services.print_labels(pieces=[piece], actor=request.user, stock=stock))


@never_cache
@require_POST
def sign_pdf(request: PersonRequest, pk: int) -> HttpResponse:
    place = get_for(request.user, "place.print", Place, pk=pk)
    paper = _read(PageForm(request.POST)).cleaned_data["paper"]
    return _answer(request, lambda: services.print_sign(place=place, actor=request.user, stock=paper))


def _read(form: Form) -> Form:
    if not form.is_valid():
        raise Http404("no such paper")
    return form


def _answer(request: PersonRequest, print_it: Callable[[], services.Sheet]) -> HttpResponse:
    """The sheet in the browser's own viewer, under a name that says what it is."""
    try:
        sheet = print_it()
    except Refusal as refusal:
        return render(request, "tickets/not_printed.html", {"refusal": refusal}, status=409)
    response = HttpResponse(sheet.pdf, content_type="application/pdf")
    response["Content-Disposition"] = content_disposition_header(False, sheet.name) or "inline"
    return response
