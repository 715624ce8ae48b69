"""The form that asks for a run: its head fields, and the rows of the builder with what is wrong beside each."""

import hashlib
from collections.abc import Mapping, Sequence
from datetime import datetime, tzinfo
from functools import cached_property
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

from django import forms
from django.core import signing
from django.forms.utils import ErrorDict

from shop.jobs import clock
from shop.jobs.models import Job, Person, Place, PlaceKind
from shop.jobs.permissions import visible
from shop.jobs.refusals import Refusal
from shop.requests import bends, builder, drafts, queries
from shop.requests.doubts import Doubt, doubts
from shop.requests.drafts import RunDraft
from shop.requests.models import Paper, Profile, Question, Revision, Run
from shop.requests.rows import Row
from shop.requests.seen import seen_token
from shop.requests.shapes import BY_KEY, Shape, shape_of

SALT = "what the builder carries"
REFUSED_AT = {
    "tag_taken": "tag",
    "tag_fixed": "tag",
    "no_tag": "tag",
    "place_fixed": "place",
    "place_retired": "place",
    "wrong_job": "place",
    "no_quantity": "quantity",
    "too_many_copies": "quantity",
    "rush_without_hour": "needed_hour",
    "rush_without_reason": "rush_reason",
    "needs_yes": "yes",
    "place_taken": "room",
    "place_without_name": "room",
}


def seal(kept: Mapping[str, Any]) -> str:
    """What a row carries unseen, signed: it comes back from the page as it went out or not at all."""
    return signing.dumps(dict(kept), salt=SALT) if kept else ""


def unseal(sealed: str) -> dict[str, Any]:
    try:
        return dict(signing.loads(sealed, salt=SALT)) if sealed else {}
    except signing.BadSignature:
        return {}


# The box is three figures wide: what is wrong with it has to be short.
QUANTITY_CODES = ("required", "invalid", "min_value", "max_value")


class AskForm(forms.Form):
    """A run as asked for. `rows` are the builder's; `document` is their run/1; `solved` is what the solver says.

    Valid when the head is, nothing needed is empty, the solver has no problem, a run that leaves one plane has its
    yes, given to the very sentence that reads this run back, and each length that is hardly meant has its own.
    """

    job = forms.ModelChoiceField(Job.objects.none(), label="Job", empty_label=None)
    place = forms.ModelChoiceField(Place.objects.none(), label="Place", empty_label="Pick a place …")
    room = forms.CharField(label="New room", max_length=80, required=False)
    tag = forms.CharField(label="Tag", max_length=30, error_messages={"required": "Give it a tag."})
    title = forms.CharField(label="What it is", max_length=80, required=False)
    quantity = forms.IntegerField(
        label="Qty", min_value=1, max_value=999, initial=1, error_messages=dict.fromkeys(QUANTITY_CODES, "1 to 999.")
    )
    conduit = forms.ChoiceField(label="Conduit")
    needed_day = forms.DateField(
        label="Needed on", required=False, widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
    needed_hour = forms.TimeField(
        label="at", required=False, widget=forms.TimeInput({"type": "time", "step": 900}, format="%H:%M")
    )
    drop = forms.ModelChoiceField(
        Place.objects.none(), label="Dropped at", required=False, empty_label="wherever the truck stops"
    )
    rush = forms.BooleanField(label="Rush", required=False)
    rush_reason = forms.CharField(label="Why it can't wait", max_length=200, required=False)
    note = forms.CharField(label="Note", max_length=2000, required=False, widget=forms.Textarea({"rows": 3}))
    cost_code = forms.CharField(label="Cost code or change number", max_length=40, required=False)
    yes = forms.CharField(required=False)
    nonce = forms.CharField(max_length=64, widget=forms.HiddenInput)
    seen = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput)
    kept = forms.CharField(required=False, widget=forms.HiddenInput)
    picture = forms.CharField(required=False, widget=forms.HiddenInput)

    _errors: ErrorDict | None

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        person: Person,
        run: Run | None = None,
        rows: Sequence[Row] = (),
        initial: dict[str, Any] | None = None,
        files: Any = None,
    ) -> None:
        super().__init__(data, files, initial={"nonce": uuid4().hex, **(initial or {})})
        self.person, self.run = person, run
        self.tag_fixed = bool(run and run.revisions.exclude(state=Paper.DRAFT).exists())
        self.rows = tuple(rows) if data is None else builder.rows_read(data, unseal)
        self.told = False
        self._offer_choices()

    def _offer_choices(self) -> None:
        jobs = visible(self.person, Job).filter(closed_at=None).order_by("name")
        jobs = Job.objects.filter(pk=self.run.job_id) if self.run else jobs
        self.fields["job"].queryset = jobs  # type: ignore[attr-defined]
        self.the_job = self._job_of(list(jobs))
        places = Place.objects.filter(job=self.the_job, retired_at=None).order_by("full_name")
        self.fields["place"].queryset = places.exclude(kind__in=[PlaceKind.JOB, PlaceKind.DROP])  # type: ignore[attr-defined]
        self.fields["drop"].queryset = places.filter(kind=PlaceKind.DROP)  # type: ignore[attr-defined]
        for name in ("place", "drop"):
            self.fields[name].label_from_instance = place_words  # type: ignore[attr-defined]
        self.fields["conduit"].choices = self._conduits()  # type: ignore[attr-defined]

    def _job_of(self, jobs: list[Job]) -> Job | None:
        typed = str(self["job"].value() or "")
        return next((job for job in jobs if str(job.pk) == typed), jobs[0] if jobs else None)

    def _conduits(self) -> list[tuple[str, str]]:
        offered = [(f"{raceway}|{size}", f"{size} {raceway}") for raceway, size in queries.conduits()]
        present = str(self["conduit"].value() or "")
        known = not present or any(present == key for key, _ in offered)
        carried = [] if known or "|" not in present else [(present, " ".join(reversed(present.split("|", 1))))]
        return [("", "Pick …"), *offered, *(carried if self.run else [])]

    @property
    def errors(self) -> ErrorDict:
        """None before he sends or keeps: a page that is still being filled in doesn't scold."""
        return super().errors if self.told else ErrorDict()

    @property
    def shape(self) -> Shape:
        """The picture that he started from."""
        return BY_KEY.get(str(self["picture"].value() or "")) or shape_of(self.rows)

    @property
    def has_jobs(self) -> bool:
        return len(self.fields["job"].queryset) > 1  # type: ignore[attr-defined]

    # What the rows say

    @property
    def raceway_size(self) -> tuple[str, str]:
        """Raceway and size as picked, or two empty words."""
        raceway, _, size = builder.clean(self["conduit"].value() or "").partition("|")
        return raceway, size

    @cached_property
    def profile(self) -> Profile | None:
        return bends.profile_for(*self.raceway_size)

    @cached_property
    def head(self) -> dict[str, Any]:
        """What the document takes beside the rows."""
        raceway, size = self.raceway_size
        tag = self.run.tag if self.tag_fixed and self.run else builder.clean(self["tag"].value() or "")
        return {"tag": tag, "raceway": raceway, "size": size, "kept": unseal(str(self["kept"].value() or ""))}

    @cached_property
    def document(self) -> dict[str, Any]:
        return builder.document(self.rows, **self.head)

    @cached_property
    def solved(self) -> bends.Solved:
        return bends.solve(self.document, self.profile)

    @cached_property
    def sketch(self) -> bends.Sketch | None:
        """What it would look like, where it can't be laid out: bends without their numbers are left out of it."""
        if self.solved.layout:
            return None
        return bends.sketch(builder.document(builder.filled(self.rows), **self.head), self.profile)

    @cached_property
    def missing(self) -> tuple[str, ...]:
        """Names of what is needed and empty, head and rows."""
        return (*self._undrawn, *self._late)

    @cached_property
    def _undrawn(self) -> tuple[str, ...]:
        """What is empty of all that the run itself is read from."""
        return (*self._empty("tag", "place", "conduit"), *builder.missing(self.rows))

    @property
    def _late(self) -> tuple[str, ...]:
        """What is empty beside the run: an hour has its day and a day its hour, and a rush both and its reason."""
        rush, when = bool(self["rush"].value()), ("needed_day", "needed_hour")
        gaps = self._empty(*when)
        return (*self._empty("quantity"), *(gaps if rush or len(gaps) == 1 else ()), *self._reason_gap(rush))

    def _reason_gap(self, rush: bool) -> tuple[str, ...]:
        return self._empty("rush_reason") if rush else ()

    def _empty(self, *names: str) -> tuple[str, ...]:
        return tuple(name for name in names if not str(self[name].value() or "").strip())

    @cached_property
    def wrong(self) -> dict[str, list[Mapping[str, Any]]]:
        """The solver's problems by the field or row that they belong to; those that only say "empty" are left out."""
        found: dict[str, list[Mapping[str, Any]]] = {}
        for problem in self.solved.problems:
            name = _head_field(problem["at"]) or builder.field_of(problem["at"], self.rows)
            if not self._only_empty(name):
                found.setdefault(name, []).append(problem)
        return found

    def _only_empty(self, name: str) -> bool:
        """Whether the problem is there because something isn't filled in yet."""
        if name == "":
            return bool(self._undrawn)
        return any(gap == name or gap.startswith(f"{name}-") for gap in self._undrawn)

    @property
    def faults(self) -> int:
        """How many numbers are wrong, the head's among them before it has been told so."""
        head = sum(self._unreadable(name) for name in ("quantity", "needed_day", "needed_hour"))
        return head + sum(len(problems) for problems in self.wrong.values())

    def _unreadable(self, name: str) -> bool:
        try:
            self.fields[name].clean(self[name].value())
        except forms.ValidationError:
            return name not in self.missing
        return False

    @cached_property
    def doubts(self) -> tuple[Doubt, ...]:
        """Lengths that are hardly meant, with the yes that each was given or not."""
        said = self.data if self.is_bound else self.initial
        return doubts(self.rows, lambda yes: said.get(yes) == "yes")

    @property
    def unsure(self) -> tuple[Doubt, ...]:
        return tuple(doubt for doubt in self.doubts if not doubt.said)

    @property
    def yes_token(self) -> str:
        """Stands for the read-back sentence: a yes to another sentence is no yes to this one."""
        return hashlib.sha256(self.solved.reads.encode()).hexdigest()[:16]

    @property
    def said_yes(self) -> bool:
        return str(self["yes"].value() or "") == self.yes_token

    @property
    def needs_yes(self) -> bool:
        return self.solved.three_d and not self.said_yes

    # Sending

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        day, hour = found.get("needed_day"), found.get("needed_hour")
        if hour and not day and not self.has_error("needed_day"):
            self.add_error("needed_day", forms.ValidationError("On which day?", code="day_missing"))
        if day and not hour and not self.has_error("needed_hour"):
            self.add_error("needed_hour", forms.ValidationError("At what hour?", code="hour_missing"))
        if day and hour and self.the_job:
            found["needed_at"] = self._moment(datetime.combine(day, hour), ZoneInfo(self.the_job.time_zone))
        return found

    def _moment(self, naive: datetime, zone: tzinfo) -> datetime | None:
        """The job's wall clock; an hour that the clocks skip is refused."""
        moment = clock.at_wall(naive, zone)
        if moment is None:
            self.add_error("needed_hour", forms.ValidationError("The clocks skip this hour.", code="hour_skipped"))
        return moment

    def can_go(self) -> bool:
        """Whether it can be sent: asked at the end, it shows every fault of the head from then on."""
        self.told = True
        self._check_sendable()
        return self.is_valid() and not (self.missing or self.faults or self.needs_yes or self.unsure)

    def _check_sendable(self) -> None:
        if not self.is_valid():
            return
        try:
            drafts.check_sendable(self.draft())
        except Refusal as refusal:
            self.refuse(refusal)

    def can_be_kept(self) -> bool:
        """A draft needs only its place and tag; its numbers may be empty or wrong."""
        self.told = True
        return self.is_valid()

    def new_room(self) -> dict[str, Any]:
        """What a new room takes: its name, and the picked place that it lies in, else the job itself."""
        typed, picked = str(self["room"].value() or "")[:80], str(self["place"].value() or "")
        places = Place.objects.filter(job=self.the_job, retired_at=None)
        inside = next((place for place in places if str(place.pk) == picked), places.filter(parent=None).first())
        if inside is None:
            raise Refusal("no_job", "There is no job to make a room in.")
        return {"name": builder.clean(typed), "kind": PlaceKind.ROOM, "parent": inside}

    def go_to(self, place: Place) -> None:
        """Picks a place in a form that was posted."""
        self.data = {**dict(self.data.items()), "place": str(place.pk), "room": ""}

    def refuse(self, refusal: Refusal) -> None:
        """A service's no, at the field that it belongs to, else above the form."""
        self.told = True
        if refusal.code == "changed_meanwhile":
            # Told what he had not seen, he may send again over it.
            self.data = {**dict(self.data.items()), "seen": refusal.limits["seen"]}
        if self._errors is None:
            self._errors, self.cleaned_data = ErrorDict(), {}
        self.add_error(REFUSED_AT.get(refusal.code), forms.ValidationError(refusal.words, code=refusal.code))

    def draft(self) -> RunDraft:
        """What the services take."""
        said = self.cleaned_data
        return RunDraft(
            place=said["place"],
            tag=self.head["tag"],
            document=self.document,
            quantity=said["quantity"],
            title=said["title"],
            note=said["note"],
            needed_at=said.get("needed_at"),
            drop=said["drop"],
            rush=said["rush"],
            rush_reason=said["rush_reason"],
            three_d_yes=self.said_yes,
            cost_code=said["cost_code"],
        )


def _head_field(place: str) -> str:
    head = place.partition(".")[0]
    return {"raceway": "conduit", "size": "conduit", "bender": "conduit", "tag": "tag"}.get(head, "")


def place_words(place: Place) -> str:
    """A place without its job's name, which stands above it: `L2, room 214`."""
    return place.full_name.partition(", ")[2] or place.name


def ask_new(*, person: Person, shape: str, job: str = "") -> AskForm:
    """An empty form for a picture, with what this person asked last as a start. An unknown picture is leg by leg."""
    form = AskForm(person=person, initial={"job": job})
    picked = BY_KEY.get(shape, BY_KEY["free"])
    initial = queries.last_asked(person, form.the_job) | {"job": form.the_job and form.the_job.pk}
    title = "" if picked.key == "free" else picked.words
    return AskForm(person=person, rows=picked.rows, initial=initial | {"title": title, "picture": picked.key})


def ask_like(*, person: Person, revision: Revision) -> AskForm:
    """A new run that starts as another one was: same shape and conduit, the tag counted up, its own day and hour."""
    job = revision.run.job
    fresh = {"needed_day": None, "needed_hour": None, "rush": False, "rush_reason": "", "note": "", "quantity": 1}
    initial = _initial(revision) | fresh | {"tag": queries.next_tag(job, revision.run.tag)}
    return AskForm(person=person, rows=builder.rows_of(revision.document), initial=initial)


def ask_again(*, person: Person, revision: Revision) -> AskForm:
    """The form filled with a revision: to change it, or to go on with a draft. A yes stays while its sentence does."""
    rows = builder.rows_of(revision.document)
    initial = _initial(revision) | {"seen": seen_token(revision.run)}
    form = AskForm(person=person, run=revision.run, rows=rows, initial=initial)
    if revision.three_d_yes:
        form.initial["yes"] = form.yes_token
    if revision.sent_at:
        form.initial.update({doubt.yes: "yes" for doubt in doubts(rows, lambda yes: False)})
    return form


def _initial(revision: Revision) -> dict[str, Any]:
    zone = ZoneInfo(revision.run.job.time_zone)
    needed = revision.needed_at.astimezone(zone) if revision.needed_at else None
    same = ("title", "quantity", "note", "rush", "rush_reason", "cost_code")
    return {name: getattr(revision, name) for name in same} | {
        "job": revision.run.job_id,
        "place": revision.run.place_id,
        "tag": revision.run.tag,
        "conduit": f"{revision.raceway}|{revision.size}" if revision.size else "",
        "needed_day": needed and needed.date(),
        "needed_hour": needed and needed.time().replace(second=0, microsecond=0, tzinfo=None),
        "drop": revision.drop_id,
        "kept": seal(builder.kept_of(revision.document)),
    }


class AnswerForm(forms.Form):
    """An answer to a question: one of the chips, or his own words."""

    choice = forms.CharField(required=False, max_length=400)
    words = forms.CharField(label="In your own words", required=False, max_length=400)

    def __init__(self, data: Mapping[str, Any] | None = None, *, question: Question) -> None:
        super().__init__(data, auto_id=f"question{question.pk}_%s")
        self.question = question
        self.choices = [str(choice) for choice in question.choices]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        said["answer"] = said.get("words") or said.get("choice") or ""
        if not said["answer"] and not self.errors:
            self.add_error("words", forms.ValidationError("Tap an answer, or write one.", code="no_answer"))
        return said
