"""Pages of the shop: inbox, review, release, board."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST
from django_tables2 import RequestConfig

from shop.jobs.http import PersonRequest, done
from shop.jobs.permissions import get_for, permit
from shop.jobs.refusals import Refusal
from shop.requests import services as requests
from shop.requests.models import Revision
from shop.work import services as work
from shop.work.board import board, flagged, in_shop
from shop.work.forms import BoardFilter, HoldForm, QuestionForm, ReleaseForm
from shop.work.inbox import inbox
from shop.work.review import review
from shop.work.tables import BoardTable

PAGE = {"per_page": 50}


@require_GET
def inbox_page(request: PersonRequest) -> HttpResponse:
    permit(request.user, "inbox.view")
    return render(request, "work/inbox.html", {"groups": inbox(request.user)})


@require_GET
def revision_review(request: PersonRequest, pk: int) -> HttpResponse:
    revision = get_for(request.user, "inbox.view", Revision, pk=pk)
    return _review_page(request, revision)


@require_POST
def revision_ask(request: PersonRequest, pk: int) -> HttpResponse:
    """A question on one dimension; the run waits until it is answered."""
    revision = get_for(request.user, "question.ask", Revision, pk=pk)
    form = QuestionForm(request.POST)
    if form.is_valid() and _done(request, form, "Asked. The run waits for the answer.", _ask, revision):
        return redirect("inbox")
    return _review_page(request, revision, status=422, question_form=form)


@require_POST
def revision_ok(request: PersonRequest, pk: int) -> HttpResponse:
    revision = get_for(request.user, "revision.ok", Revision, pk=pk)
    done(request, requests.revision_ok, revision=revision, actor=request.user)
    return redirect("review", pk=pk)


@require_POST
def revision_release(request: PersonRequest, pk: int) -> HttpResponse:
    """Freezes revision, layout and profile, and makes the pieces. What was refused comes back with what was typed."""
    revision = get_for(request.user, "revision.release", Revision, pk=pk)
    form = ReleaseForm(request.POST, revision=revision)
    if form.is_valid() and _done(request, form, "Released. Print the ticket and the labels.", _release, revision):
        return redirect("review", pk=pk)
    return _review_page(request, revision, status=422, release_form=form)


@require_POST
def revision_hold(request: PersonRequest, pk: int) -> HttpResponse:
    """Holds a revision that isn't released, with the reason; without one the page comes back."""
    revision = get_for(request.user, "revision.ok", Revision, pk=pk)
    form = HoldForm(request.POST)
    if form.is_valid() and _done(request, form, "Held. The foreman sees why.", _hold, revision):
        return redirect("review", pk=pk)
    return _review_page(request, revision, status=422, hold_form=form)


@require_POST
def revision_unhold(request: PersonRequest, pk: int) -> HttpResponse:
    """Lets a held revision go again."""
    revision = get_for(request.user, "revision.ok", Revision, pk=pk)
    try:
        requests.revision_unhold(revision=revision, actor=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.words)
    return redirect("review", pk=pk)


@require_GET
def board_page(request: PersonRequest) -> HttpResponse:
    permit(request.user, "board.view")
    rows = board(request.user) if request.GET.get("gone") else in_shop(board(request.user))
    chosen = BoardFilter(request.GET, queryset=rows, person=request.user)
    table = BoardTable(chosen.qs)
    RequestConfig(request, paginate=PAGE).configure(table)
    context = {"table": table, "filter": chosen, "flagged": flagged(request.user)[:20]}
    return render(request, "work/board.html", context)


def _ask(revision: Revision, form: QuestionForm, request: PersonRequest) -> None:
    requests.question_ask(revision=revision, actor=request.user, **form.cleaned_data)


def _hold(revision: Revision, form: HoldForm, request: PersonRequest) -> None:
    requests.revision_hold(revision=revision, actor=request.user, **form.cleaned_data)


def _release(revision: Revision, form: ReleaseForm, request: PersonRequest) -> None:
    work.revision_release(revision=revision, actor=request.user, **form.cleaned_data)


Act = Callable[[Revision, Any, PersonRequest], None]


def _done(request: PersonRequest, form: Form, words: str, act: Act, revision: Revision) -> bool:
    """Runs a service; a refusal becomes an error of the form, so that the page can show it with what was typed."""
    try:
        act(revision, form, request)
    except Refusal as refusal:
        form.add_error(None, refusal.words)
        return False
    messages.success(request, words)
    return True


def _about(request: PersonRequest) -> dict[str, str]:
    """The dimension that an "Ask" beside it was tapped for."""
    return {"at": request.GET["at"][:120]} if request.GET.get("at") else {}


def _review_page(request: PersonRequest, revision: Revision, status: int = 200, **came_back: Form) -> HttpResponse:
    """`came_back`: a form that wasn't taken, under its name in the page."""
    fresh = {
        "groups": inbox(request.user),
        "question_form": QuestionForm(initial=_about(request)),
        "release_form": ReleaseForm(revision=revision),
        "hold_form": HoldForm(),
    }
    context = review(revision, request.user) | fresh | came_back
    return render(request, "work/review.html", context, status=status)
