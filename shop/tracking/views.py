"""Pages of the field: today, codes, pieces, areas."""

from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from shop.jobs.http import PersonRequest
from shop.jobs.models import Place, Role
from shop.jobs.permissions import get_for, permit
from shop.jobs.refusals import Refusal
from shop.tracking import areas as area_queries
from shop.tracking import queries
from shop.tracking.acts import acts_for, next_act
from shop.tracking.forms import FindForm, RecordForm, RemakeForm
from shop.work import services as work
from shop.work.models import Piece

GROUPS = {"on": "It went on", "wrong": "Something is wrong", "back": "It goes back"}
HOME = {Role.LEAD: "inbox", Role.HAND: "board", Role.DRIVER: "board", Role.OFFICE: "board"}


@require_GET
def today(request: PersonRequest) -> HttpResponse:
    """The field's first screen; the shop's people start on their own."""
    if request.user.role in HOME:
        return redirect(HOME[Role(request.user.role)])
    permit(request.user, "today.view")
    return render(request, "tracking/today.html", area_queries.today(request.user))


@require_GET
def needed(request: PersonRequest) -> HttpResponse:
    permit(request.user, "today.view")
    return render(request, "tracking/needed.html", {"groups": area_queries.needed_today(request.user)})


@require_GET
def code_find(request: PersonRequest) -> HttpResponse:
    """A code, a tag or a room is typed here. One answer opens it, several are listed."""
    permit(request.user, "piece.view")
    form = FindForm(request.GET or None)
    if not form.is_bound or not form.is_valid():
        return render(request, "tracking/code_find.html", {"form": form})
    return _found(request, form, form.cleaned_data["q"])


@require_GET
def code_open(request: PersonRequest, code: str) -> HttpResponse:
    """What a phone's own camera opens: a piece, a place or a ticket, whatever the case of the letters."""
    permit(request.user, "piece.view")
    return _found(request, FindForm({"q": code}), code)


def _found(request: PersonRequest, form: FindForm, typed: str) -> HttpResponse:
    hits = queries.find(request.user, typed)
    if len(hits) == 1:
        return redirect(hits[0].url)
    return render(request, "tracking/code_find.html", {"form": form, "found": hits}, status=200 if hits else 404)


@require_GET
def piece(request: PersonRequest, pk: int) -> HttpResponse:
    shown = get_for(request.user, "piece.view", Piece, pk=pk)
    return _piece_page(request, shown, RecordForm(piece=shown, person=request.user, initial=_proposed(request, shown)))


@require_POST
def piece_record(request: PersonRequest, pk: int) -> HttpResponse:
    """One act on the piece. What is missing or refused comes back on the same page, with all that was typed."""
    shown = get_for(request.user, "piece.record", Piece, pk=pk)
    form = RecordForm(request.POST, piece=shown, person=request.user)
    if not form.is_valid():
        return _piece_page(request, shown, form, status=422)
    try:
        done = work.record_add(piece=shown, actor=request.user, **form.record(), **_device(request))
    except Refusal as refusal:
        form.add_error(None, refusal.words)
        return _piece_page(request, shown, form, status=409)
    _remember(request, form.cleaned_data)
    messages.success(request, queries.answer_words(done, form.said.words))
    return redirect("piece", pk=shown.pk)


@require_POST
def piece_remake(request: PersonRequest, pk: int) -> HttpResponse:
    """The same piece once more: R1, R2 …; the old one says so at every scan."""
    shown = get_for(request.user, "piece.remake", Piece, pk=pk)
    form = RemakeForm(request.POST)
    record_form = RecordForm(piece=shown, person=request.user, initial=_proposed(request, shown))
    if not form.is_valid():
        return _piece_page(request, shown, record_form, remake=form, status=422)
    try:
        child = work.piece_remake(
            piece=shown, actor=request.user, nonce=request.POST.get("nonce", ""), **form.cleaned_data
        )
    except Refusal as refusal:
        form.add_error(None, refusal.words)
        return _piece_page(request, shown, record_form, remake=form, status=409)
    messages.success(request, f"R{child.remake} is asked for. The shop sees it.")
    return redirect("piece", pk=child.pk)


@require_GET
def areas(request: PersonRequest) -> HttpResponse:
    permit(request.user, "area.view")
    return render(request, "tracking/area_list.html", {"jobs": area_queries.jobs_with_areas(request.user)})


@require_GET
def area(request: PersonRequest, pk: int) -> HttpResponse:
    place = get_for(request.user, "area.view", Place, pk=pk)
    return render(request, "tracking/area.html", area_queries.area(place, only=request.GET.get("only", "all")))


def _piece_page(
    request: PersonRequest, shown: Piece, form: RecordForm, remake: RemakeForm | None = None, status: int = 200
) -> HttpResponse:
    acts = acts_for(shown, request.user)
    context = queries.piece(shown, request.user) | {
        "form": form,
        "typed": form.data if form.is_bound else form.initial,
        "errors": form.errors,
        "remake_form": remake or RemakeForm(initial={"old": "scrap"}),
        "main": next_act(shown, request.user),
        "groups": [(words, acts[key]) for key, words in GROUPS.items()],
        "nonce": uuid4().hex,
    }
    return render(request, "tracking/piece.html", context, status=status)


def _device(request: PersonRequest) -> dict[str, Any]:
    """A page that is sent at once is its own clock: the server's time stands for all three."""
    if not request.session.session_key:
        request.session.save()
    count = request.session.get("records", 0) + 1
    request.session["records"] = count
    return {"device": f"page-{request.session.session_key}"[:64], "seq": count}


def _remember(request: PersonRequest, said: dict[str, Any]) -> None:
    """The load, bundle and place that a person said last are proposed next time."""
    for name in ("load", "box"):
        if said.get(name):
            request.session[f"last-{name}"] = said[name]
    if isinstance(said.get("place"), Place):
        request.session["last-place"] = said["place"].pk


def _proposed(request: PersonRequest, shown: Piece) -> dict[str, Any]:
    """What stands in the page's boxes at first. A piece off the truck is left where it was to go."""
    said = {name: request.session.get(f"last-{name}", "") for name in ("load", "box", "place")}
    if shown.step == "loaded":
        said["place"] = shown.revision.drop_id or shown.run.place_id
    elif shown.place and shown.place.job_id:
        said["place"] = shown.place_id
    return said | {"place": said["place"] or shown.run.place_id}
