"""Pages of pictures: put one to a run, see it, ask for a run by one."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from shop.jobs.http import PersonRequest
from shop.jobs.permissions import get_for, permit
from shop.jobs.refusals import Refusal
from shop.requests import queries
from shop.requests.models import Photo, Run
from shop.requests.photos import services
from shop.requests.photos.forms import PhotoForm, SketchForm

NOT_TAKEN = 422


@require_http_methods(["GET", "HEAD", "POST"])
def photo_add(request: PersonRequest, pk: int) -> HttpResponse:
    """One more picture of a run."""
    run = get_for(request.user, "photo.add", Run, pk=pk)
    form = PhotoForm(request.POST, request.FILES) if request.method == "POST" else PhotoForm()
    if form.is_bound and form.is_valid():
        said = form.cleaned_data
        try:
            services.photo_add(
                run=run, content=said["picture"].read(), words=said["words"], strokes=said["strokes"],
                nonce=said["nonce"], actor=request.user,
            )  # fmt: skip
        except Refusal as refusal:
            form.add_error("picture", refusal.words)
        else:
            messages.success(request, f"The picture is with {run.tag}.")
            return redirect("run", pk=run.pk)
    page = {"run": run, "form": form}
    return render(request, "requests/photo_add.html", page, status=NOT_TAKEN if form.errors else 200)


@require_GET
def photo(request: PersonRequest, pk: int) -> HttpResponse:
    """The picture itself, to those who may see its run."""
    found = get_for(request.user, "request.view", Photo, pk=pk)
    with found.picture.open("rb") as picture:
        response = HttpResponse(picture.read(), content_type="image/jpeg")
    response["Cache-Control"] = "private, max-age=31536000, immutable"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response


@require_http_methods(["GET", "HEAD", "POST"])
def run_sketch(request: PersonRequest) -> HttpResponse:
    """A run asked for by a picture and words alone."""
    permit(request.user, "request.write")
    if request.method != "POST":
        fresh = SketchForm(person=request.user, initial={"job": request.GET.get("job", "")})
        last = queries.last_asked(request.user, fresh.the_job) | {"job": fresh.the_job and fresh.the_job.pk}
        return _sketch(request, SketchForm(person=request.user, initial=last))
    form = SketchForm(request.POST, person=request.user, files=request.FILES)
    form.told = True
    if not form.is_valid():
        return _sketch(request, form, NOT_TAKEN)
    said = form.cleaned_data
    try:
        sent = services.sketch_send(
            job=said["job"], draft=form.asked(), content=said["photo"].read(), strokes=said["strokes"],
            nonce=said["nonce"], actor=request.user,
        )  # fmt: skip
    except Refusal as refusal:
        form.refuse(refusal)
        return _sketch(request, form, NOT_TAKEN)
    run = sent.runs.get()
    messages.success(request, f"{run.tag} is sent to the shop. It works the numbers out.")
    return redirect("run", pk=run.pk)


def _sketch(request: PersonRequest, form: SketchForm, status: int = 200) -> HttpResponse:
    return render(request, "requests/run_sketch.html", {"form": form}, status=status)
