"""Pictures of runs: made anew and small, seen only by who may see the run, and asked for by one alone."""

import io
import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image
from PIL.ExifTags import GPS, IFD, Base

from shop.jobs.refusals import Refusal
from shop.requests import services as papers
from shop.requests.models import Paper, Photo, Run
from shop.requests.photos import pictures, services
from tests.requests.world import stub


@pytest.fixture(autouse=True)
def _somewhere(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def a_picture(width=2400, height=1800, form="JPEG", turned=1):
    """As a phone makes one: with where it was taken."""
    exif = Image.Exif()
    exif[Base.Orientation] = turned
    exif.get_ifd(IFD.GPSInfo)[GPS.GPSLatitude] = (41.0, 52.0, 0.0)
    written = io.BytesIO()
    Image.effect_noise((width, height), 40).convert("RGB").save(written, form, exif=exif)
    return written.getvalue()


def a_photo(run, person, **more):
    return services.photo_add(run=run, content=a_picture(60, 40), actor=person, **more)


def refused(service, *given, **said):
    with pytest.raises(Refusal) as found:
        service(*given, **said)
    return found.value.code


# Making anew


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_picture_is_kept_small_and_without_where_it_was_taken(form):
    made = pictures.remade(a_picture(form=form))
    kept = Image.open(io.BytesIO(made.content))
    assert (made.width, made.height) == kept.size == (1600, 1200)
    assert kept.format == "JPEG" and not kept.getexif() and "exif" not in kept.info
    assert len(made.content) < len(a_picture(form="PNG")) / 3


def test_a_picture_taken_sideways_stands_upright():
    # Exif 2.32, orientation 6: the camera was turned a quarter
    made = pictures.remade(a_picture(400, 300, turned=6))
    assert (made.width, made.height) == (300, 400)


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "not_a_picture"),
        (b"<svg onload='x'/>", "not_a_picture"),
        (b"GIF89a" + bytes(50), "not_a_picture"),
        (a_picture(60, 40)[:300], "not_a_picture"),
        (bytes(pictures.MOST_BYTES + 1), "file_too_big"),
    ],
)
def test_what_is_no_picture_is_refused(content, code):
    assert refused(pictures.remade, content) == code


def test_a_picture_of_too_many_pixels_is_refused_before_it_is_read():
    written = io.BytesIO()
    Image.new("1", (10_000, 7_000)).save(written, "PNG")
    assert refused(pictures.remade, written.getvalue()) == "picture_too_large"


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("{", "strokes_unreadable"),
        ('{"a": 1}', "strokes_unreadable"),
        ("[[[0.5, 2]]]", "strokes_unreadable"),
        ('[[["x", 0]]]', "strokes_unreadable"),
        ("[[[NaN, 0]]]", "strokes_unreadable"),
        (json.dumps([[[0, 0]]] * 61), "too_many_strokes"),
    ],
)
def test_what_was_drawn_is_read_or_refused(text, code):
    assert refused(pictures.strokes_read, text) == code


def test_strokes_stand_on_the_pictures_own_pixels(world):
    photo = a_photo(world.ask().run, world.foreman, strokes="[[[0, 0], [0.5, 1]]]")
    assert photo.lines == ["0,0 30,40"]


# Putting to a run


def test_the_same_picture_sent_twice_is_one(world):
    run = world.ask().run
    assert a_photo(run, world.foreman, nonce="p-1") == a_photo(run, world.foreman, nonce="p-1")
    assert Photo.objects.count() == 1


def test_a_nonce_of_another_runs_picture_is_refused(world):
    a_photo(world.ask("S-04").run, world.foreman, nonce="p-1")
    assert refused(a_photo, world.ask("S-05").run, world.foreman, nonce="p-1") == "nonce_taken"


def test_a_run_has_a_bounded_number_of_pictures(world, monkeypatch):
    monkeypatch.setattr(services, "MOST_PHOTOS", 1)
    run = world.ask().run
    a_photo(run, world.foreman)
    assert refused(a_photo, run, world.foreman) == "too_many_photos"


def test_a_picture_is_put_to_a_run_on_its_page(world, client):
    client.force_login(world.installer)
    run = world.ask().run
    address = reverse("photo-add", args=[run.pk])
    upload = SimpleUploadedFile("a.jpg", a_picture(60, 40), "image/jpeg")
    answer = client.post(address, {"picture": upload, "words": "the duct", "nonce": "p-1", "strokes": ""})
    assert answer.url == reverse("run", args=[run.pk])
    assert b"the duct" in client.get(answer.url).content
    shown = client.get(reverse("photo", args=[Photo.objects.get().pk]))
    assert shown["Content-Type"] == "image/jpeg" and Image.open(io.BytesIO(shown.content)).size == (60, 40)


def test_what_is_no_picture_comes_back_with_the_words_kept(world, client):
    client.force_login(world.foreman)
    upload = SimpleUploadedFile("a.jpg", b"hello", "image/jpeg")
    address = reverse("photo-add", args=[world.ask().run_id])
    answer = client.post(address, {"picture": upload, "words": "the duct", "nonce": "p-1"})
    assert answer.status_code == 422 and b"the duct" in answer.content


# By a sketch alone


def sketch(world, **more):
    upload = SimpleUploadedFile("a.jpg", a_picture(60, 40), "image/jpeg")
    said = {"job": world.job.pk, "place": world.room.pk, "tag": "SK-1", "quantity": 1, "conduit": "EMT|3/4"}
    return said | {"photo": upload, "note": "Round the column, as drawn", "nonce": "s-1", "strokes": ""} | more


def test_a_run_is_asked_for_by_a_sketch_and_worked_out_by_the_lead(world, client):
    client.force_login(world.foreman)
    answer = client.post(reverse("run-sketch"), sketch(world))
    run = Run.objects.get()
    assert answer.url == reverse("run", args=[run.pk])
    assert run.present.state == Paper.SENT and run.photos.count() == 1
    assert refused(papers.revision_ok, revision=run.present, actor=world.lead) == "not_solved"
    worked_out = papers.run_revise(run=run, draft=world.draft("SK-1", document=stub()), actor=world.lead)
    assert papers.revision_ok(revision=worked_out, actor=world.lead).state == Paper.OK


def test_every_page_of_a_sketch_opens(world, client):
    client.force_login(world.foreman)
    client.post(reverse("run-sketch"), sketch(world))
    run = Run.objects.get()
    for name, args in (("run", [run.pk]), ("my-runs", []), ("run-change", [run.pk]), ("runs-file", [])):
        assert client.get(reverse(name, args=args)).status_code == 200
    client.force_login(world.lead)
    for name, args in (("inbox", []), ("review", [run.present.pk])):
        assert client.get(reverse(name, args=args)).status_code == 200


@pytest.mark.parametrize("left_out", ["photo", "note", "tag", "place"])
def test_a_sketch_without_what_it_needs_is_told(world, client, left_out):
    client.force_login(world.foreman)
    said = sketch(world)
    del said[left_out]
    assert client.post(reverse("run-sketch"), said).status_code == 422
    assert Run.objects.count() == 0


def test_a_sketch_sent_twice_is_one_run_with_one_picture(world, client):
    client.force_login(world.foreman)
    client.post(reverse("run-sketch"), sketch(world))
    client.post(reverse("run-sketch"), sketch(world))
    assert Run.objects.count() == Photo.objects.count() == 1
