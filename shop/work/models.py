"""What the shop makes: releases, needs, pieces, and the records from which everything about a piece is derived."""

from typing import Any

from django.db import models
from django.utils import timezone

from shop.jobs.models import Person, Place
from shop.requests.models import Profile, Revision, Run


class Release(models.Model):
    """Freezes a revision, its layout and the bender's profile version. A later release kills this one's ticket."""

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="releases")
    number = models.PositiveIntegerField(default=1)
    profile = models.ForeignKey(Profile, on_delete=models.PROTECT, related_name="releases")
    document = models.JSONField()
    layout = models.JSONField()
    code = models.CharField(max_length=10, unique=True)
    released_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="releases")
    released_at = models.DateTimeField(default=timezone.now)
    replaced_at = models.DateTimeField(null=True, blank=True)
    override_reason = models.CharField(max_length=300, blank=True)

    JOB_PATH = "revision__run__job"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["revision", "number"], name="release_once")]

    def __str__(self) -> str:
        return f"{self.revision}, release {self.number}"


class Need(models.Model):
    """One place's call for one piece: run, copy 3 of 8, part 1 of 2."""

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="needs")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="needs")
    copy = models.PositiveIntegerField()
    part = models.PositiveIntegerField(default=1)

    JOB_PATH = "run__job"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["run", "copy", "part"], name="need_once")]

    def __str__(self) -> str:
        return f"{self.run.tag} copy {self.copy}"


class Piece(models.Model):
    """The metal: one bent stick. What is below the line is derived from its records and kept for speed."""

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="pieces")
    release = models.ForeignKey(Release, on_delete=models.PROTECT, related_name="pieces")
    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="pieces")
    copy = models.PositiveIntegerField()
    part = models.PositiveIntegerField(default=1)
    remake = models.PositiveIntegerField(default=0)
    remake_of = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="remakes")
    code = models.CharField(max_length=10, unique=True)
    skips = models.JSONField(default=list, blank=True)
    made_at = models.DateTimeField(default=timezone.now)

    fills = models.ForeignKey(Need, on_delete=models.PROTECT, null=True, blank=True, related_name="filled_by")
    step = models.CharField(max_length=12, default="released")
    level = models.PositiveSmallIntegerField(default=0)
    good = models.BooleanField(default=True)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="pieces_here")
    box = models.CharField(max_length=30, blank=True)
    load = models.CharField(max_length=30, blank=True)
    word = models.CharField(max_length=16, default="CUT")
    flags = models.JSONField(default=list, blank=True)
    not_seen = models.JSONField(default=list, blank=True)
    account = models.CharField(max_length=12, blank=True)
    last_record = models.ForeignKey("Record", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    seen_at = models.DateTimeField(null=True, blank=True)

    JOB_PATH = "run__job"

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["revision", "release", "copy", "part", "remake"], name="piece_once")
        ]
        indexes = [models.Index(fields=["fills", "level"]), models.Index(fields=["run", "step"])]

    def __str__(self) -> str:
        remade = f" R{self.remake}" if self.remake else ""
        return f"{self.run.tag}{remade}, copy {self.copy}"


class Record(models.Model):
    """One fact: who did what to a piece, a run or another record, when and where. Never edited, never deleted."""

    nonce = models.CharField(max_length=64, unique=True)
    verb = models.CharField(max_length=16)
    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, null=True, blank=True, related_name="records")
    run = models.ForeignKey(Run, on_delete=models.PROTECT, null=True, blank=True, related_name="records")
    annuls = models.CharField(max_length=64, blank=True)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="records")
    role = models.CharField(max_length=12)
    device = models.CharField(max_length=64)
    seq = models.BigIntegerField(default=0)
    done_at = models.DateTimeField()
    sent_at = models.DateTimeField()
    recorded_at = models.DateTimeField(default=timezone.now)
    at = models.DateTimeField()
    phone_clock = models.BooleanField(default=False)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="records")
    reason = models.CharField(max_length=300, blank=True)
    fields = models.JSONField(default=dict, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="record_has_one_subject",
                condition=models.Q(piece__isnull=False, run__isnull=True, annuls="")
                | models.Q(piece__isnull=True, run__isnull=False, annuls="")
                | (models.Q(piece__isnull=True, run__isnull=True) & ~models.Q(annuls="")),
            )
        ]
        indexes = [
            models.Index(fields=["piece", "at"], condition=models.Q(piece__isnull=False), name="record_of_piece"),
            models.Index(fields=["run", "at"], condition=models.Q(run__isnull=False), name="record_of_run"),
        ]

    def __str__(self) -> str:
        return f"{self.verb} {self.at:%Y-%m-%d %H:%M}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk:
            raise TypeError("a record is never changed; it is answered by another")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise TypeError("a record is never deleted; it is answered by another")


class RecordName(models.Model):
    """A nonce that a record answers. Not a foreign key: the named record may arrive later."""

    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="names")
    named = models.CharField(max_length=64, db_index=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["record", "named"], name="name_once")]

    def __str__(self) -> str:
        return self.named


class RecordPiece(models.Model):
    """The other pieces of a record: a remake's child, a swap's other, a decision's newer piece."""

    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="others")
    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="record_others")
    word = models.CharField(max_length=10)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["record", "piece", "word"], name="other_piece_once")]

    def __str__(self) -> str:
        return self.word


class Line(models.Model):
    """What one person or role is told about a record: `already`, `decide old rev` … Derived, kept for speed."""

    code = models.CharField(max_length=30)
    piece = models.ForeignKey(Piece, on_delete=models.CASCADE, null=True, blank=True, related_name="lines")
    record = models.ForeignKey(Record, on_delete=models.CASCADE, null=True, blank=True, related_name="lines")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, null=True, blank=True, related_name="lines")
    role = models.CharField(max_length=12, blank=True)

    class Meta:
        indexes = [models.Index(fields=["person", "code"]), models.Index(fields=["role", "code"])]

    def __str__(self) -> str:
        return self.code


class RecordLock(models.Model):
    """The log's one row that a writer locks: two writers on one neighbourhood would lose an update without it."""

    def __str__(self) -> str:
        return "the record log"
