"""Pages of lists: take one, watch it being checked, send it; and the runs of a job as a list."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shop.jobs.http import PersonRequest, done
from shop.jobs.models import Job, Place
from shop.jobs.permissions import get_for, permit, visible
from shop.jobs.refusals import Refusal
from shop.requests import queries
from shop.requests.filters import RunFilter
from shop.requests.lists import columns, copies, services, writing
from shop.requests.lists.forms import CopyForm, ListForm
from shop.requests.lists.grids import Grid
from shop.requests.models import RunList, RunListRow
from shop.requests.shapes import BY_KEY, SHAPES

NOT_TAKEN = 422
# A grid has no rows for a path that differs from run to run.
GRIDS = [shape for shape in SHAPES if shape.key != "free"]
SHOWN = 200
TYPES = {
    "csv": ("text/csv; charset=utf-8", writing.as_csv),
    "xlsx": ("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", writing.as_xlsx),
}


@require_http_methods(["GET", "HEAD", "POST"])
def list_take(request: PersonRequest) -> HttpResponse:
    """A file or a paste; posted, it is read and kept to be checked."""
    permit(request.user, "request.write")
    job = _job_of(request)
    if request.method != "POST":
        return _take(request, ListForm(person=request.user, job=job, initial={"job": job and job.pk}))
    form = ListForm(request.POST, request.FILES, person=request.user, job=job)
    if not form.is_valid():
        return _take(request, form, status=NOT_TAKEN)
    try:
        found = services.list_read(
            job=form.cleaned_data["job"], cells=form.found, usual=form.usual, name=form.name, actor=request.user
        )
    except Refusal as refusal:
        form.refuse(refusal)
        return _take(request, form, status=NOT_TAKEN)
    return redirect("run-list", pk=found.pk)


def _take(request: PersonRequest, form: ListForm, status: int = 200) -> HttpResponse:
    return render(request, "requests/list_take.html", {"form": form, "shapes": SHAPES}, status=status)


def _job_of(request: PersonRequest) -> Job | None:
    """The open job that the address or the form names, else the person's first."""
    key = (request.POST if request.method == "POST" else request.GET).get("job", "")
    jobs = visible(request.user, Job).filter(closed_at=None).order_by("name")
    named = jobs.filter(pk=key).first() if key.isascii() and key.isdigit() and len(key) < 19 else None
    return named or jobs.first()


@require_http_methods(["GET", "HEAD", "POST"])
def list_grid(request: PersonRequest) -> HttpResponse:
    """Like pieces, a row each; posted, it is a list to be checked."""
    permit(request.user, "request.write")
    job, posted = _job_of(request), request.method == "POST"
    shape = (request.POST if posted else request.GET).get("shape", "stub")
    grid = Grid(request.POST if posted else None, person=request.user, job=job, shape=shape)
    if not posted or request.POST.get("do") or not grid.form.is_valid():
        return _grid(request, grid)
    if not grid.filled.rows:
        grid.form.add_error(None, "Type the lengths of at least one piece.")
        return _grid(request, grid, status=NOT_TAKEN)
    name = f"{grid.shape.words}, {grid.filled.rows[0][0]} …"
    found = services.list_read(
        job=grid.form.cleaned_data["job"], cells=grid.filled, usual=grid.usual, name=name, actor=request.user
    )
    return redirect("run-list", pk=found.pk)


def _grid(request: PersonRequest, grid: Grid, status: int = 200) -> HttpResponse:
    return render(request, "requests/list_grid.html", {"grid": grid, "form": grid.form, "shapes": GRIDS}, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def list_copy(request: PersonRequest, pk: int) -> HttpResponse:
    """The runs of a place once more in others; posted, it is a list to be checked."""
    place = get_for(request.user, "request.write", Place, pk=pk, job__isnull=False)
    form = CopyForm(request.POST if request.method == "POST" else None, place=place)
    if form.is_bound and form.is_valid():
        if form.cleaned_data["make"]:
            permit(request.user, "place.add")
        try:
            found = services.list_copy(place=place, actor=request.user, **form.asked)
        except Refusal as refusal:
            form.add_error(None, refusal.words)
        else:
            return redirect("run-list", pk=found.pk)
    page = {"place": place, "form": form, "runs": copies.runs_in(place)}
    return render(request, "requests/list_copy.html", page, status=NOT_TAKEN if form.errors else 200)


@require_POST
def row_leave(request: PersonRequest, pk: int) -> HttpResponse:
    row = get_for(request.user, "request.write", RunListRow, pk=pk)
    done(request, services.row_leave, row=row, actor=request.user)
    return redirect("run-list", pk=row.run_list_id)


@require_GET
def list_empty(request: PersonRequest) -> HttpResponse:
    """The headings of an empty list of one shape."""
    permit(request.user, "request.write")
    shape = BY_KEY.get(request.GET.get("shape", ""), BY_KEY["stub"])
    return _file(request, f"runs, {shape.words}", columns.template(shape), [])


@require_GET
def run_list(request: PersonRequest, pk: int) -> HttpResponse:
    """A list while it is checked, and what is wrong in it."""
    found = get_for(request.user, "request.write", RunList, pk=pk)
    return render(request, "requests/list.html", _page(found))


def _page(found: RunList) -> dict[str, Any]:
    rows = found.rows.all()
    left, count = rows.filter(checked=False).count(), rows.count()
    wrong = rows.exclude(problems=[]).order_by("line")
    asks = rows.exclude(reads="").order_by("line")
    return {
        "list": found,
        "left": left,
        "count": count,
        "done": count - left,
        "wrong_count": wrong.count(),
        "wrong": wrong[:SHOWN],
        "asks_count": asks.count(),
        "asks": asks[:SHOWN],
        "pieces": sum(asked.get("quantity", 0) for asked in rows.values_list("asked", flat=True)),
    }


@require_POST
def list_check(request: PersonRequest, pk: int) -> HttpResponse:
    """Checks the next part; the page asks for the next one by itself."""
    found = get_for(request.user, "request.write", RunList, pk=pk)
    done(request, services.list_check, run_list=found, actor=request.user)
    if request.headers.get("HX-Request"):
        return render(request, "requests/_list_progress.html", _page(found))
    return redirect("run-list", pk=pk)


@require_POST
def list_send(request: PersonRequest, pk: int) -> HttpResponse:
    found = get_for(request.user, "request.send", RunList, pk=pk)
    said_yes, count = request.POST.get("yes") == "yes", found.rows.count()
    if not done(request, services.list_send, run_list=found, said_yes=said_yes, actor=request.user):
        return redirect("run-list", pk=pk)
    messages.success(request, f"{count} runs are sent to the shop.")
    return redirect("my-runs")


@require_POST
def list_drop(request: PersonRequest, pk: int) -> HttpResponse:
    found = get_for(request.user, "request.write", RunList, pk=pk)
    if not done(request, services.list_drop, run_list=found, actor=request.user):
        return redirect("run-list", pk=pk)
    messages.success(request, "The list is thrown away; nothing of it was sent.")
    return redirect("list-take")


@require_GET
def list_problems(request: PersonRequest, pk: int) -> HttpResponse:
    """Everything that is wrong in a list, one row a problem."""
    found = get_for(request.user, "request.write", RunList, pk=pk)
    rows = [
        {"Line": str(row.line), "Column": one["column"], "What is wrong": one["text"]}
        for row in found.rows.exclude(problems=[]).order_by("line").iterator(chunk_size=500)
        for one in row.problems
    ]
    return _file(request, "what is wrong", ["Line", "Column", "What is wrong"], rows)


@require_GET
def runs_file(request: PersonRequest) -> HttpResponse:
    """The runs that the filter of the runs' page finds, as a list that can be read in again."""
    permit(request.user, "request.view")
    found = queries.runs_listed(request.user).select_related("run__place", "run__job", "drop")
    return _file(request, "runs", *writing.rows_of(RunFilter(request.GET, queryset=found, request=request).qs))


def _file(request: PersonRequest, name: str, headings: list[str], rows: list[dict[str, str]]) -> HttpResponse:
    """XLSX where it is asked for, else CSV."""
    sort = "xlsx" if request.GET.get("as") == "xlsx" else "csv"
    content_type, write = TYPES[sort]
    response = HttpResponse(write(headings, rows), content_type=content_type)
    response["Content-Disposition"] = f'attachment; filename="{name}.{sort}"'
    return response
