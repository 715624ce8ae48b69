"""A run's form as it was posted, from a page or from what a browser kept, and why it can't go in one sentence."""

from collections.abc import Mapping

from shop.jobs.models import Job, Person, Place
from shop.jobs.permissions import get_for, permit
from shop.jobs.refusals import Refusal
from shop.requests.forms import AskForm
from shop.requests.models import Run


def posted(person: Person, data: Mapping[str, str]) -> AskForm:
    """The form as posted; a hidden `run` says that it changes one, which must be the person's to change."""
    permit(person, "request.write")
    key = key_of(data.get("run", ""))
    run = get_for(person, "request.write", Run, pk=key) if key else None
    return AskForm(data, person=person, run=run)


def why_not(form: AskForm) -> Refusal:
    """What keeps a form from going: `job_closed`, `place_retired`, `numbers_wrong`, `needs_yes`, `unsure`, `gaps`,
    else the code of the first error."""
    for found in (_gone(form), _numbers(form), _not_said(form)):
        if found:
            return found
    name, errors = next(iter(form.errors.as_data().items()))
    label = form.fields[name].label if name in form.fields else ""
    words = " ".join(str(message) for error in errors for message in error.messages)
    return Refusal(str(errors[0].code or "invalid"), f"{label}: {words}" if label else words)


def _gone(form: AskForm) -> Refusal | None:
    """What was there when he asked and isn't any more."""
    job = Job.objects.filter(pk=key_of(form.data.get("job", ""))).exclude(closed_at=None).first()
    if job and not form.run:
        return Refusal("job_closed", f"{job} is closed: nothing more can be asked for it. Ask the office.")
    places = Place.objects.exclude(retired_at=None)
    place = places.filter(pk__in=[key_of(form.data.get(name, "")) for name in ("place", "drop")]).first()
    if place:
        return Refusal("place_retired", f"“{place}” isn't used any more. Open it and pick another place.")
    return None


def _numbers(form: AskForm) -> Refusal | None:
    texts = [str(problem["text"]) for problems in form.wrong.values() for problem in problems]
    return Refusal("numbers_wrong", f"It can't be bent like this: {texts[0]}.", problems=texts) if texts else None


def _not_said(form: AskForm) -> Refusal | None:
    if form.missing:
        return Refusal("gaps", f"{len(form.missing)} of its fields are empty. Open it and fill them.")
    if form.needs_yes:
        words = "It leaves one plane. Open it, look at the two views, and say yes to how it hangs."
        return Refusal("needs_yes", words, reads=form.solved.reads)
    if form.unsure:
        words = f"{form.unsure[0].words} has a length that is hardly meant. Open it, then mend it or say yes."
        return Refusal("unsure", words)
    return None


def key_of(typed: str) -> int:
    """A row's key as it was posted; 0 where it can't be one."""
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 19 else 0
