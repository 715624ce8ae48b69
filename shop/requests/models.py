"""What the field asks for: requests, runs, their revisions, questions; and the benders that runs are solved on."""

from typing import Any

from django.db import models

from shop.jobs import clock
from shop.jobs.models import Job, Person, Place


class Bender(models.Model):
    """One bender of the shop: hand shoe, electric, hydraulic. Its profiles are dated."""

    name = models.CharField(max_length=60, unique=True)
    kind = models.CharField(max_length=20)
    retired_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name


class Profile(models.Model):
    """How a bender bends one raceway and size from a day on: `data` is what bending.bender.Profile reads.

    A profile is never changed; a newer version takes its place.
    """

    bender = models.ForeignKey(Bender, on_delete=models.PROTECT, related_name="profiles")
    raceway = models.CharField(max_length=12)
    size = models.CharField(max_length=8)
    version = models.PositiveIntegerField(default=1)
    data = models.JSONField()
    since = models.DateTimeField(default=clock.now)
    tested_at = models.DateTimeField(null=True, blank=True)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["bender", "raceway", "size", "version"], name="profile_once")]

    def __str__(self) -> str:
        return f"{self.bender.name}, {self.size} {self.raceway}, version {self.version}"


class Request(models.Model):
    """What a foreman sends: one or many runs. The nonce makes a request that is sent twice one request."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="requests")
    nonce = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="requests")
    made_at = models.DateTimeField(default=clock.now)
    cost_code = models.CharField(max_length=40, blank=True)

    JOB_PATH = "job"

    def __str__(self) -> str:
        return f"request {self.pk} of {self.job}"


class Run(models.Model):
    """One run of a request: a tag at a place. What it looks like stands on its revisions.

    Once it was released its place is fixed: pieces are on their way there.
    """

    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="runs")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="runs")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="runs")
    tag = models.CharField(max_length=30)
    made_at = models.DateTimeField(default=clock.now)
    released_at = models.DateTimeField(null=True, blank=True)

    JOB_PATH = "job"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "tag"], name="tag_once_in_a_job")]

    def __str__(self) -> str:
        return self.tag

    @property
    def present(self) -> "Revision":
        """The one that counts: the latest that was sent and not withdrawn, else the latest sent, else the draft."""
        revisions = sorted(self.revisions.all(), key=lambda revision: revision.number)
        sent = [revision for revision in revisions if revision.state != Paper.DRAFT]
        standing = [revision for revision in sent if revision.state != Paper.CANCELLED]
        return (standing or sent or revisions)[-1]


class Paper(models.TextChoices):
    """The paper's own state, of a run's revision; what happens to metal is elsewhere."""

    DRAFT = "draft", "Draft"
    SENT = "sent", "Sent"
    QUESTION = "question", "Waits for an answer"
    OK = "ok", "OK'd"
    RELEASED = "released", "Released"
    CLOSED = "closed", "Closed"
    CHANGED = "changed", "Changed"
    HELD = "held", "Held"
    CANCELLED = "cancelled", "Cancelled"


OPEN_PAPER = (Paper.SENT, Paper.QUESTION, Paper.OK, Paper.HELD)


def letters(number: int) -> str:
    """1 is A, 26 is Z, 27 is AA."""
    found = ""
    while number:
        number, rest = divmod(number - 1, 26)
        found = chr(ord("A") + rest) + found
    return found


class Revision(models.Model):
    """A run as it was described once: `document` is the run/1 text as typed, `layout` what it was solved to.

    `parts`, `shape` and `three_d` are said by the layout: sticks of one copy, what makes two runs alike, whether the
    run leaves one plane. `resumes` is the state to which a held one goes back, or one whose successor is withdrawn.
    """

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveIntegerField(default=1)
    state = models.CharField(max_length=10, choices=Paper.choices, default=Paper.DRAFT, db_index=True)
    resumes = models.CharField(max_length=10, choices=Paper.choices, blank=True)
    nonce = models.CharField(max_length=64, unique=True, null=True, blank=True)
    title = models.CharField(max_length=80, blank=True)
    document = models.JSONField(default=dict)
    raceway = models.CharField(max_length=12, blank=True)
    size = models.CharField(max_length=8, blank=True)
    quantity = models.PositiveIntegerField(default=1)
    profile = models.ForeignKey(Profile, on_delete=models.PROTECT, null=True, blank=True, related_name="revisions")
    layout = models.JSONField(null=True, blank=True)
    problems = models.JSONField(default=list, blank=True)
    parts = models.PositiveSmallIntegerField(default=1)
    shape = models.CharField(max_length=40, blank=True)
    three_d = models.BooleanField(default=False)
    three_d_yes = models.BooleanField(default=False)
    note = models.TextField(blank=True, max_length=2000)
    cost_code = models.CharField(max_length=40, blank=True)
    needed_at = models.DateTimeField(null=True, blank=True)
    drop = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="drops")
    rush = models.BooleanField(default=False)
    rush_reason = models.CharField(max_length=200, blank=True)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="revisions")
    made_at = models.DateTimeField(default=clock.now)
    sent_at = models.DateTimeField(null=True, blank=True)
    ok_at = models.DateTimeField(null=True, blank=True)
    ok_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="oks")

    JOB_PATH = "run__job"

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["run", "number"], name="revision_once"),
            models.CheckConstraint(name="revision_asks_for_some", condition=models.Q(quantity__gte=1)),
        ]

    def __str__(self) -> str:
        return f"{self.run.tag} rev {self.letter}"

    @property
    def letter(self) -> str:
        return letters(self.number)

    @property
    def dimensions(self) -> list[dict[str, Any]]:
        """What the layout says of every dimension that was asked for; empty before it is solved."""
        return list((self.layout or {}).get("predicted", []))


class Question(models.Model):
    """A question on one dimension of a revision; the run waits until it is answered."""

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="questions")
    at = models.CharField(max_length=120, blank=True)
    text = models.CharField(max_length=400)
    choices = models.JSONField(default=list, blank=True)
    asked_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="questions_asked")
    asked_at = models.DateTimeField(default=clock.now)
    answer = models.CharField(max_length=400, blank=True)
    answered_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="questions_answered"
    )
    answered_at = models.DateTimeField(null=True, blank=True)

    JOB_PATH = "revision__run__job"

    def __str__(self) -> str:
        return self.text


class Photo(models.Model):
    """A picture of a run, with what was drawn over it. `picture` was made anew on the server: small, nothing in it of
    where it was taken. `strokes` are lists of places on it, as shares of its width and height.
    """

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="photos")
    nonce = models.CharField(max_length=64, unique=True)
    picture = models.FileField(upload_to="%Y/%m/")
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    words = models.CharField(max_length=200, blank=True)
    strokes = models.JSONField(default=list, blank=True)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="photos")
    made_at = models.DateTimeField(default=clock.now)

    JOB_PATH = "run__job"

    def __str__(self) -> str:
        return self.words or f"photo {self.pk} of {self.run}"

    @property
    def lines(self) -> list[str]:
        """The strokes as an SVG polyline's points, on the picture's own pixels."""
        return [" ".join(f"{x * self.width:.0f},{y * self.height:.0f}" for x, y in stroke) for stroke in self.strokes]


class RunList(models.Model):
    """A list of runs that was read from a file or a paste: checked row by row, then sent whole or thrown away.

    `headings` are its columns; `usual` is what an empty cell means, by a field's name.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="run_lists")
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="run_lists")
    made_at = models.DateTimeField(default=clock.now)
    name = models.CharField(max_length=120, blank=True)
    headings = models.JSONField(default=list)
    usual = models.JSONField(default=dict)
    request = models.OneToOneField(Request, on_delete=models.PROTECT, null=True, blank=True, related_name="run_list")

    JOB_PATH = "job"

    def __str__(self) -> str:
        return self.name or f"list {self.pk}"


class RunListRow(models.Model):
    """One row: its texts in the order of the headings, and what checking said. `line` is its number in the file.

    `asked` is what it asks for (a place's key, the run/1 document …), `solved` its layout; both empty until it was
    checked, and while something is wrong.
    """

    run_list = models.ForeignKey(RunList, on_delete=models.CASCADE, related_name="rows")
    line = models.PositiveIntegerField()
    cells = models.JSONField(default=list)
    checked = models.BooleanField(default=False)
    problems = models.JSONField(default=list)
    asked = models.JSONField(default=dict)
    solved = models.JSONField(default=dict)
    reads = models.TextField(blank=True)

    JOB_PATH = "run_list__job"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["run_list", "line"], name="list_line_once")]
        indexes = [models.Index(fields=["run_list", "checked"])]

    def __str__(self) -> str:
        return f"line {self.line} of {self.run_list}"
