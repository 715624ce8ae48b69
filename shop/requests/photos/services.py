"""Services of photos: put one to a run; ask for a run by a sketch alone."""

from uuid import uuid4

from django.core.files.base import ContentFile
from django.db import transaction

from shop.jobs.models import Job, Person
from shop.jobs.refusals import Refusal
from shop.jobs.services import history_write
from shop.requests import bends, sending
from shop.requests.drafts import RunDraft
from shop.requests.models import Photo, Request, Run
from shop.requests.paper import check_fits, check_nonce, check_text, lock_run
from shop.requests.photos import pictures
from shop.requests.photos.pictures import Made

MOST_PHOTOS = 20
SKETCH_ONLY = "It is asked for by a sketch: the shop works it out."


def photo_add(*, run: Run, content: bytes, words: str = "", strokes: str = "", nonce: str = "", actor: Person) -> Photo:
    """Puts a picture to a run, once a nonce. Refused: `too_many_photos`, `bad_nonce`, `nonce_taken`, `text_too_long`,
    `text_unreadable`, and what `pictures` refuses."""
    nonce = nonce or uuid4().hex
    check_nonce(nonce)
    if sent := Photo.objects.filter(nonce=nonce).first():
        return _same_photo(sent, run)
    check_fits(words, "words", most=200)
    made = pictures.remade(content, strokes)
    with transaction.atomic():
        found = lock_run(run.pk)
        if sent := Photo.objects.filter(nonce=nonce).first():
            return _same_photo(sent, found)
        if found.photos.count() >= MOST_PHOTOS:
            raise Refusal("too_many_photos", f"A run has at most {MOST_PHOTOS} pictures.", most=MOST_PHOTOS)
        return _photo_new(found, made, words, nonce, actor)


def _same_photo(sent: Photo, run: Run) -> Photo:
    if sent.run_id != run.pk:
        raise Refusal("nonce_taken", "This was sent for another run already.")
    return sent


def _photo_new(run: Run, made: Made, words: str, nonce: str, actor: Person) -> Photo:
    size, drawn = {"width": made.width, "height": made.height}, list(made.strokes)
    photo = Photo(run=run, nonce=nonce, words=words.strip(), strokes=drawn, made_by=actor, **size)
    photo.picture.save(f"{uuid4().hex}.jpg", ContentFile(made.content), save=False)
    photo.save()
    history_write(action="photo.add", subject=photo, actor=actor, job=run.job, tag=run.tag, words=photo.words)
    return photo


def sketch_send(*, job: Job, draft: RunDraft, content: bytes, strokes: str = "", nonce: str, actor: Person) -> Request:
    """Asks for a run by a picture and words alone; the lead puts its numbers in as its next revision, and no OK can
    be given before. Refused: `no_text` (say what it is), and as `photo_add` and `request_send`."""
    check_nonce(nonce)
    check_text(draft.note, "note", most=2000)
    made = pictures.remade(content, strokes)
    sending.check_asked(draft, job)
    problem = {"at": "path", "code": "sketch_only", "text": SKETCH_ONLY}
    with transaction.atomic():
        request = sending.solved_send(
            job=job, nonce=nonce, runs=[draft], solved=[bends.Solved(None, [problem])], cost_code=draft.cost_code,
            actor=actor,
        )  # fmt: skip
        run = request.runs.get()
        if not run.photos.exists():
            _photo_new(run, made, "", uuid4().hex, actor)
        return request
