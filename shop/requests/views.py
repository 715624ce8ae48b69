"""Pages of asking: the builder, a run with its question, and the list of runs."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST
from django_tables2 import RequestConfig

from shop.jobs.http import PersonRequest, done
from shop.jobs.permissions import get_for, permit
from shop.jobs.refusals import Refusal
from shop.jobs.services import place_add
from shop.requests import asking, queries, services
from shop.requests.filters import RunFilter
from shop.requests.forms import AnswerForm, AskForm, ask_again, ask_like, ask_new
from shop.requests.models import Paper, Question, Revision, Run
from shop.requests.paperwork import run_page
from shop.requests.posted import posted
from shop.requests.shapes import SHAPES
from shop.requests.tables import RunTable

PAGE = {"per_page": 50}
NOT_TAKEN = 422


def _posted(request: PersonRequest) -> AskForm:
    return posted(request.user, request.POST)


def _builder(request: PersonRequest, form: AskForm, fresh: str = "", status: int = 200) -> HttpResponse:
    return render(request, "requests/run_ask.html", asking.page(form, fresh), status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def run_ask(request: PersonRequest) -> HttpResponse:
    """Pictures to start from, then the builder; posted, it sends."""
    if request.method == "POST":
        return _send(request)
    permit(request.user, "request.write")
    job, shape = request.GET.get("job", ""), request.GET.get("shape")
    if shape is None:
        return render(request, "requests/shape_pick.html", asking.pick(request.user, job, SHAPES))
    return _builder(request, ask_new(person=request.user, shape=shape, job=job))


def _send(request: PersonRequest) -> HttpResponse:
    form = _posted(request)
    if not form.can_go():
        return _builder(request, form, status=NOT_TAKEN)
    try:
        run = asking.send(form, actor=request.user)
    except Refusal as refusal:
        form.refuse(refusal)
        return _builder(request, form, status=NOT_TAKEN)
    messages.success(request, f"{run.tag} is sent to the shop.")
    return redirect("run", pk=run.pk)


@require_GET
def run_ask_like(request: PersonRequest, pk: int) -> HttpResponse:
    """The same again, but …"""
    run = get_for(request.user, "request.write", Run, pk=pk)
    return _builder(request, ask_like(person=request.user, revision=run.present))


@require_GET
def run_change(request: PersonRequest, pk: int) -> HttpResponse:
    """The builder filled with a run: its draft if it has one, else what was sent last."""
    run = get_for(request.user, "request.write", Run, pk=pk)
    newest = run.revisions.filter(state=Paper.DRAFT).first() or run.present
    return _builder(request, ask_again(person=request.user, revision=newest))


@require_POST
def run_ask_edit(request: PersonRequest) -> HttpResponse:
    """One button of the builder: rows come, go, or take what would work; everything typed stays."""
    form = _posted(request)
    fresh = asking.edited(form, request.POST.get("do", ""))
    return _builder(request, form, fresh)


@require_POST
def run_ask_live(request: PersonRequest) -> HttpResponse:
    """Drawing, troubles and read-back of what stands in the form just now."""
    return render(request, "requests/_answer.html", asking.answer(_posted(request)) | {"live": True})


@require_POST
def run_ask_keep(request: PersonRequest) -> HttpResponse:
    """Keeps a draft, whatever is wrong or empty in it."""
    form = _posted(request)
    if not form.can_be_kept():
        return _builder(request, form, status=NOT_TAKEN)
    try:
        revision = asking.keep(form, actor=request.user)
    except Refusal as refusal:
        form.refuse(refusal)
        return _builder(request, form, status=NOT_TAKEN)
    messages.success(request, f"{revision.run.tag} is kept as a draft. The shop doesn't see it yet.")
    return redirect("run-change", pk=revision.run_id)


@require_POST
def run_ask_room(request: PersonRequest) -> HttpResponse:
    """A new room in the place that is picked, then picked itself."""
    form = _posted(request)
    permit(request.user, "place.add")
    try:
        place = place_add(**form.new_room(), actor=request.user)
    except Refusal as refusal:
        form.refuse(refusal)
        return _builder(request, form, status=NOT_TAKEN)
    form.go_to(place)
    return _builder(request, form)


@require_GET
def run(request: PersonRequest, pk: int) -> HttpResponse:
    """One run: its picture and numbers, its question, its revisions."""
    found = get_for(request.user, "request.view", Run, pk=pk)
    return render(request, "requests/run.html", run_page(found, request.user, request.GET.get("rev", "")))


@require_POST
def question_answer(request: PersonRequest, pk: int) -> HttpResponse:
    question = get_for(request.user, "question.answer", Question, pk=pk)
    form = AnswerForm(request.POST, question=question)
    if form.is_valid() and _answered(request, form):
        messages.success(request, "The shop has your answer.")
        return redirect("run", pk=question.revision.run_id)
    page = run_page(question.revision.run, request.user, answer=form)
    return render(request, "requests/run.html", page, status=NOT_TAKEN)


def _answered(request: PersonRequest, form: AnswerForm) -> bool:
    return done(
        request,
        services.question_answer,
        question=form.question,
        answer=form.cleaned_data["answer"],
        actor=request.user,
    )


@require_POST
def revision_withdraw(request: PersonRequest, pk: int) -> HttpResponse:
    """Withdraws what was sent; throws away what was only kept."""
    revision = get_for(request.user, "request.write", Revision, pk=pk)
    if revision.state == Paper.DRAFT:
        done(request, services.draft_drop, revision=revision, actor=request.user)
        return redirect("my-runs")
    reason = request.POST.get("reason", "")[:200]
    done(request, services.revision_cancel, revision=revision, actor=request.user, reason=reason)
    return redirect("run", pk=revision.run_id)


@require_GET
def my_runs(request: PersonRequest) -> HttpResponse:
    permit(request.user, "request.view")
    chosen = RunFilter(request.GET, queryset=queries.runs_listed(request.user), request=request)
    table = RunTable(chosen.qs)
    RequestConfig(request, paginate=PAGE).configure(table)
    return render(request, "requests/run_list.html", {"table": table, "filter": chosen})
